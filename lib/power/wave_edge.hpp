// Sums over windows whose ends lie between samples.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <utility>

namespace bln {

/// One end of a window: all samples below `whole` count, corrected by weights of some samples about it.
struct Edge {
    static constexpr int reach = 8;  ///< samples to either side
    std::int64_t whole = 0;
    std::int64_t first = 0;  ///< sample of weight 0
    std::size_t count = 0;   ///< weights that count; 0: the end lies on a sample
    std::array<double, 2 * reach> weight{};

    [[nodiscard]] double total() const noexcept {
        double sum = 0;
        for (std::size_t j = 0; j < count; ++j) sum += weight[j];
        return sum;
    }
};

/// Both ends of a window of whole cycles, from @p begin to @p end, where samples [low, high) are at hand.
/// Ends on samples need nothing. Otherwise the ends are soft: the weight rises over 16 samples as the integral of a
/// Blackman-Harris window, so that every order that lies below about three quarters of the sampling rate, the orders of
/// a product included, has no sum left over whole cycles. Neighbouring windows add up to 1 at every sample. Where a
/// stream begins or ends there is no room for that; there the running sum is interpolated by a polynomial.
[[nodiscard]] std::pair<Edge, Edge> edges(double begin, double end, std::int64_t low, std::int64_t high) noexcept;

}  // namespace bln
