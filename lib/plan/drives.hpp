// The currents that a load drives through the conductors of a form, at nominal voltages.
#pragma once

#include <array>
#include <complex>
#include <vector>

#include "site/point_form.hpp"

namespace bln::plan {

using Complex = std::complex<double>;

/// Nominal potentials by conductor; those that nothing fixes are not known.
struct Potentials {
    std::array<Complex, conductor_count> v{};
    std::array<bool, conductor_count> known{};
};
[[nodiscard]] Potentials potentials_of(const Supply& supply);

/// One way in which a load can draw: currents at unity power factor, 1 where the voltage across the load is 1 unit.
struct Drive {
    std::vector<Complex> amps;  ///< by conductor of the form
    std::size_t load = 0;       ///< load of the form
    double volts = 0;           ///< across the load, in units of the supply's
    int phases = 1;
};
/// Of every load of the form: pole to pole of two poles, the balanced load of three, and each pole to what carries its
/// current back.
[[nodiscard]] std::vector<Drive> drives_of(const PointForm& form, const Potentials& u);

}  // namespace bln::plan
