// Whole numbers of any size, not negative: for divisions that must be exact whatever the input.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "power/wide.hpp"

namespace bln {

/// Only what exact division among parties needs. Throws std::bad_alloc.
class Natural {
public:
    Natural() = default;
    explicit Natural(UWide value);

    [[nodiscard]] bool is_zero() const noexcept { return limbs_.empty(); }
    [[nodiscard]] std::size_t bits() const noexcept;
    [[nodiscard]] double real() const noexcept;  ///< rounded; infinite beyond a double
    [[nodiscard]] std::string text() const;      ///< decimal digits

    Natural& operator+=(const Natural& b);
    Natural& operator-=(const Natural& b);  ///< b not above this
    friend Natural operator+(Natural a, const Natural& b) { return a += b; }
    friend Natural operator-(Natural a, const Natural& b) { return a -= b; }
    friend Natural operator*(const Natural& a, const Natural& b);
    friend int compare(const Natural& a, const Natural& b) noexcept;
    friend bool operator==(const Natural& a, const Natural& b) noexcept { return a.limbs_ == b.limbs_; }
    friend bool operator<(const Natural& a, const Natural& b) noexcept { return compare(a, b) < 0; }

    struct Division;
    /// @p b not zero.
    [[nodiscard]] static Division divide(const Natural& a, const Natural& b);
    [[nodiscard]] static Natural gcd(Natural a, Natural b);
    [[nodiscard]] Natural shifted(std::size_t bits) const;  ///< times 2^bits
    /// Whether it fits, and the value.
    [[nodiscard]] bool fits(std::uint64_t& out) const noexcept;

private:
    [[nodiscard]] UWide wide() const noexcept;  ///< of at most four limbs
    void trim() noexcept {
        while (!limbs_.empty() && limbs_.back() == 0) limbs_.pop_back();
    }
    std::vector<std::uint32_t> limbs_;  // least significant first, no leading zero
};

struct Natural::Division {
    Natural quotient, rest;
};

}  // namespace bln
