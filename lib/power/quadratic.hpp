// Exact numbers x + y*j*sqrt(3) with rational x and y. Every nominal voltage of the supplies here
// is such a number: 1 at 120 degrees is -1/2 + (1/2) j sqrt(3).
#pragma once

#include <cmath>
#include <complex>

#include "power/failure.hpp"
#include "power/rational.hpp"

namespace bln {

struct Quadratic {
    Rational x, y;

    [[nodiscard]] bool is_zero() const noexcept { return x.is_zero() && y.is_zero(); }
    [[nodiscard]] Quadratic conjugate() const { return {x, -y}; }
    [[nodiscard]] std::complex<double> value() const noexcept { return {x.real(), y.real() * std::sqrt(3.0)}; }

    friend Quadratic operator+(const Quadratic& a, const Quadratic& b) { return {a.x + b.x, a.y + b.y}; }
    friend Quadratic operator-(const Quadratic& a, const Quadratic& b) { return {a.x - b.x, a.y - b.y}; }
    friend Quadratic operator*(const Quadratic& a, const Rational& r) { return {a.x * r, a.y * r}; }
    friend Quadratic operator*(const Quadratic& a, const Quadratic& b) {
        return {a.x * b.x - Rational(3) * a.y * b.y, a.x * b.y + a.y * b.x};
    }
    /// BLN_E_RANGE when @p b is zero.
    friend Quadratic operator/(const Quadratic& a, const Quadratic& b) {
        const Rational norm = b.x * b.x + Rational(3) * b.y * b.y;
        const Quadratic top = a * b.conjugate();
        return {top.x / norm, top.y / norm};
    }
    friend bool operator==(const Quadratic& a, const Quadratic& b) noexcept { return a.x == b.x && a.y == b.y; }
};

}  // namespace bln
