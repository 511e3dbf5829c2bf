// Roll-up: statements and their rows.
#include "capi/energy.hpp"
#include "capi/sized.hpp"
#include "site/column.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

const Statement& core(const bln_statement* statement) { return *required(statement, "statement").core; }

}  // namespace

extern "C" {

bln_status bln_rollup(const bln_site* site, bln_instant known, const bln_intervals* intervals, const bln_policy* policy,
                      bln_progress progress, void* user, bln_statement** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const bln_site& record = required(site, "site");
        const bln_intervals& counts = required(intervals, "intervals");
        if (policy != nullptr && policy->domain != BLN_POLICY_ENERGY)
            throw Failure(BLN_E_ARGUMENT, "the policy belongs to another domain than BLN_POLICY_ENERGY");
        const Policy limits = policy == nullptr ? Policy(energy_policy()) : policy->values;
        return holding<bln_statement>(std::make_shared<const Statement>(
            roll_up(record.model, known, counts.core, limits, Progress(progress, user))));
    });
}

bln_status bln_statement_quantum(const bln_statement* statement, int64_t* num, int64_t* den,
                                 bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Rational q = core(statement).quantum;
        required(num, "num");
        required(den, "den");
        *num = q.num();
        *den = q.den();
    });
}

size_t bln_statement_count(const bln_statement* statement) BLN_NOEXCEPT {
    return statement == nullptr ? 0 : statement->core->rows.size();
}

bln_status bln_statement_at(const bln_statement* statement, size_t i, bln_statement_row* out,
                            bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const StatementRow& r = item_at(core(statement).rows, i, "row");
        hand_out(out,
                 bln_statement_row{0, static_cast<std::int32_t>(r.kind), r.id.c_str(), r.premises.c_str(), r.net,
                                   r.import_p, r.export_p, r.net_q, core(statement).count(), r.missing, r.mixed},
                 "out");
    });
}

bln_status bln_statement_series(const bln_statement* statement, size_t i, int32_t what, const bln_out_column* into,
                                size_t n, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Statement& s = core(statement);
        (void)item_at(s.rows, i, "row");
        if (what != BLN_SERIES_NET && what != BLN_SERIES_NET_Q) throw Failure(BLN_E_RANGE, "there is no such series");
        const OutColumn column(required(into, "into"));
        if (n < s.count())
            throw Failure(BLN_E_RANGE, "the output column has room for " + std::to_string(n) + " items; there are " +
                                           std::to_string(s.count()));
        const Series& series = what == BLN_SERIES_NET ? s.net : s.net_q;
        const bool given = !series.counts.empty();
        const double wh = s.quantum.real();
        for (std::size_t t = 0; t < s.count(); ++t) {
            const std::size_t at = i * s.count() + t;
            const std::int64_t v = given ? series.counts[at] : 0;
            if (column.whole())
                column.put(t, v);
            else
                column.put(t, static_cast<double>(v) * wh);
            column.present(t, given && series.complete[at] != 0);
        }
    });
}

size_t bln_statement_reconciliations(const bln_statement* statement) BLN_NOEXCEPT {
    return statement == nullptr ? 0 : statement->core->reconciliations.size();
}

bln_status bln_statement_reconciliation(const bln_statement* statement, size_t i, bln_reconciliation* out,
                                        bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Reconciliation& r = item_at(core(statement).reconciliations, i, "reconciliation");
        hand_out(
            out,
            bln_reconciliation{0, static_cast<std::int32_t>(r.verdict), r.rollup.c_str(), r.main.c_str(), r.main_net,
                               r.sum_net, r.intervals, r.left_out, r.difference_percent, r.tolerance_percent},
            "out");
    });
}

size_t bln_statement_suspicions(const bln_statement* statement) BLN_NOEXCEPT {
    return statement == nullptr ? 0 : statement->core->suspicions.size();
}

bln_status bln_statement_suspicion(const bln_statement* statement, size_t i, bln_suspicion* out,
                                   bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Suspicion& s = item_at(core(statement).suspicions, i, "suspicion");
        hand_out(out,
                 bln_suspicion{0, 0, s.rollup.c_str(), s.point.c_str(), s.channel.c_str(), s.hypothesis, s.missing_wh,
                               s.explained},
                 "out");
    });
}

bln_status bln_statement_report(const bln_statement* statement, bln_report** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        auto made = std::make_unique<bln_report>();
        made->report = core(statement).report;
        return made;
    });
}

bln_status bln_statement_json(const bln_statement* statement, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return text_of(statement_json(core(statement))); });
}

void bln_statement_free(bln_statement* statement) BLN_NOEXCEPT { delete statement; }

}  // extern "C"
