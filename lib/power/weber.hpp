// The weighted geometric median in the complex plane, with a certificate.
#pragma once

#include <complex>
#include <span>

namespace bln {

using Complex = std::complex<double>;

/// What minimises sum w(k) |g(k) - x|: Weber's problem. Its dual is the largest Re sum g(k) y(k)* over
/// |y(k)| <= w(k), sum y(k) = 0: the worst case of an error whose coefficients are g.
struct Weber {
    Complex median;
    double least = 0;     ///< the sum at `median`: not below the minimum, whatever `median` is
    double attained = 0;  ///< value of the dual point that was found: not above the minimum
};

/// @param weights not negative, finite
/// @param dual    room for one complex number a point: the dual point
[[nodiscard]] Weber weber(std::span<const Complex> points, std::span<const double> weights, std::span<Complex> dual);

}  // namespace bln
