// A roll-up against the main that feeds it.
#include <algorithm>
#include <cmath>

#include "energy/findings.hpp"
#include "energy/policy.hpp"

namespace bln::energy {
namespace {

/// Points of the sum that are too small for a fault in them to show: one reversed CT of three takes two
/// thirds of a point's energy away.
std::vector<std::string> invisible(const Inputs& in, const Statement& out, std::size_t sum, double tolerance_wh) {
    std::vector<std::string> ids;
    const View& view = *in.ledger.view;
    std::vector<std::uint8_t> seen(view.rollup.size(), 0);
    std::vector<std::size_t> todo{sum - in.ledger.points};
    while (!todo.empty()) {
        const std::size_t r = todo.back();
        todo.pop_back();
        if (seen[r] != 0) continue;
        seen[r] = 1;
        for (const Term& t : view.rollup[r].rollups)
            if (t.ref.resolved()) todo.push_back(static_cast<std::size_t>(t.ref.at));
        for (const Term& t : view.rollup[r].points) {
            if (!t.ref.resolved()) continue;
            const StatementRow& row = out.rows[static_cast<std::size_t>(t.ref.at)];
            const double wh = std::abs(static_cast<double>(row.net)) * out.quantum.real();
            if (2.0 / 3 * wh < tolerance_wh) ids.push_back(row.id);
        }
    }
    std::sort(ids.begin(), ids.end());
    ids.erase(std::unique(ids.begin(), ids.end()), ids.end());
    return ids;
}

void tell(const Inputs& in, Statement& out, const Reconciliation& r, std::size_t sum) {
    Finding f;
    f.verdict = r.verdict;
    const double main_kwh = kwh(out, r.main_net), sum_kwh = kwh(out, r.sum_net);
    switch (r.verdict) {
        case Verdict::right:
            f.code = "main-agrees";
            f.severity = Severity::note;
            break;
        case Verdict::not_checked:
            f.code = "main-not-compared";
            f.severity = Severity::warning;
            break;
        default:
            f.code = r.sum_net > r.main_net ? "sum-above-main" : "sum-below-main";
            f.severity = r.verdict == Verdict::wrong ? Severity::error : Severity::warning;
            break;
    }
    f.source = "derived: 40 equal points within 1 % each and a main within 0.5 % agree within 0.9 % (k = 2)";
    f.about(Kind::rollup, r.rollup).about(Kind::point, r.main);
    f.number("main", main_kwh, "kWh").number("sum", sum_kwh, "kWh");
    f.number("difference", sum_kwh - main_kwh, "kWh").number("percent", r.difference_percent, "%");
    f.number("limit", r.tolerance_percent, "%");
    f.number("intervals", static_cast<double>(r.intervals), "").number("left_out", static_cast<double>(r.left_out), "");
    if (r.verdict != Verdict::not_checked) {
        const double tolerance_wh = std::abs(main_kwh) * 1000 * r.tolerance_percent / 100;
        const std::vector<std::string> small = invisible(in, out, sum, tolerance_wh);
        f.number("smallest", 1.5 * tolerance_wh / 1000, "kWh");
        f.number("small_count", static_cast<double>(small.size()), "");
        f.word("small", small.empty() ? "none" : listed(small, static_cast<std::size_t>(in.policy[names])));
    }
    f.at(pointer_to(Kind::rollup, r.rollup, "against"));
    out.report.findings.push_back(std::move(f));
}

}  // namespace

void reconcile(const Inputs& in, Statement& out) {
    Coverage coverage{"reconciliation"};
    for (const PairTally& pair : in.engine.pairs()) {
        const std::size_t sum = pair.sum, main = pair.main, i = sum - in.ledger.points;
        Reconciliation r;
        r.rollup = out.rows[sum].id;
        r.main = out.rows[main].id;
        r.main_net = rounded(pair.main_net, in.engine.scale(), r.main);
        r.sum_net = rounded(pair.sum_net, in.engine.scale(), r.rollup);
        r.intervals = pair.intervals;
        r.left_out = pair.left_out;
        r.tolerance_percent = in.ledger.view->rollup[i].tolerance_percent.value_or(in.policy[tolerance_percent]);
        const double m = static_cast<double>(pair.main_net), d = static_cast<double>(pair.sum_net - pair.main_net);
        if (pair.main_net != 0) r.difference_percent = d / m * 100;
        const double off = std::abs(r.difference_percent);
        if (pair.intervals == 0)
            r.verdict = Verdict::not_checked;
        else if (pair.main_net == 0)
            r.verdict = pair.sum_net == 0 ? Verdict::undecided : Verdict::wrong;
        else if (off <= r.tolerance_percent)
            r.verdict = Verdict::right;
        else
            r.verdict = off <= r.tolerance_percent * in.policy[follow_up_factor] ? Verdict::undecided : Verdict::wrong;
        ++(r.verdict == Verdict::right         ? coverage.right
           : r.verdict == Verdict::wrong       ? coverage.wrong
           : r.verdict == Verdict::not_checked ? coverage.not_checked
                                               : coverage.undecided);
        tell(in, out, r, sum);
        out.reconciliations.push_back(r);
        // A stream keeps no intervals to follow a difference through.
        if (pair.intervals > 0 && in.net != nullptr) suspect(in, sum, main, out);
    }
    out.report.coverage.push_back(coverage);
}

}  // namespace bln::energy
