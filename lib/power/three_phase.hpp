// Quantities of three phases together: sequences, unbalance, neutral, vector, arithmetic and effective apparent power.
#pragma once

#include <array>

#include "power/channel_power.hpp"

namespace bln {

/// Zero, positive and negative sequence.
struct Sequences {
    Phasor zero, positive, negative;
};
[[nodiscard]] Sequences sequences(const std::array<Phasor, 3>& abc) noexcept;

/// Greatest deviation of three line voltages from their mean, over the mean. The mean must be above 0.
[[nodiscard]] double line_deviation(double ab, double bc, double ca) noexcept;
/// Negative over positive sequence from three line voltages alone; negative when they close to no triangle.
[[nodiscard]] double line_sequence_ratio(double ab, double bc, double ca) noexcept;

enum class Wires : std::uint8_t { three = 3, four = 4 };

struct ThreePhaseSums {
    std::array<ChannelSums, 3> phase;  ///< A, B, C; three wires: voltages against any one datum
    std::array<double, 3> line2{};     ///< mean squares of AB, BC, CA
    double neutral2 = 0;               ///< mean square of the sum of the currents
    Wires wires = Wires::four;
};
/// Line voltages and neutral from the orders, which then are all there is. Phases may list different orders.
void complete(ThreePhaseSums& sums) noexcept;
[[nodiscard]] Values three_phase_quantities(const ThreePhaseSums& sums) noexcept;

}  // namespace bln
