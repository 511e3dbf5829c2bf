// What a registration has to be multiplied by: truth over registered, under a known fault or arrangement.
#pragma once

#include <complex>
#include <optional>
#include <span>
#include <vector>

#include "power/form.hpp"
#include "power/quadratic.hpp"

namespace bln {

/// Conjugate currents of a load of equal impedances at nominal voltages of the fundamental, by conductor, in units of
/// the first phase's voltage over the impedance: each phase conductor of the first load to its neutral, or to the star
/// point where it has none. Nothing when a voltage that matters is not known or the load takes nothing.
[[nodiscard]] std::optional<std::vector<Quadratic>> balanced_currents(const Form& form);

/// F = S_registered / S_true at nominal voltages of the fundamental for the load of balanced_currents(). With
/// @p element: of that element alone, with its weight, over the load's whole power. Nothing when a voltage that matters
/// is not known or the load takes nothing.
[[nodiscard]] std::optional<Quadratic> balanced_registration(const Form& form, int element = -1);

/// K = P_true / P_registered for a load whose current lags by @p angle radians: cos(angle) / Re(F e^(j angle)).
/// Nothing where nothing is registered: no factor helps there.
[[nodiscard]] std::optional<double> correction_at(std::complex<double> factor, double angle);

/// Largest |change| of the ratio V(y)/V(x) while each of the two stays within its spread.
/// BLN_E_VALUE when the spread of x reaches to 0 V or one is negative; BLN_E_NOT_FINITE.
[[nodiscard]] double ratio_spread(std::complex<double> x, std::complex<double> y, double spread_x, double spread_y);

/// Limit of the error that is left in P when S(registered) is turned by a ratio of voltages that is known to
/// @p spread: |S| spread + 2 sum V(h) I(h) over the harmonics h >= 2 (rms, V and A): the registered product holds at
/// most V(h) I(h) of an order and so does the true one. BLN_E_VALUE (negative), BLN_E_NOT_FINITE.
[[nodiscard]] double correction_limit(double volt_amperes, double spread, std::span<const double> harmonic_volts,
                                      std::span<const double> harmonic_amps);

}  // namespace bln
