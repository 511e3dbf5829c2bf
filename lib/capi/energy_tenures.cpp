// Who held a point from when to when, and what came in that time.
#include "capi/energy.hpp"
#include "capi/sized.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

const Statement& core(const bln_statement* statement) { return *required(statement, "statement").core; }

}  // namespace

extern "C" {

size_t bln_statement_tenures(const bln_statement* statement) BLN_NOEXCEPT {
    return statement == nullptr ? 0 : statement->core->tenures.size();
}

bln_status bln_statement_tenure(const bln_statement* statement, size_t i, bln_tenure* out,
                                bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Tenure& t = item_at(core(statement).tenures, i, "tenure");
        bln_tenure row{};
        row.row = t.row;
        row.premises = t.premises.c_str();
        // The words of a choice are literals.
        row.occupancy = t.occupancy == Occupancy::unknown ? "" : word_of(t.occupancy).data();
        row.occupant = t.occupant.c_str();
        row.from = t.from;
        row.to = t.to;
        row.net = t.net;
        row.import_p = t.import_p;
        row.export_p = t.export_p;
        row.net_q = t.net_q;
        row.import_q = t.import_q;
        row.export_q = t.export_q;
        row.apparent = t.apparent;
        row.apparent_intervals = t.both;
        row.power_factor = t.power_factor;
        row.measured = t.measured;
        row.flagged = t.flagged;
        row.missing = t.missing;
        row.divided = t.divided;
        row.flagged_net = t.flagged_net;
        hand_out(out, row, "out");
    });
}

bln_status bln_statement_tenures_csv(const bln_statement* statement, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return text_of(tenures_csv(core(statement))); });
}

}  // extern "C"
