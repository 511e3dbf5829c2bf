// The rule at the end of a TZif file: what the clocks do after its last listed change.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>

namespace bln::energy {

/// What clocks show: seconds east of UTC, whether that is called summer time, and its letters.
struct ZoneType {
    std::int32_t offset = 0;
    bool dst = false;
    std::string letters;
};

/// One yearly date with a time of day, as POSIX (IEEE Std 1003.1, TZ) and RFC 9636 (section 3.3.1) write it.
struct YearlyChange {
    enum class Kind : std::uint8_t { month_week_day, julian, day_of_year };
    Kind kind = Kind::julian;
    int month = 0, week = 0, day = 0;
    std::int32_t seconds = 7200;  ///< of local time, from midnight; may be negative or beyond a day
    /// Seconds since 1970-01-01 in local time, of this change in @p year.
    [[nodiscard]] std::int64_t local_in(std::int64_t year) const noexcept;
};

struct PosixRule {
    ZoneType standard, summer;
    bool changes = false;  ///< whether there is a summer time
    YearlyChange begins, ends;

    struct Change {
        std::int64_t at = 0;  ///< seconds since 1970-01-01 UTC
        bool summer = false;
    };
    /// Changes of the years before, in and after that of @p at (seconds UTC), ascending. Needs `changes`.
    [[nodiscard]] std::array<Change, 8> around(std::int64_t at) const noexcept;
    /// What holds at an instant in seconds.
    [[nodiscard]] const ZoneType& at(std::int64_t seconds) const noexcept;
};

/// Throws Failure(BLN_E_VALUE), with a message that quotes @p text. @p wide_hours: times of -167 to 167 hours are
/// allowed, as from version 3 of the format on.
[[nodiscard]] PosixRule read_posix_rule(std::string_view text, bool wide_hours);

}  // namespace bln::energy
