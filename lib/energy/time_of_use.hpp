// Time-of-use tables: which bin an hour of the local calendar falls into.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "energy/zone.hpp"
#include "site/json_scan.hpp"

namespace bln::energy {

/// Where a table keeps its ranges for a kind of day: Monday to Sunday, then holidays.
inline constexpr std::size_t day_kinds = 8;

/// Immutable.
class TimeOfUse {
public:
    /// Reads the JSON form that docs/guides/calendars.md describes. Throws the statuses of a JSON text, BLN_E_FORMAT,
    /// BLN_E_FIELD, BLN_E_TYPE, BLN_E_VALUE (overlap, gap, unknown bin ...), all with their place.
    [[nodiscard]] static TimeOfUse read(std::string_view json, const JsonLimits& limits);

    [[nodiscard]] const std::vector<std::string>& bins() const noexcept { return bins_; }
    [[nodiscard]] const std::string& name() const noexcept { return name_; }
    [[nodiscard]] const std::string& digest() const noexcept { return digest_; }
    [[nodiscard]] bool holiday(std::int64_t day) const noexcept;

    struct Stretch {
        std::uint16_t bin = 0;
        Wall to = 0;  ///< the bin holds up to here on the wall, at least; never beyond the day
    };
    /// Throws BLN_E_ABSENT where no table holds on that date.
    [[nodiscard]] Stretch at(Wall w) const;

private:
    friend class TimeOfUseReader;
    struct Range {
        std::int64_t to = 0;  ///< microseconds after midnight
        std::uint16_t bin = 0;
    };
    struct Season {
        std::string name;
        int from = 0, to = 0;  ///< month * 100 + day; [from, to), may pass the end of the year; equal: always
        std::array<std::uint32_t, day_kinds> day{};  ///< position in days_
        [[nodiscard]] bool holds(int month_day) const noexcept {
            if (from == to) return true;
            return from < to ? month_day >= from && month_day < to : month_day >= from || month_day < to;
        }
    };
    struct Table {
        std::int64_t from = 0, to = 0;  ///< days since 1970-01-01
        std::vector<Season> seasons;
    };
    std::string name_, digest_;
    std::vector<std::string> bins_;
    std::vector<std::int64_t> holidays_;    // ascending
    std::vector<std::vector<Range>> days_;  // each divides a day from midnight to midnight
    std::vector<Table> tables_;             // ascending, no overlap
};

}  // namespace bln::energy
