// Quantities of one channel: one voltage and one current, from sums and harmonics.
#pragma once

#include <complex>
#include <span>

#include "power/quantity.hpp"

namespace bln {

using Phasor = std::complex<double>;

/// One order of a spectrum, RMS phasors at one common time. Order 0 is direct: the real parts.
struct Harmonic {
    int order = 1;
    Phasor v, i;
};

/// What a channel is judged by. The sums may hold more than the orders: noise, and what lies between them.
struct ChannelSums {
    double v2 = 0, i2 = 0;  ///< mean squares
    double p = 0;           ///< mean of v times i
    std::span<const Harmonic> orders;
    bool spectrum = true;  ///< false: no orders are known, and what needs them is not given
};

/// The sums of orders that are all there is. Throws BLN_E_VALUE (negative or repeated order), BLN_E_NOT_FINITE.
[[nodiscard]] ChannelSums sums_of(std::span<const Harmonic> orders);
/// The fundamental, or zero.
[[nodiscard]] Harmonic fundamental(const ChannelSums& c) noexcept;
/// 1 to 4. Both zero: 0.
[[nodiscard]] int quadrant(double p, double q) noexcept;
[[nodiscard]] Values channel_quantities(const ChannelSums& c) noexcept;

}  // namespace bln
