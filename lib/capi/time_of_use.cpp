// Time-of-use tables and the energy of their bins.
#include "capi/calendar.hpp"
#include "capi/equal_series.hpp"
#include "capi/lookup.hpp"

using namespace bln;
using namespace bln::capi;

extern "C" {

bln_status bln_tou_read(const char* json, size_t n, const bln_limits* limits, bln_tou** out,
                        bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        return holding<bln_tou>(std::make_shared<const energy::TimeOfUse>(
            energy::TimeOfUse::read(required_bytes(json, n, "json"), json_limits(limits))));
    });
}
size_t bln_tou_bins(const bln_tou* tou) BLN_NOEXCEPT { return tou == nullptr ? 0 : tou->core->bins().size(); }
const char* bln_tou_bin(const bln_tou* tou, size_t i) BLN_NOEXCEPT {
    return i >= bln_tou_bins(tou) ? nullptr : tou->core->bins()[i].c_str();
}
bln_status bln_tou_at(const bln_tou* tou, const char* local, size_t* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        required(out, "out");
        *out = required(tou, "tou").core->at(energy::read_wall(required_text(local, "local"), "local")).bin;
    });
}
void bln_tou_free(bln_tou* tou) BLN_NOEXCEPT { delete tou; }

bln_status bln_tou_divide(const bln_tou* tou, const bln_zone* zone, const bln_equal_series* series, int32_t straddle,
                          bln_bins** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        if (straddle != BLN_STRADDLE_REFUSE && straddle != BLN_STRADDLE_DIVIDE)
            throw Failure(BLN_E_RANGE, "there is no such way with intervals that straddle a boundary");
        const GivenSeries given(series);
        auto made = std::make_unique<bln_bins>();
        made->core = energy::divide_by_time_of_use(*required(tou, "tou").core, *required(zone, "zone").core, given.p,
                                                   static_cast<energy::Straddle>(straddle));
        made->quantum = given.quantum;
        return made;
    });
}
size_t bln_bins_count(const bln_bins* bins) BLN_NOEXCEPT { return bins == nullptr ? 0 : bins->core.rows.size(); }
bln_status bln_bins_at(const bln_bins* bins, size_t i, bln_bin_row* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const energy::Bins& b = required(bins, "bins").core;
        const energy::BinRow& r = item_at(b.rows, i, "bin");
        hand_out(out,
                 bln_bin_row{0, 0, r.name.c_str(), r.count, r.whole, r.num, b.duration, r.intervals, r.divided,
                             r.missing, r.time_us},
                 "out");
    });
}
int64_t bln_bins_total(const bln_bins* bins) BLN_NOEXCEPT { return bins == nullptr ? 0 : bins->core.total; }
bln_status bln_bins_json(const bln_bins* bins, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const bln_bins& b = required(bins, "bins");
        return text_of(energy::bins_json(b.core, b.quantum));
    });
}
void bln_bins_free(bln_bins* bins) BLN_NOEXCEPT { delete bins; }

}  // extern "C"
