#include "power/wave_edge.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace bln {

namespace {

Edge hard(double at) noexcept {
    Edge out;
    out.whole = static_cast<std::int64_t>(std::floor(at));
    return out;
}

/// Integral of the 4-term Blackman-Harris window over [0, 1], from 0 to s, as a part of the whole (F. J. Harris, "On
/// the use of windows for harmonic analysis with the discrete Fourier transform", Proc. IEEE 66, 1978: coefficients).
double rise(double s) noexcept {
    constexpr double a0 = 0.35875, a1 = 0.48829, a2 = 0.14128, a3 = 0.01168, pi = std::numbers::pi;
    if (s <= 0) return 0;
    if (s >= 1) return 1;
    return s + (-a1 * std::sin(2 * pi * s) / (2 * pi) + a2 * std::sin(4 * pi * s) / (4 * pi) -
                a3 * std::sin(6 * pi * s) / (6 * pi)) /
                   a0;
}

Edge soft(double at) noexcept {
    Edge out = hard(at);
    out.count = out.weight.size();
    out.first = out.whole - Edge::reach + 1;
    for (std::size_t j = 0; j < out.count; ++j) {
        const std::int64_t n = out.first + static_cast<std::int64_t>(j);
        const double up = rise((static_cast<double>(n) - at) / (2 * Edge::reach) + 0.5);
        out.weight[j] = n >= out.whole ? 1 - up : -up;
    }
    return out;
}

/// Lagrange over up to nine running sums, C(n) = x(0) + ... + x(n-1), turned into weights of the samples between them.
Edge interpolated(double at, std::int64_t low, std::int64_t high) noexcept {
    constexpr std::int64_t points = 9;
    Edge out = hard(at);
    if (at == static_cast<double>(out.whole)) return out;
    const std::int64_t count = std::min(points, high - low + 1);
    out.first = std::clamp(out.whole - count / 2 + 1, low, high - count + 1);
    out.count = static_cast<std::size_t>(count - 1);
    std::array<double, points> of_sum{};
    for (std::int64_t a = 0; a < count; ++a) {
        double product = 1;
        for (std::int64_t b = 0; b < count; ++b)
            if (b != a) product *= (at - static_cast<double>(out.first + b)) / static_cast<double>(a - b);
        of_sum[static_cast<std::size_t>(a)] = product;
    }
    for (std::int64_t j = 0; j + 1 < count; ++j) {
        double sum = 0;
        if (out.first + j >= out.whole) {
            for (std::int64_t a = j + 1; a < count; ++a) sum += of_sum[static_cast<std::size_t>(a)];
        } else {
            for (std::int64_t a = 0; a <= j; ++a) sum -= of_sum[static_cast<std::size_t>(a)];
        }
        out.weight[static_cast<std::size_t>(j)] = sum;
    }
    return out;
}

}  // namespace

std::pair<Edge, Edge> edges(double begin, double end, std::int64_t low, std::int64_t high) noexcept {
    if (begin == std::floor(begin) && end == std::floor(end)) return {hard(begin), hard(end)};
    const bool room = std::floor(begin) - Edge::reach + 1 >= static_cast<double>(low) &&
                      std::floor(end) + Edge::reach < static_cast<double>(high) && end - begin > 2 * Edge::reach;
    if (room) return {soft(begin), soft(end)};
    return {interpolated(begin, low, high), interpolated(end, low, high)};
}

}  // namespace bln
