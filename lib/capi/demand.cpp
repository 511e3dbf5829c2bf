// Demand: windows and peaks.
#include "capi/calendar.hpp"
#include "capi/equal_series.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

const energy::Demand& core(const bln_demand* demand) { return *required(demand, "demand").core; }

energy::DemandKind kind_of(std::int32_t kind) {
    if (kind != BLN_DEMAND_ACTIVE && kind != BLN_DEMAND_APPARENT)
        throw Failure(BLN_E_RANGE, "there is no such kind of demand");
    return static_cast<energy::DemandKind>(kind);
}

void hand_out_peak(const energy::Demand& d, energy::DemandKind kind, const energy::Peak& p, bln_peak* out) {
    bln_peak row{0, p.any ? 1 : 0, p.at, 0, 0, p.billable, p.left_out, p.straddling};
    if (p.any) {
        row.from = d.windows()[p.at].from;
        row.value = d.power(d.windows()[p.at], kind);
    }
    hand_out(out, row, "out");
}

}  // namespace

extern "C" {

bln_status bln_demand_new(const bln_demand_rule* rule, const bln_zone* zone, const bln_equal_series* series,
                          bln_demand** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const bln_demand_rule r = take(rule, "rule");
        const GivenSeries given(series);
        const energy::DemandRule wanted{r.window, r.step, given.quantum, zone == nullptr ? nullptr : zone->core.get()};
        return holding<bln_demand>(std::make_shared<const energy::Demand>(wanted, given.p, given.q));
    });
}
size_t bln_demand_count(const bln_demand* demand) BLN_NOEXCEPT {
    return demand == nullptr ? 0 : demand->core->windows().size();
}
bln_status bln_demand_at(const bln_demand* demand, size_t i, bln_demand_window* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const energy::Demand& d = core(demand);
        const energy::DemandWindow& w = item_at(d.windows(), i, "window");
        hand_out(out,
                 bln_demand_window{0, w.complete ? 1 : 0, w.from, w.to, w.p, w.q, w.complete_q ? 1 : 0, 0,
                                   d.power(w, energy::DemandKind::active),
                                   w.complete_q ? d.power(w, energy::DemandKind::apparent) : 0},
                 "out");
    });
}
int64_t bln_demand_find(const bln_demand* demand, bln_instant from) BLN_NOEXCEPT {
    return demand == nullptr ? -1 : demand->core->find(from);
}
bln_status bln_demand_scale(const bln_demand* demand, int64_t* num, int64_t* den, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Rational scale = core(demand).scale();
        required(num, "num");
        required(den, "den");
        *num = scale.num();
        *den = scale.den();
    });
}
bln_status bln_demand_peak(const bln_demand* demand, int32_t kind, bln_instant from, bln_instant to, bln_peak* out,
                           bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const energy::Demand& d = core(demand);
        const energy::DemandKind k = kind_of(kind);
        hand_out_peak(d, k, d.peak(k, from, to), out);
    });
}
bln_status bln_demand_peak_in_bin(const bln_demand* demand, int32_t kind, bln_instant from, bln_instant to,
                                  const bln_tou* tou, const bln_zone* zone, size_t bin, bln_peak* out,
                                  bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const energy::Demand& d = core(demand);
        const energy::DemandKind k = kind_of(kind);
        const energy::TimeOfUse& table = *required(tou, "tou").core;
        (void)item_at(table.bins(), bin, "bin");
        hand_out_peak(d, k, d.peak_in_bin(k, from, to, table, *required(zone, "zone").core, bin), out);
    });
}
bln_status bln_demand_json(const bln_demand* demand, bln_instant from, bln_instant to, bln_text** out,
                           bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return text_of(core(demand).json(from, to)); });
}
void bln_demand_free(bln_demand* demand) BLN_NOEXCEPT { delete demand; }

}  // extern "C"
