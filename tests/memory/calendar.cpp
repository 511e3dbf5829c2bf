// Functions over calendars, demand and apportionment that may need memory.
#include <iterator>

#include "scenario.hpp"

namespace {

template <class T>
T sized() {
    T row{};
    row.size = sizeof row;
    return row;
}

bln_status try_zone_read(Fixture& f, bln_error** e) {
    return made<bln_zone>(f, bln_zone_free, [&](bln_zone** out) {
        return bln_zone_read("Europe/Berlin", zone_bytes.data(), zone_bytes.size(), "hand-made edition", out, e);
    });
}
bln_status try_zone_matches(Fixture& f, bln_error** e) { return bln_zone_matches(f.zone, f.site, e); }
bln_status try_zone_local(Fixture& f, bln_error** e) {
    auto row = sized<bln_local>();
    return bln_zone_local(f.zone, 0, &row, e);
}
bln_status try_zone_moments(Fixture& f, bln_error** e) {
    auto row = sized<bln_moments>();
    return bln_zone_moments(f.zone, "2026-10-25T02:30:00", &row, e);
}
bln_status try_zone_period(Fixture& f, bln_error** e) {
    bln_instant from = 0, to = 0;
    return bln_zone_period(f.zone, BLN_PERIOD_MONTH, "2026-10-25", &from, &to, e);
}
bln_status try_tou_read(Fixture& f, bln_error** e) {
    return made<bln_tou>(f, bln_tou_free, [&](bln_tou** out) {
        return bln_tou_read(time_of_use_json.data(), time_of_use_json.size(), nullptr, out, e);
    });
}
bln_status try_tou_at(Fixture& f, bln_error** e) {
    std::size_t bin = 0;
    return bln_tou_at(f.tou, "2026-10-25T02:30:00", &bin, e);
}
bln_status try_tou_divide(Fixture& f, bln_error** e) {
    return made<bln_bins>(f, bln_bins_free, [&](bln_bins** out) {
        return bln_tou_divide(f.tou, f.zone, &equal_series, BLN_STRADDLE_DIVIDE, out, e);
    });
}
bln_status try_bins_at(Fixture& f, bln_error** e) {
    auto row = sized<bln_bin_row>();
    return bln_bins_at(f.bins, 0, &row, e);
}
bln_status try_bins_json(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_bins_json(f.bins, out, e); });
}
bln_status try_demand_new(Fixture& f, bln_error** e) {
    return made<bln_demand>(f, bln_demand_free, [&](bln_demand** out) {
        return bln_demand_new(&demand_rule, f.zone, &equal_series, out, e);
    });
}
bln_status try_demand_at(Fixture& f, bln_error** e) {
    auto row = sized<bln_demand_window>();
    return bln_demand_at(f.demand, 0, &row, e);
}
bln_status try_demand_scale(Fixture& f, bln_error** e) {
    std::int64_t num = 0, den = 0;
    return bln_demand_scale(f.demand, &num, &den, e);
}
bln_status try_demand_peak(Fixture& f, bln_error** e) {
    auto row = sized<bln_peak>();
    return bln_demand_peak(f.demand, BLN_DEMAND_APPARENT, BLN_BEGIN_OF_TIME, BLN_END_OF_TIME, &row, e);
}
bln_status try_demand_peak_in_bin(Fixture& f, bln_error** e) {
    auto row = sized<bln_peak>();
    return bln_demand_peak_in_bin(f.demand, BLN_DEMAND_ACTIVE, BLN_BEGIN_OF_TIME, BLN_END_OF_TIME, f.tou, f.zone, 0,
                                  &row, e);
}
bln_status try_demand_json(Fixture& f, bln_error** e) {
    return made_text(
        f, [&](bln_text** out) { return bln_demand_json(f.demand, BLN_BEGIN_OF_TIME, BLN_END_OF_TIME, out, e); });
}
bln_status try_apportion(Fixture& f, bln_error** e) {
    return made<bln_apportionment>(f, bln_apportionment_free, [&](bln_apportionment** out) {
        return bln_apportion(&share_rule, nullptr, BLN_END_OF_TIME, share_keys, std::size(share_keys), out, e);
    });
}
bln_status try_apportionment_at(Fixture& f, bln_error** e) {
    auto row = sized<bln_share_part>();
    return bln_apportionment_at(f.apportionment, 0, &row, e);
}
bln_status try_apportionment_step(Fixture& f, bln_error** e) {
    auto row = sized<bln_share_step>();
    return bln_apportionment_step(f.apportionment, 0, &row, e);
}
bln_status try_apportionment_words(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_apportionment_words(f.apportionment, out, e); });
}
bln_status try_apportionment_json(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_apportionment_json(f.apportionment, out, e); });
}

const Scenario rows[] = {
    {"bln_zone_read", try_zone_read},
    {"bln_zone_matches", try_zone_matches},
    {"bln_zone_local", try_zone_local},
    {"bln_zone_moments", try_zone_moments},
    {"bln_zone_period", try_zone_period},
    {"bln_tou_read", try_tou_read},
    {"bln_tou_at", try_tou_at},
    {"bln_tou_divide", try_tou_divide},
    {"bln_bins_at", try_bins_at},
    {"bln_bins_json", try_bins_json},
    {"bln_demand_new", try_demand_new},
    {"bln_demand_at", try_demand_at},
    {"bln_demand_scale", try_demand_scale},
    {"bln_demand_peak", try_demand_peak},
    {"bln_demand_peak_in_bin", try_demand_peak_in_bin},
    {"bln_demand_json", try_demand_json},
    {"bln_apportion", try_apportion},
    {"bln_apportionment_at", try_apportionment_at},
    {"bln_apportionment_step", try_apportionment_step},
    {"bln_apportionment_words", try_apportionment_words},
    {"bln_apportionment_json", try_apportionment_json},
};

}  // namespace

std::span<const Scenario> calendar_scenarios() { return rows; }
