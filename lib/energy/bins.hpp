// Energy divided among the bins of a time-of-use table, exactly.
#pragma once

#include <string>
#include <vector>

#include "energy/equal_series.hpp"
#include "energy/time_of_use.hpp"
#include "power/rational.hpp"

namespace bln::energy {

/// What happens with an interval in which the bin changes.
enum class Straddle : std::uint8_t { refuse = 10, divide = 20 };

struct BinRow {
    std::string name;
    std::int64_t count = 0;           ///< whole counts; the bins add up to the total
    std::int64_t whole = 0, num = 0;  ///< exact energy: whole + num / duration, 0 <= num < duration
    std::uint64_t intervals = 0;      ///< intervals wholly in the bin
    std::uint64_t divided = 0;        ///< intervals of which it has a part
    std::uint64_t missing = 0;        ///< of both, the incomplete ones
    std::int64_t time_us = 0;         ///< elapsed time of them all
};

struct Bins {
    std::vector<BinRow> rows;  ///< in the order of the table
    std::int64_t total = 0;    ///< counts
    std::int64_t duration = 0;
    std::uint64_t intervals = 0, divided = 0, missing = 0;
    Instant from = 0, to = 0;
    std::string zone, zone_version, zone_digest, table, table_digest;
};

/// The bin at an instant, and until when it holds for sure.
struct BinAt {
    std::uint16_t bin = 0;
    Instant to = 0;
};
/// Throws BLN_E_ABSENT, as below.
[[nodiscard]] BinAt bin_at(const TimeOfUse& table, const Zone& zone, Instant at);

/// Throws BLN_E_VALUE (an interval straddles a boundary and @p straddle refuses), BLN_E_ABSENT (the table or the zone
/// says nothing about some day), BLN_E_OVERFLOW, and what EqualSeries::check() throws.
[[nodiscard]] Bins divide_by_time_of_use(const TimeOfUse& table, const Zone& zone, const EqualSeries& series,
                                         Straddle straddle);
[[nodiscard]] std::string bins_json(const Bins& bins, Rational quantum);

}  // namespace bln::energy
