// Complex weights: active power made from reactive power, at known voltages of the fundamental.
#pragma once

#include <optional>
#include <vector>

#include "power/bound.hpp"
#include "power/form.hpp"
#include "power/quadratic.hpp"

namespace bln {

/// Complex weights c on the elements, in place of their own, such that sum c(k) S(k) is the true complex power
/// for every load while the voltages are the nominal ones of the fundamental: exact numbers. Nothing when there
/// are none or a nominal voltage that matters is not known. An element that is not needed has weight 0.
/// They need signed P and Q of each element, of the fundamental alone.
[[nodiscard]] std::optional<std::vector<Quadratic>> recompute(const Form& form);

/// The same at measured voltages. Nothing when there are none, to 1e-9 of the voltages, or a potential is missing.
[[nodiscard]] std::optional<std::vector<Complex>> recompute(const Form& form, const Potentials& at);

}  // namespace bln
