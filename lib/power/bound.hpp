// The worst error of a form while voltages stay near given ones and currents within limits.
#pragma once

#include <array>
#include <span>
#include <vector>

#include "power/form.hpp"
#include "power/weber.hpp"

namespace bln {

/// Potentials by terminal, against any one datum.
struct Potentials {
    std::array<Complex, terminal_count> volts{};  ///< V
    std::array<bool, terminal_count> known{};
};
/// Nominal potentials of a harmonic order, the first phase standing at @p unit volts. Nothing is known when
/// the service's nominal voltages are not.
[[nodiscard]] Potentials nominal_potentials(const Form& form, int order, double unit);

struct Bound {
    double at_voltages = 0;           ///< VA: largest |error| at the voltages as given; tight
    double from_spread = 0;           ///< VA: what the spread of voltages can add
    double attained_at_voltages = 0;  ///< VA: an error that admissible currents do produce at those voltages
    double attained = 0;              ///< VA: one that admissible currents and voltages do produce
    std::vector<Complex> amps;        ///< currents that produce `attained`
    Potentials volts;                 ///< voltages that do

    [[nodiscard]] double total() const noexcept { return at_voltages + from_spread; }
};

/// Largest |registered - true| (so of P as well: currents turn freely) over currents |i(k)| <= amps[k] that sum to
/// zero in every load, and voltages |v(t) - u(t)| <= spread[t]. With g = R'u:
///   min over x of sum J(k) |g(k) - x|  +  sum over t of spread(t) min over x of sum J(k) |R(t,k) - x|,
/// x one number for each load. Bonded terminals count as one, with the least of their spreads.
/// @param amps    infinity: no limit but that of the load's other conductors; for at most one of them
/// @param weights complex weights in place of the elements' own; empty: their own
/// Throws BLN_E_ABSENT for a potential that matters and is not known, or a load with two currents without limit;
/// BLN_E_VALUE for a negative spread or limit; BLN_E_NOT_FINITE; BLN_E_ARGUMENT for a wrong number of items.
[[nodiscard]] Bound worst_case(const Form& form, const Potentials& at, std::span<const double> spread,
                               std::span<const double> amps, std::span<const Complex> weights = {});

}  // namespace bln
