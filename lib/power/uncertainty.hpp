// Errors of ratio and phase, and the uncertainty that they leave in power and in sums.
//
// Standard uncertainties throughout (JCGM 100:2008): a limit a without a known distribution counts as
// rectangular, u = a / sqrt(3); whoever prints an expanded uncertainty multiplies by k and says so.
#pragma once

#include <complex>
#include <cstdint>
#include <span>

#include "power/accuracy.hpp"

namespace bln {

/// Errors of the transformers of one element; relative, and in radians. A secondary that leads is positive.
struct ElementErrors {
    double volts_ratio = 0, volts_phase = 0, amps_ratio = 0, amps_phase = 0;
};
inline constexpr double radians_per_minute = 3.14159265358979323846 / 10800;

/// Registered minus true: exact, S((1+e_V)(1+e_I) exp j(d_V - d_I) - 1).
[[nodiscard]] std::complex<double> power_error(std::complex<double> power, const ElementErrors& errors);
/// The same to first order: for P, P(e_V + e_I) + Q(d_I - d_V).
[[nodiscard]] std::complex<double> power_error_linear(std::complex<double> power, const ElementErrors& errors);

/// What limits of a CT and a meter mean for the power of one element.
struct PowerUncertainty {
    double watts_ct = 0, watts_meter = 0;  ///< standard uncertainties, W
    double vars_ct = 0;                    ///< the same, var; a limit on active energy says nothing of reactive energy
    double watts_limit = 0;                ///< greatest error, W, all limits reached at once
    double vars_limit = 0;
    bool vars_known = false;
    bool from_memory = false;
    [[nodiscard]] double watts() const noexcept;
};
/// @p ct and @p meter may be null: then that device counts as free of error. BLN_E_ABSENT when the CT's class states no
/// phase displacement and the load has reactive power; BLN_E_RANGE for a negative limit; BLN_E_NOT_FINITE.
[[nodiscard]] PowerUncertainty power_uncertainty(std::complex<double> power, const AccuracyLimits* ct,
                                                 const AccuracyLimits* meter);

/// A quantity in a sum. `random` is its own; `shared` is common to all of one group, with one sign.
struct UncertainTerm {
    double coefficient = 1, value = 0, random = 0, shared = 0;
    std::uint32_t group = 0;
};
struct CombinedUncertainty {
    double value = 0, random = 0, shared = 0;
    [[nodiscard]] double combined() const noexcept;
};
/// Sum of coefficient times value: random parts by squares; shared parts add within their group, groups by squares.
/// BLN_E_NOT_FINITE; BLN_E_RANGE for a negative uncertainty; BLN_E_OVERFLOW.
[[nodiscard]] CombinedUncertainty combine(std::span<const UncertainTerm> terms);

/// Law of propagation with correlations (JCGM 100:2008, 5.2.2, formula 16). @p correlation: n times n, row by row;
/// empty: independent. BLN_E_ARGUMENT (size, not symmetric, diagonal not 1), BLN_E_RANGE (outside -1..1, negative u, or
/// no correlations of real quantities), BLN_E_NOT_FINITE.
[[nodiscard]] double propagate(std::span<const double> sensitivity, std::span<const double> uncertainty,
                               std::span<const double> correlation);

}  // namespace bln
