// Numbers and times in the cells of interval files: whole, exact, and fast for cells that resemble the one before.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>

#include "energy/column_map.hpp"

namespace bln {

/// Turns decimal numbers into counts; what is no whole number of counts is refused, never rounded.
class CountReader {
public:
    /// @param counts_per_unit  counts of a 1 in the file. Throws BLN_E_OVERFLOW when a factor does not fit.
    CountReader(char decimal, const Rational& counts_per_unit);
    /// BLN_OK, BLN_E_VALUE (no decimal number), BLN_E_NOT_FINITE is not told apart, BLN_E_OVERFLOW, or BLN_E_RANGE
    /// (a fraction of a count).
    [[nodiscard]] bln_status read(std::string_view cell, std::int64_t& out) const noexcept {
        // Nearly every cell is a short integer of counts.
        if (plain_ && cell.size() - 1 < 18) {
            const char* at = cell.data();
            const char* const end = at + cell.size();
            const bool minus = *at == '-';
            at += minus ? 1 : 0;
            std::uint64_t value = 0;
            unsigned bad = at == end ? 1 : 0;
            for (; at != end; ++at) {
                const auto digit = static_cast<unsigned>(static_cast<unsigned char>(*at)) - '0';
                bad |= digit > 9 ? 1U : 0U;
                value = value * 10 + digit;
            }
            if (bad == 0) {
                out = minus ? -static_cast<std::int64_t>(value) : static_cast<std::int64_t>(value);
                return BLN_OK;
            }
        }
        return read_any(cell, out);
    }

private:
    static constexpr std::size_t most_digits = 18;  // after the decimal
    struct Factor {
        std::int64_t num = 0, den = 0;  // den 0: does not fit
    };
    [[nodiscard]] bln_status read_any(std::string_view cell, std::int64_t& out) const noexcept;
    char decimal_;
    bool plain_;
    std::array<Factor, most_digits + 1> factor_{};  // counts of one unit of the last digit
};

/// Reads times; remembers the day and the offset of the cell before.
class TimeReader {
public:
    explicit TimeReader(TimeForm form) noexcept : form_(form) {}
    /// Why it cannot be read, or an empty text.
    [[nodiscard]] std::string_view read(std::string_view cell, Instant& out);

private:
    [[nodiscard]] std::string_view read_rfc3339(std::string_view cell, Instant& out);
    TimeForm form_;
    char day_[11] = {};     // "2026-03-01T" of the cell before
    std::string tail_;      // "Z" or "+01:00" of the cell before
    Instant midnight_ = 0;  // of that day at that offset
    bool known_ = false;
};

}  // namespace bln
