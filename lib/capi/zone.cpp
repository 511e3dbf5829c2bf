// Zone rules and local time.
#include "capi/calendar.hpp"
#include "capi/sized.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

const energy::Zone& core(const bln_zone* zone) { return *required(zone, "zone").core; }

}  // namespace

extern "C" {

bln_status bln_zone_read(const char* name, const void* tzif, size_t n, const char* version, bln_zone** out,
                         bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const std::string_view bytes = required_bytes(static_cast<const char*>(tzif), n, "tzif");
        return holding<bln_zone>(std::make_shared<const energy::Zone>(
            energy::Zone::read(required_text(name, "name"), bytes, required_text(version, "version"))));
    });
}

const char* bln_zone_name(const bln_zone* zone) BLN_NOEXCEPT {
    return zone == nullptr ? "" : zone->core->name().c_str();
}
const char* bln_zone_version(const bln_zone* zone) BLN_NOEXCEPT {
    return zone == nullptr ? "" : zone->core->version().c_str();
}
const char* bln_zone_digest(const bln_zone* zone) BLN_NOEXCEPT {
    return zone == nullptr ? "" : zone->core->digest().c_str();
}

bln_status bln_zone_matches(const bln_zone* zone, const bln_site* site, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const energy::Zone& z = core(zone);
        const View view(required(site, "site").model, end_of_time, end_of_time);
        const std::string_view named = view.site.empty() ? std::string_view() : view.site.front().zone;
        if (named.empty()) throw Failure(BLN_E_ABSENT, "the record names no time zone", {}, "/zone");
        if (named != z.name())
            throw Failure(
                BLN_E_VALUE,
                "the record names the time zone " + std::string(named) + ", and the rules are those of " + z.name(), {},
                "/zone");
    });
}

bln_status bln_zone_local(const bln_zone* zone, bln_instant at, bln_local* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const energy::Zone& z = core(zone);
        const energy::ZoneType& type = z.at(at);
        const energy::Wall w = at + energy::Wall{type.offset} * energy::second_us;
        const std::int64_t day = energy::day_of(w);
        const energy::Date date = energy::date_of(day);
        const std::int64_t us = energy::time_of(w);
        const auto part = [us](std::int64_t unit, std::int64_t most) {
            return static_cast<std::int32_t>(us / unit % most);
        };
        hand_out(out,
                 bln_local{0, date.year, date.month, date.day, part(3600 * energy::second_us, 24),
                           part(60 * energy::second_us, 60), part(energy::second_us, 60), part(1, energy::second_us),
                           energy::weekday_of(day), type.offset, type.dst ? 1 : 0, z.repeated(at) ? 1 : 0,
                           type.letters.c_str()},
                 "out");
    });
}

bln_status bln_zone_moments(const bln_zone* zone, const char* local, bln_moments* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const energy::Moments m = core(zone).moments(energy::read_wall(required_text(local, "local"), "local"));
        hand_out(out, bln_moments{0, m.count, m.earlier, m.later}, "out");
    });
}

bln_status bln_zone_period(const bln_zone* zone, int32_t period, const char* date, bln_instant* from, bln_instant* to,
                           bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        required(from, "from");
        required(to, "to");
        switch (period) {
            case BLN_PERIOD_DAY:
            case BLN_PERIOD_WEEK:
            case BLN_PERIOD_MONTH:
            case BLN_PERIOD_QUARTER:
            case BLN_PERIOD_YEAR:
                break;
            default:
                throw Failure(BLN_E_RANGE, "there is no calendar period " + std::to_string(period));
        }
        const energy::Span span = core(zone).period(static_cast<energy::Calendar>(period),
                                                    energy::read_date(required_text(date, "date"), "date"));
        *from = span.from;
        *to = span.to;
    });
}

void bln_zone_free(bln_zone* zone) BLN_NOEXCEPT { delete zone; }

}  // extern "C"
