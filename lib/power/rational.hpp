// Exact ratios of two 64-bit integers; every operation that cannot be represented throws.
#pragma once

#include <cstdint>
#include <string>

#include "power/wide.hpp"

namespace bln {

/// A ratio in lowest terms with a positive denominator. Arithmetic runs in 128 bits and
/// throws Failure(BLN_E_OVERFLOW) instead of wrapping.
class Rational {
public:
    constexpr Rational() noexcept = default;
    constexpr Rational(std::int64_t whole) noexcept
        : num_(whole) {}  // NOLINT(google-explicit-constructor): integers are ratios
    /// Throws Failure(BLN_E_RANGE) when @p den is zero.
    Rational(std::int64_t num, std::int64_t den);

    [[nodiscard]] constexpr std::int64_t num() const noexcept { return num_; }
    [[nodiscard]] constexpr std::int64_t den() const noexcept { return den_; }
    [[nodiscard]] constexpr bool is_zero() const noexcept { return num_ == 0; }
    [[nodiscard]] constexpr double real() const noexcept {
        return static_cast<double>(num_) / static_cast<double>(den_);
    }
    /// "3", "-1/2".
    [[nodiscard]] std::string text() const;

    friend Rational operator+(const Rational& a, const Rational& b);
    friend Rational operator-(const Rational& a, const Rational& b);
    friend Rational operator*(const Rational& a, const Rational& b);
    friend Rational operator/(const Rational& a, const Rational& b);  // BLN_E_RANGE on zero
    Rational operator-() const;
    Rational& operator+=(const Rational& b) { return *this = *this + b; }
    Rational& operator-=(const Rational& b) { return *this = *this - b; }
    Rational& operator*=(const Rational& b) { return *this = *this * b; }
    friend constexpr bool operator==(const Rational& a, const Rational& b) noexcept {
        return a.num_ == b.num_ && a.den_ == b.den_;
    }
    friend bool operator<(const Rational& a, const Rational& b) noexcept;

private:
    static Rational reduced(Wide num, Wide den);
    std::int64_t num_ = 0;
    std::int64_t den_ = 1;
};

}  // namespace bln
