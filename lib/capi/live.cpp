// Readings and the live check.
#include "capi/live.hpp"

#include "capi/sized.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

const Live& core(const bln_live* live) { return *required(live, "live").core; }

AngleConvention angle_convention(std::int32_t v) {
    if (v == 0 || v == BLN_ANGLE_V_MINUS_I || v == BLN_ANGLE_I_MINUS_V) return static_cast<AngleConvention>(v);
    throw Failure(BLN_E_RANGE, "there is no such convention of angles");
}

PowerFactorConvention factor_convention(std::int32_t v) {
    if (v == 0 || v == BLN_PF_UNSIGNED || v == BLN_PF_SIGN_OF_WATTS || v == BLN_PF_LAG_POSITIVE ||
        v == BLN_PF_LEAD_POSITIVE)
        return static_cast<PowerFactorConvention>(v);
    throw Failure(BLN_E_RANGE, "there is no such convention of power factors");
}

}  // namespace

extern "C" {

bln_status bln_readings_new(size_t n, const char* const* channels, const bln_readings_columns* columns,
                            bln_readings** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const bln_readings_columns given = take(columns, "columns");
        std::vector<std::string_view> ids(n);
        for (std::size_t i = 0; i < n; ++i) ids[i] = required_text((&required(channels, "channels"))[i], "a channel");
        const ReadingColumns c{angle_convention(given.angle_convention),
                               factor_convention(given.power_factor_convention),
                               Column(given.at, "at"),
                               {Column(given.volts, "volts"), Column(given.amps, "amps"), Column(given.watts, "watts"),
                                Column(given.vars, "vars"), Column(given.volt_amps, "volt_amps"),
                                Column(given.power_factor, "power_factor"), Column(given.angle_deg, "angle_deg")}};
        return holding<bln_readings>(std::make_shared<const Readings>(readings_from_columns(ids, c)));
    });
}

bln_status bln_readings_read_csv(const char* csv, size_t n, const bln_limits* limits, bln_readings** out,
                                 bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        return holding<bln_readings>(
            std::make_shared<const Readings>(readings_from_csv(required_bytes(csv, n, "csv"), most_bytes(limits))));
    });
}

size_t bln_readings_count(const bln_readings* readings) BLN_NOEXCEPT {
    return readings == nullptr ? 0 : readings->core->rows().size();
}
void bln_readings_free(bln_readings* readings) BLN_NOEXCEPT { delete readings; }

bln_status bln_live_check(const bln_view* view, const bln_readings* readings, const bln_policy* policy,
                          bln_progress progress, void* user, bln_live** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const View& v = *required(view, "view").view;
        const Readings& r = *required(readings, "readings").core;
        if (policy != nullptr && policy->domain != BLN_POLICY_LIVE)
            throw Failure(BLN_E_ARGUMENT, "the policy belongs to another domain than BLN_POLICY_LIVE");
        const Policy limits = policy == nullptr ? Policy(live_policy()) : policy->values;
        return holding<bln_live>(std::make_shared<const Live>(live_check(v, r, limits, Progress(progress, user))));
    });
}

size_t bln_live_channel_count(const bln_live* live) BLN_NOEXCEPT {
    return live == nullptr ? 0 : live->core->channels.size();
}
bln_status bln_live_channel_at(const bln_live* live, size_t i, bln_live_channel* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const LiveChannel& c = item_at(core(live).channels, i, "channel");
        const auto given =
            static_cast<std::uint32_t>((c.has_watts ? BLN_LIVE_HAS_WATTS : 0) | (c.has_vars ? BLN_LIVE_HAS_VARS : 0) |
                                       (c.has_angle ? BLN_LIVE_HAS_ANGLE : 0) | (c.has_band ? BLN_LIVE_HAS_BAND : 0));
        hand_out(out,
                 bln_live_channel{0, static_cast<std::int32_t>(c.proof), c.channel.c_str(), c.point.c_str(),
                                  c.reads_as.c_str(), c.row, c.loaded ? 1 : 0, given, c.watts, c.vars, c.angle_deg,
                                  c.band_low_deg, c.band_high_deg},
                 "out");
    });
}

size_t bln_live_point_count(const bln_live* live) BLN_NOEXCEPT {
    return live == nullptr ? 0 : live->core->points.size();
}
bln_status bln_live_point_at(const bln_live* live, size_t i, bln_live_point* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const LivePoint& p = item_at(core(live).points, i, "point");
        hand_out(out,
                 bln_live_point{0, static_cast<std::int32_t>(p.proof), p.point.c_str(), p.channels, p.read, p.loaded, 0,
                                p.watts, p.vars},
                 "out");
    });
}

size_t bln_live_sum_count(const bln_live* live) BLN_NOEXCEPT { return live == nullptr ? 0 : live->core->sums.size(); }
bln_status bln_live_sum_at(const bln_live* live, size_t i, bln_live_sum* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const LiveSum& s = item_at(core(live).sums, i, "sum");
        hand_out(out,
                 bln_live_sum{0, static_cast<std::int32_t>(s.verdict), s.main.c_str(), s.phase.c_str(), s.main_watts,
                              s.branch_watts, s.tolerance_watts, s.circuits, s.unread},
                 "out");
    });
}

bln_status bln_live_report(const bln_live* live, bln_report** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        auto made = std::make_unique<bln_report>();
        made->report = core(live).report;
        return made;
    });
}

void bln_live_free(bln_live* live) BLN_NOEXCEPT { delete live; }

}  // extern "C"
