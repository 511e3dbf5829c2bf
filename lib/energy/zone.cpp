#include "energy/zone.hpp"

#include <algorithm>
#include <chrono>

#include "power/failure.hpp"
#include "site/instant.hpp"

namespace bln::energy {
namespace {

/// Clocks are set by at most 26 hours: no farther from an instant need one look for its change.
constexpr std::int64_t reach = 52 * 3600 * second_us;

std::int64_t seconds_of(Instant at) noexcept { return at >= 0 ? at / second_us : -((-(at + 1)) / second_us) - 1; }

void check_years(Instant at, std::string_view zone) {
    // A day of margin, so that local time stays writable too.
    if (at < first_instant + 2 * day_us || at > last_instant - 2 * day_us)
        throw Failure(BLN_E_RANGE, "zone " + std::string(zone) + ": the instant lies outside years 0001 to 9999");
}

}  // namespace

Date date_of(std::int64_t day) noexcept {
    const std::chrono::year_month_day d{std::chrono::sys_days{std::chrono::days{day}}};
    return {static_cast<int>(d.year()), static_cast<int>(static_cast<unsigned>(d.month())),
            static_cast<int>(static_cast<unsigned>(d.day()))};
}

std::int64_t days_of(std::int64_t year, std::int64_t month, int day) noexcept {
    const std::int64_t months = year * 12 + month - 1;
    const std::int64_t y = months >= 0 ? months / 12 : -((-months + 11) / 12);
    const auto m = static_cast<unsigned>(months - y * 12 + 1);
    using namespace std::chrono;
    return sys_days{std::chrono::year{static_cast<int>(y)} / std::chrono::month{m} / std::chrono::day{1}}
               .time_since_epoch()
               .count() +
           day - 1;
}

Wall read_wall(std::string_view text, std::string_view what) {
    Instant w = 0;
    const bool zoned = text.find_first_of("Zz+", 0) != std::string_view::npos || text.size() < 19;
    std::string_view why = "it has no form like 2026-03-01T01:30:00";
    if (!zoned) why = read_instant(std::string(text) + "Z", w);
    if (!why.empty())
        throw Failure(BLN_E_VALUE,
                      std::string(what) + " \"" + std::string(text) + "\" is no local time: " +
                          (zoned ? "it is written like 2026-03-01T01:30:00, without an offset" : std::string(why)));
    return w;
}

std::int64_t read_date(std::string_view text, std::string_view what) {
    Instant w = 0;
    if (text.size() != 10 || !read_instant(std::string(text) + "T00:00:00Z", w).empty())
        throw Failure(BLN_E_VALUE,
                      std::string(what) + " \"" + std::string(text) + "\" is no date: one is written like 2026-03-01");
    return day_of(w);
}

std::string wall_text(Wall w) {
    std::string out = instant_text(w);
    out.pop_back();
    return out;
}
std::string date_text(std::int64_t day) { return instant_text(day * day_us).substr(0, 10); }

const ZoneType& Zone::listed(Instant at) const noexcept {
    const auto after =
        std::upper_bound(changes_.begin(), changes_.end(), at, [](Instant i, const Change& c) { return i < c.at; });
    return types_[after == changes_.begin() ? 0 : (after - 1)->type];
}

const ZoneType& Zone::at(Instant at) const {
    check_years(at, name_);
    const bool later = changes_.empty() || at >= changes_.back().at;
    if (!later) return listed(at);
    if (has_rule_) return rule_.at(seconds_of(at));
    if (changes_.empty()) return types_.front();
    throw Failure(BLN_E_ABSENT, "the rules handed in for zone " + name_ + " end at " +
                                    (writable(changes_.back().at) ? instant_text(changes_.back().at) : "their start") +
                                    ": they have no rule for later years");
}

Instant Zone::next_change(Instant at) const {
    const auto after =
        std::upper_bound(changes_.begin(), changes_.end(), at, [](Instant i, const Change& c) { return i < c.at; });
    if (after != changes_.end()) return after->at;
    if (!has_rule_ || !rule_.changes) return end_of_time;
    check_years(at, name_);
    for (const PosixRule::Change& c : rule_.around(seconds_of(at)))
        if (c.at * second_us > at) return c.at * second_us;
    return end_of_time;
}

Moments Zone::moments(Wall w) const {
    check_years(w, name_);
    Moments m;
    Instant from = w - reach;
    if (from < first_instant + 2 * day_us) from = first_instant + 2 * day_us;
    Wall shown_before = from;  // what the clock last showed before the segment
    bool before = false;
    const Instant known = has_rule_ || changes_.empty() ? end_of_time : changes_.back().at;
    while (from <= w + reach) {
        if (from >= known) {
            if (m.count == 0) (void)at(from);  // says that the rules end
            break;
        }
        const Instant to = next_change(from);
        const std::int64_t offset = Wall{at(from).offset} * second_us;
        const Instant i = w - offset;
        if (i >= from && i < to) {
            if (m.count++ == 0) m.earlier = i;
            m.later = i;
        } else if (m.count == 0 && before && w >= shown_before && w < from + offset) {
            m.earlier = m.later = from;
        }
        if (to > w + reach) break;
        shown_before = to + offset;
        before = true;
        from = to;
    }
    return m;
}

bool Zone::repeated(Instant i) const {
    const Moments m = moments(wall(i));
    return m.count > 1 && i != m.earlier;
}

Instant Zone::day_begins(std::int64_t day) const {
    if (day > day_of(last_instant) || day < day_of(first_instant))
        throw Failure(BLN_E_RANGE, "zone " + name_ + ": the date lies outside years 0001 to 9999");
    return moments(day * day_us).earlier;
}

Span Zone::period(Calendar kind, std::int64_t day) const {
    const Date d = date_of(day);
    std::int64_t from = day, to = day + 1;
    switch (kind) {
        case Calendar::day:
            break;
        case Calendar::week:
            from = day - (weekday_of(day) - 1);
            to = from + 7;
            break;
        case Calendar::month:
            from = days_of(d.year, d.month, 1);
            to = days_of(d.year, d.month + 1, 1);
            break;
        case Calendar::quarter: {
            const int first = (d.month - 1) / 3 * 3 + 1;
            from = days_of(d.year, first, 1);
            to = days_of(d.year, first + 3, 1);
            break;
        }
        case Calendar::year:
            from = days_of(d.year, 1, 1);
            to = days_of(d.year + 1, 1, 1);
            break;
        default:
            throw Failure(BLN_E_RANGE, "there is no such calendar period");
    }
    return {day_begins(from), day_begins(to)};
}

}  // namespace bln::energy
