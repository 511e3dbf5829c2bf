// Harmonics of folded cycles by least squares, at any ratio of sampling rate and frequency.
#pragma once

#include <cmath>
#include <complex>
#include <cstddef>
#include <cstdint>
#include <vector>

namespace bln {

/// How a window of whole cycles is folded: the samples of every cycle are added, each cycle beginning at the sample
/// next to its true beginning. A sum of harmonics stays one: order k is multiplied by a factor that is known, so
/// nothing leaks.
struct Folding {
    double step = 0;                  ///< radians of the fundamental in one sample
    std::size_t length = 0;           ///< samples of a folded cycle: the whole part of a cycle
    std::vector<std::size_t> starts;  ///< first sample of each cycle, counted from the row
    std::vector<double> offset;       ///< that sample minus the true beginning, in samples, -0.5 to 0.5
    double origin = 0;                ///< true beginning of the first cycle, counted from the row

    /// Room for windows of so many cycles.
    void reserve(std::size_t cycles) {
        starts.reserve(cycles);
        offset.reserve(cycles);
    }
    /// @p cycles cycles of @p period samples from @p begin on.
    void set(double begin, double period, std::size_t cycles);
};

/// Solves for the orders 0 to H at once, for many rows. With at most as many unknowns as samples in a cycle the answer
/// is exact for a signal of these orders; the matrix is that of one frequency and serves every row.
class HarmonicFit {
public:
    using Phasor = std::complex<double>;
    static constexpr std::size_t lanes = 8;  ///< rows that are solved side by side

    /// Room for cycles of @p length samples and @p orders orders; set() and solve() then allocate nothing.
    void reserve(std::size_t length, std::size_t orders);
    /// Sets frequency and orders; at least 2 * @p highest + 1 samples in a cycle.
    void set(const Folding& folding, std::size_t highest);
    /// Whether it was set for this length and nearly this frequency.
    [[nodiscard]] bool serves(const Folding& folding, double within) const noexcept {
        return folding.length == length_ && std::abs(folding.step - step_) <= within * step_;
    }
    /// RMS phasors of orders 0 to highest of @p rows folded rows, each of `length` samples, one after another. The time
    /// origin is @p origin, in samples from the row. @p out: rows * (highest + 1). Rows are taken eight at a time, so
    /// @p folded has memory for a multiple of eight of them.
    void solve(const double* folded, std::size_t rows, const Folding& folding, double origin, Phasor* out);
    /// As solve(), of one row and order 1 alone.
    [[nodiscard]] Phasor fundamental(const double* folded, const Folding& folding, double origin) const;

private:
    void invert(bool sines);
    void factors(const Folding& folding, double origin);

    double step_ = 0;
    std::size_t length_ = 0, half_ = 0, highest_ = 0;
    std::vector<double> cosines_, sines_;  ///< one row an order, over half a cycle; then solved
    std::vector<double> gram_, even_, odd_, a_, b_;
    std::vector<Phasor> factor_;  ///< undoes folding and origin, for each order
};

}  // namespace bln
