// Energy of something in equal intervals, as demand and time of use take it.
#pragma once

#include <string>

#include "power/failure.hpp"
#include "site/column.hpp"
#include "site/instant.hpp"

namespace bln::energy {

/// An item whose validity bit is 0 is incomplete: it counts as the known part.
struct EqualSeries {
    Instant first = 0;
    std::int64_t duration = 0;  ///< microseconds
    std::size_t count = 0;
    Column counts;

    [[nodiscard]] Instant start(std::size_t i) const noexcept { return first + static_cast<Instant>(i) * duration; }
    [[nodiscard]] Instant end() const noexcept { return start(count); }
    /// Throws BLN_E_RANGE, BLN_E_TYPE, BLN_E_ARGUMENT.
    void check() const {
        constexpr std::int64_t day = 86'400'000'000;
        if (duration <= 0 || duration > 366 * day)
            throw Failure(BLN_E_RANGE, "the duration of an interval lies outside 1 microsecond to 366 days");
        if (count > 0 && !counts.given()) throw Failure(BLN_E_ARGUMENT, "the series has no counts");
        (void)counts.counts();
        const bool fits = first >= first_instant && first <= last_instant &&
                          count <= static_cast<std::size_t>((last_instant - first) / duration);
        if (!fits) throw Failure(BLN_E_RANGE, "the series lies outside years 0001 to 9999");
    }
};

}  // namespace bln::energy
