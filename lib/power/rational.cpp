#include "power/rational.hpp"

#include <limits>

#include "power/failure.hpp"

namespace bln {
namespace {

Wide gcd(Wide a, Wide b) noexcept {
    while (b != 0) {
        const Wide r = a % b;
        a = b;
        b = r;
    }
    return a < 0 ? -a : a;
}

}  // namespace

Rational Rational::reduced(Wide num, Wide den) {
    if (den == 0) throw Failure(BLN_E_RANGE, "division of a ratio by zero");
    const Wide g = den == 1 ? 1 : gcd(num, den);  // whole numbers are most of what forms hold
    if (g > 1) {
        num /= g;
        den /= g;
    }
    if (den < 0) {
        num = -num;
        den = -den;
    }
    constexpr Wide high = std::numeric_limits<std::int64_t>::max();
    constexpr Wide low = std::numeric_limits<std::int64_t>::min();
    if (num > high || num < low || den > high) throw Failure(BLN_E_OVERFLOW, "a ratio needs more than 64 bits");
    Rational r;
    r.num_ = static_cast<std::int64_t>(num);
    r.den_ = static_cast<std::int64_t>(den);
    return r;
}

Rational::Rational(std::int64_t num, std::int64_t den) { *this = reduced(num, den); }

std::string Rational::text() const {
    return den_ == 1 ? std::to_string(num_) : std::to_string(num_) + "/" + std::to_string(den_);
}

// Products of two 64-bit numbers fit 128 bits; the sum of two such products is at most
// 2 * 2^63 * (2^63 - 1) < 2^127, so no intermediate here can wrap.
Rational operator+(const Rational& a, const Rational& b) {
    if (a.den_ == 1 && b.den_ == 1) return Rational::reduced(Wide{a.num_} + b.num_, 1);
    return Rational::reduced(Wide{a.num_} * b.den_ + Wide{b.num_} * a.den_, Wide{a.den_} * b.den_);
}
Rational operator-(const Rational& a, const Rational& b) {
    if (a.den_ == 1 && b.den_ == 1) return Rational::reduced(Wide{a.num_} - b.num_, 1);
    return Rational::reduced(Wide{a.num_} * b.den_ - Wide{b.num_} * a.den_, Wide{a.den_} * b.den_);
}
Rational operator*(const Rational& a, const Rational& b) {
    return Rational::reduced(Wide{a.num_} * b.num_, Wide{a.den_} * b.den_);
}
Rational operator/(const Rational& a, const Rational& b) {
    return Rational::reduced(Wide{a.num_} * b.den_, Wide{a.den_} * b.num_);
}
Rational Rational::operator-() const { return reduced(-Wide{num_}, den_); }
bool operator<(const Rational& a, const Rational& b) noexcept { return Wide{a.num_} * b.den_ < Wide{b.num_} * a.den_; }

}  // namespace bln
