#include "power/natural.hpp"

#include <algorithm>
#include <bit>
#include <cmath>

namespace bln {

Natural::Natural(UWide value) {
    for (; value != 0; value >>= 32U) limbs_.push_back(static_cast<std::uint32_t>(value));
}

std::size_t Natural::bits() const noexcept {
    return limbs_.empty() ? 0 : limbs_.size() * 32 - static_cast<std::size_t>(std::countl_zero(limbs_.back()));
}

double Natural::real() const noexcept {
    double v = 0;
    for (std::size_t i = limbs_.size(); i-- > 0;) v = v * 4294967296.0 + limbs_[i];
    return v;
}

std::string Natural::text() const {
    if (is_zero()) return "0";
    std::string digits;
    std::vector<std::uint32_t> left = limbs_;
    while (!left.empty()) {
        std::uint64_t rest = 0;
        for (std::size_t i = left.size(); i-- > 0;) {
            const std::uint64_t v = rest << 32U | left[i];
            left[i] = static_cast<std::uint32_t>(v / 1'000'000'000);
            rest = v % 1'000'000'000;
        }
        while (!left.empty() && left.back() == 0) left.pop_back();
        for (int i = 0; i < 9 && (rest != 0 || !left.empty()); ++i, rest /= 10)
            digits += static_cast<char>('0' + rest % 10);
    }
    std::reverse(digits.begin(), digits.end());
    return digits;
}

Natural& Natural::operator+=(const Natural& b) {
    if (limbs_.size() < b.limbs_.size()) limbs_.resize(b.limbs_.size());
    std::uint64_t carry = 0;
    for (std::size_t i = 0; i < limbs_.size(); ++i) {
        carry += std::uint64_t{limbs_[i]} + (i < b.limbs_.size() ? b.limbs_[i] : 0);
        limbs_[i] = static_cast<std::uint32_t>(carry);
        carry >>= 32U;
    }
    if (carry != 0) limbs_.push_back(static_cast<std::uint32_t>(carry));
    return *this;
}

Natural& Natural::operator-=(const Natural& b) {
    std::int64_t borrow = 0;
    for (std::size_t i = 0; i < limbs_.size(); ++i) {
        const std::int64_t v = std::int64_t{limbs_[i]} - (i < b.limbs_.size() ? std::int64_t{b.limbs_[i]} : 0) + borrow;
        limbs_[i] = static_cast<std::uint32_t>(v);
        borrow = v < 0 ? -1 : 0;
    }
    trim();
    return *this;
}

Natural operator*(const Natural& a, const Natural& b) {
    Natural out;
    if (a.is_zero() || b.is_zero()) return out;
    out.limbs_.resize(a.limbs_.size() + b.limbs_.size());
    for (std::size_t i = 0; i < a.limbs_.size(); ++i) {
        std::uint64_t carry = 0;
        for (std::size_t k = 0; k < b.limbs_.size(); ++k) {
            carry += std::uint64_t{a.limbs_[i]} * b.limbs_[k] + out.limbs_[i + k];
            out.limbs_[i + k] = static_cast<std::uint32_t>(carry);
            carry >>= 32U;
        }
        out.limbs_[i + b.limbs_.size()] = static_cast<std::uint32_t>(carry);
    }
    out.trim();
    return out;
}

int compare(const Natural& a, const Natural& b) noexcept {
    if (a.limbs_.size() != b.limbs_.size()) return a.limbs_.size() < b.limbs_.size() ? -1 : 1;
    for (std::size_t i = a.limbs_.size(); i-- > 0;)
        if (a.limbs_[i] != b.limbs_[i]) return a.limbs_[i] < b.limbs_[i] ? -1 : 1;
    return 0;
}

Natural Natural::shifted(std::size_t bits) const {
    if (is_zero()) return *this;
    Natural out;
    out.limbs_.resize(limbs_.size() + bits / 32 + 1);
    const std::size_t whole = bits / 32;
    const auto part = static_cast<unsigned>(bits % 32);
    for (std::size_t i = 0; i < limbs_.size(); ++i) {
        const std::uint64_t v = std::uint64_t{limbs_[i]} << part;
        out.limbs_[i + whole] |= static_cast<std::uint32_t>(v);
        out.limbs_[i + whole + 1] |= static_cast<std::uint32_t>(v >> 32U);
    }
    out.trim();
    return out;
}

// Bit by bit: quotients here have at most some 64 bits, and numbers are short.
Natural::Division Natural::divide(const Natural& a, const Natural& b) {
    if (a.limbs_.size() <= 4 && b.limbs_.size() <= 4)
        return {Natural(a.wide() / b.wide()), Natural(a.wide() % b.wide())};
    Division d{{}, a};
    if (a < b) return d;
    for (std::size_t shift = a.bits() - b.bits() + 1; shift-- > 0;) {
        if (d.rest.bits() < b.bits() + shift) continue;
        const Natural part = b.shifted(shift);
        if (d.rest < part) continue;
        d.rest -= part;
        d.quotient += Natural(1).shifted(shift);
    }
    return d;
}

Natural Natural::gcd(Natural a, Natural b) {
    while (!b.is_zero()) {
        Natural rest = divide(a, b).rest;
        a = std::move(b);
        b = std::move(rest);
    }
    return a;
}

UWide Natural::wide() const noexcept {
    UWide out = 0;
    for (std::size_t i = limbs_.size(); i-- > 0;) out = out << 32U | limbs_[i];
    return out;
}

bool Natural::fits(std::uint64_t& out) const noexcept {
    if (limbs_.size() > 2) return false;
    out = 0;
    for (std::size_t i = limbs_.size(); i-- > 0;) out = out << 32U | limbs_[i];
    return true;
}

}  // namespace bln
