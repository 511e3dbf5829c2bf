#include "energy/time_of_use.hpp"

#include <algorithm>

#include "power/failure.hpp"

namespace bln::energy {

bool TimeOfUse::holiday(std::int64_t day) const noexcept {
    return std::binary_search(holidays_.begin(), holidays_.end(), day);
}

TimeOfUse::Stretch TimeOfUse::at(Wall w) const {
    const std::int64_t day = day_of(w);
    const auto after = std::upper_bound(tables_.begin(), tables_.end(), day,
                                        [](std::int64_t d, const Table& t) { return d < t.from; });
    if (after == tables_.begin() || day >= (after - 1)->to)
        throw Failure(BLN_E_ABSENT, "time-of-use table \"" + name_ + "\" says nothing about " + date_text(day));
    const Date date = date_of(day);
    const int month_day = date.month * 100 + date.day;
    const std::size_t kind = holiday(day) ? day_kinds - 1 : static_cast<std::size_t>(weekday_of(day) - 1);
    const Table& table = *(after - 1);
    const auto season = std::find_if(table.seasons.begin(), table.seasons.end(),
                                     [month_day](const Season& s) { return s.holds(month_day); });
    const std::vector<Range>& ranges = days_[season->day[kind]];
    const std::int64_t time = time_of(w);
    const auto range =
        std::upper_bound(ranges.begin(), ranges.end(), time, [](std::int64_t t, const Range& r) { return t < r.to; });
    return {range->bin, day * day_us + range->to};
}

}  // namespace bln::energy
