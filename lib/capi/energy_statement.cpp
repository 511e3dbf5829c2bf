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
        bln_statement_row row{};
        row.kind = static_cast<std::int32_t>(r.kind);
        row.id = r.id.c_str();
        row.premises = r.premises.c_str();
        row.net = r.net;
        row.import_p = r.import_p;
        row.export_p = r.export_p;
        row.net_q = r.net_q;
        row.intervals = core(statement).count();
        row.missing = r.missing;
        row.mixed = r.mixed;
        row.import_q = r.import_q;
        row.export_q = r.export_q;
        row.apparent = r.apparent;
        row.apparent_intervals = r.both;
        row.power_factor = r.power_factor;
        row.apparent_bar = 10 * static_cast<std::int32_t>(r.bar);
        row.worst_quality = -1;
        for (std::size_t k = 0; k < r.quality.size(); ++k)
            if (r.quality[k] > 0) row.worst_quality = quality_codes[k].code;
        row.measured = r.measured;
        row.flagged = r.flagged;
        row.flagged_net = r.flagged_net;
        hand_out(out, row, "out");
    });
}

bln_status bln_statement_series(const bln_statement* statement, size_t i, int32_t what, const bln_out_column* into,
                                size_t n, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Statement& s = core(statement);
        (void)item_at(s.rows, i, "row");
        if (what != BLN_SERIES_NET && what != BLN_SERIES_NET_Q && what != BLN_SERIES_QUALITY)
            throw Failure(BLN_E_RANGE, "there is no such series");
        const OutColumn column(required(into, "into"));
        if (s.intervals == nullptr) throw Failure(BLN_E_STATE, "a statement of a stream keeps no intervals");
        if (n < s.count())
            throw Failure(BLN_E_RANGE, "the output column has room for " + std::to_string(n) + " items; there are " +
                                           std::to_string(s.count()));
        if (what == BLN_SERIES_QUALITY) {
            if (!column.whole()) throw Failure(BLN_E_TYPE, "quality codes are integers");
            for (std::size_t t = 0; t < s.count(); ++t) {
                const std::size_t at = i * s.count() + t;
                column.put(t, std::int64_t{s.quality.empty() ? std::uint8_t{0} : s.quality[at]});
                column.present(t, s.net.complete[at] != 0);
            }
            return;
        }
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
