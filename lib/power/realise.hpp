// What the elements could register with other weights.
#pragma once

#include <optional>

#include "power/form.hpp"

namespace bln {

/// Real weights x on the elements (in place of their own) with which the form is exact for every load:
/// a rational solution of sum x_k N_V' a_k b_k' N_I = N_V' N_I. Nothing when there is none: then no
/// factors on the channels' own powers help, and an element that multiplies the missing voltage and
/// current is needed.
[[nodiscard]] std::optional<Solution> realise(const Form& form);

}  // namespace bln
