// Rules of one time zone, from the bytes of a TZif file (RFC 9636, versions 1 to 4).
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "energy/posix_rule.hpp"
#include "site/value.hpp"

namespace bln::energy {

/// Microseconds from 1970-01-01 00:00 on the clock on the wall, whatever the zone.
using Wall = std::int64_t;
inline constexpr std::int64_t second_us = 1'000'000;
inline constexpr std::int64_t day_us = 86'400 * second_us;

/// Days since 1970-01-01, whole microseconds after midnight.
[[nodiscard]] constexpr std::int64_t day_of(Wall w) noexcept {
    return w >= 0 ? w / day_us : -((-w + day_us - 1) / day_us);
}
[[nodiscard]] constexpr std::int64_t time_of(Wall w) noexcept { return w - day_of(w) * day_us; }
/// 1 Monday to 7 Sunday (ISO 8601).
[[nodiscard]] constexpr int weekday_of(std::int64_t day) noexcept {
    return static_cast<int>(((day + 3) % 7 + 7) % 7) + 1;
}

struct Date {
    int year = 0;
    int month = 0, day = 0;
};
[[nodiscard]] Date date_of(std::int64_t day) noexcept;
/// Days since 1970-01-01 of a date that may have any month number (13 is January of the next year).
[[nodiscard]] std::int64_t days_of(std::int64_t year, std::int64_t month, int day) noexcept;
/// "2026-03-01" as days. Throws BLN_E_VALUE; @p what names the text.
[[nodiscard]] std::int64_t read_date(std::string_view text, std::string_view what);
/// "2026-03-01T01:30:00", no offset. Throws BLN_E_VALUE.
[[nodiscard]] Wall read_wall(std::string_view text, std::string_view what);
[[nodiscard]] std::string date_text(std::int64_t day);
/// "2026-03-01T01:30:00"
[[nodiscard]] std::string wall_text(Wall w);

/// The instants at which a clock shows one time: none, one, or two.
struct Moments {
    int count = 0;
    Instant earlier = 0, later = 0;  ///< where there is none: the instant at which it was skipped
};

struct Span {
    Instant from = 0, to = 0;
};

enum class Calendar : std::uint8_t { day = 10, week = 20, month = 30, quarter = 40, year = 50 };

/// Immutable.
class Zone {
public:
    /// Throws BLN_E_SYNTAX (not TZif, or truncated), BLN_E_FORMAT (version; leap seconds), BLN_E_VALUE (contradiction;
    /// name), each with the byte.
    [[nodiscard]] static Zone read(std::string_view name, std::string_view bytes, std::string_view version);

    [[nodiscard]] const std::string& name() const noexcept { return name_; }
    [[nodiscard]] const std::string& version() const noexcept { return version_; }
    [[nodiscard]] const std::string& digest() const noexcept { return digest_; }  ///< SHA-256 of the bytes

    /// What holds at @p at. Throws BLN_E_ABSENT where the rules end (a file without a rule for later years).
    [[nodiscard]] const ZoneType& at(Instant at) const;
    /// The first change after @p at, or the end of time.
    [[nodiscard]] Instant next_change(Instant at) const;
    [[nodiscard]] Wall wall(Instant i) const { return i + Wall{at(i).offset} * second_us; }
    [[nodiscard]] Moments moments(Wall w) const;
    /// Whether a clock showed this time before: the second of two.
    [[nodiscard]] bool repeated(Instant i) const;
    /// First instant of a local day (days since 1970-01-01). Days follow each other without gap; a day that was
    /// skipped has no length.
    [[nodiscard]] Instant day_begins(std::int64_t day) const;
    /// The calendar period that holds a local day, from midnight to midnight.
    [[nodiscard]] Span period(Calendar kind, std::int64_t day) const;

private:
    friend class TzifReader;
    struct Change {
        Instant at = 0;
        std::uint8_t type = 0;
    };
    [[nodiscard]] const ZoneType& listed(Instant at) const noexcept;
    std::string name_, version_, digest_;
    std::vector<ZoneType> types_;
    std::vector<Change> changes_;  // ascending
    bool has_rule_ = false;
    PosixRule rule_;
};

}  // namespace bln::energy
