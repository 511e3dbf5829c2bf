#include "energy/findings.hpp"

#include <algorithm>

#include "energy/policy.hpp"
#include "site/instant.hpp"

namespace bln::energy {
namespace {

Finding& add(Statement& out, std::string_view code, Severity severity, Verdict verdict) {
    Finding& f = out.report.findings.emplace_back();
    f.code = code;
    f.severity = severity;
    f.verdict = verdict;
    return f;
}

void judge_arrivals(const Inputs& in, Statement& out, std::size_t c) {
    const std::string& id = in.grid.channels[c];
    const Arrival& a = in.intervals->arrivals()[c];
    const auto about = [&](std::string_view code, std::uint64_t count) {
        add(out, code, Severity::note, Verdict::right)
            .about(Kind::channel, id)
            .number("count", static_cast<double>(count), "")
            .number("rows", static_cast<double>(a.rows), "");
    };
    if (a.repeated > 0) about("interval-repeated", a.repeated);
    if (a.out_of_order > 0) about("interval-out-of-order", a.out_of_order);
}

void judge_scaling(const Inputs& in, Statement& out, std::size_t c) {
    if (in.ledger.scaling[c] == Scaling::registers_primary) return;
    const bool applied = in.ledger.scaling[c] == Scaling::ratio_applied;
    Finding& f = add(out, applied ? "ratio-applied" : "scaling-unclear", applied ? Severity::note : Severity::warning,
                     applied ? Verdict::right : Verdict::undecided)
                     .about(Kind::channel, in.grid.channels[c]);
    const View& view = *in.ledger.view;
    const as_of::channel& channel = view.channel[static_cast<std::size_t>(in.ledger.channel_at[c])];
    f.about(Kind::device, channel.device.id);
    f.word("scaled_by", word_of(view.device[static_cast<std::size_t>(channel.device.at)].scaled_by));
    if (channel.primary_amps && channel.secondary)
        f.word("ratio", std::to_string(*channel.primary_amps) + ":" + std::to_string(*channel.secondary));
    f.at(pointer_to(Kind::channel, channel.id));
}

}  // namespace

std::string listed(const std::vector<std::string>& ids, std::size_t most) {
    std::string out;
    for (std::size_t i = 0; i < ids.size() && i < most; ++i) {
        if (i > 0) out += ", ";
        out += ids[i];
    }
    if (ids.size() > most) out += " and " + std::to_string(ids.size() - most) + " more";
    return out;
}

double kwh(const Statement& s, std::int64_t counts) { return static_cast<double>(counts) * s.quantum.real() / 1000; }

std::string when(Instant at) {
    if (!writable(at)) return std::to_string(at);
    std::string out;
    append_instant(out, at);
    return out;
}

void judge_data(const Inputs& in, Statement& out) {
    const Grid& grid = in.grid;
    if (in.intervals != nullptr && in.intervals->cut_off())
        add(out, "intervals-cut-off", Severity::warning, Verdict::undecided);
    if (in.intervals != nullptr)
        for (const Conflict& c : in.intervals->conflicts())
            add(out, "interval-contradicted", Severity::error, Verdict::wrong)
                .about(Kind::channel, grid.channels[c.channel])
                .word("at", when(grid.start(c.interval)))
                .word("quantity", word_of(c.quantity))
                .number("first", static_cast<double>(c.first), "counts")
                .number("second", static_cast<double>(c.second), "counts")
                .discriminator =
                when(grid.start(c.interval)) + "/" + std::string(word_of(c.quantity)) + "/" + std::to_string(c.second);
    for (std::size_t c = 0; c < grid.channels.size(); ++c) {
        const std::string& id = grid.channels[c];
        if (in.ledger.channel_at[c] < 0)
            add(out, "interval-channel-unknown", Severity::error, Verdict::wrong)
                .about(Kind::channel, id)
                .number("rows",
                        static_cast<double>(in.intervals != nullptr ? in.intervals->arrivals()[c].rows
                                                                    : grid.count - in.gaps[c].intervals),
                        "");
        if (const Gaps& g = in.gaps[c]; g.spans > 0)
            add(out, "interval-gap", Severity::warning, Verdict::wrong)
                .about(Kind::channel, id)
                .number("count", static_cast<double>(g.intervals), "")
                .number("of", static_cast<double>(grid.count), "")
                .number("spans", static_cast<double>(g.spans), "")
                .number("longest", static_cast<double>(g.longest), "")
                .word("from", when(grid.start(g.longest_at)))
                .word("to", when(grid.start(g.longest_at + g.longest)));
        if (!in.disagreements.empty() && in.disagreements[c] > 0)
            add(out, "registers-disagree", Severity::error, Verdict::wrong)
                .about(Kind::channel, id)
                .number("count", static_cast<double>(in.disagreements[c]), "")
                .number("of", static_cast<double>(grid.count), "");
        if (in.intervals != nullptr) judge_arrivals(in, out, c);
        if (in.ledger.channel_at[c] >= 0) judge_scaling(in, out, c);
    }
}

void judge_coverage(const Inputs& in, Statement& out) {
    const auto most = static_cast<std::size_t>(in.policy[names]);
    const View& view = *in.ledger.view;
    for (const StatementRow& row : out.rows) {
        if (row.kind == RowKind::unallocated) {
            if (view.model().find(Kind::channel, row.id) < 0) continue;  // said already: not in the record
            // The sign of the coefficient decides; a channel that exports makes the energy negative too.
            bool over = false;
            const auto found = std::find(in.grid.channels.begin(), in.grid.channels.end(), row.id);
            const auto c = static_cast<std::size_t>(found - in.grid.channels.begin());
            for (const LedgerPart& part : in.ledger.parts)
                for (const LedgerTerm& t : part.entries[in.ledger.channel_entry(c)].terms)
                    over = over || (t.wh < Rational(0)) != (part.wh_per_count[c] < Rational(0));
            std::vector<std::string> users;
            for (const as_of::point& p : view.point)
                for (const Term& t : p.elements)
                    if (t.ref.id == row.id) users.emplace_back(p.id);
            Finding& f = add(out, over ? "channel-divided-twice" : "channel-not-billed",
                             over           ? Severity::error
                             : row.net != 0 ? Severity::warning
                                            : Severity::note,
                             Verdict::wrong);
            f.about(Kind::channel, row.id).number("energy", kwh(out, row.net), "kWh");
            f.word("points", users.empty() ? "no point" : listed(users, most));
            f.at(pointer_to(Kind::channel, row.id));
        } else if (row.kind == RowKind::rollup) {
            for (const LedgerPart& part : in.ledger.parts) {
                const auto at = static_cast<std::size_t>(view.model().find(Kind::rollup, row.id));
                if (!part.entries[in.ledger.points + at].circular) continue;
                add(out, "rollup-circular", Severity::error, Verdict::wrong)
                    .about(Kind::rollup, row.id)
                    .at(pointer_to(Kind::rollup, row.id, "rollups"));
                break;
            }
        } else {
            const auto at = static_cast<std::size_t>(view.model().find(Kind::point, row.id));
            if (row.missing > 0) {
                const bool all = row.missing == in.grid.count;
                std::vector<std::string> absent;
                for (const Term& t : view.point[at].elements)
                    if (std::find(in.grid.channels.begin(), in.grid.channels.end(), t.ref.id) == in.grid.channels.end())
                        absent.emplace_back(t.ref.id);
                Finding& f = add(out, all ? "point-without-energy" : "point-incomplete",
                                 all ? Severity::error : Severity::warning, Verdict::not_checked);
                f.about(Kind::point, row.id)
                    .number("count", static_cast<double>(row.missing), "")
                    .number("of", static_cast<double>(in.grid.count), "")
                    .number("energy", kwh(out, row.net), "kWh");
                f.word("channels", view.point[at].elements.empty() ? "it has no elements"
                                   : absent.empty()                ? "every element has gaps"
                                                                   : "no intervals of " + listed(absent, most));
            }
            if (row.mixed > 0)
                add(out, "interval-divided", Severity::note, Verdict::right)
                    .about(Kind::point, row.id)
                    .number("count", static_cast<double>(row.mixed), "");
        }
    }
}

void judge_apparent(const Inputs& in, Statement& out) {
    if (!in.engine.reactive()) return;
    for (const StatementRow& row : out.rows) {
        if (row.kind == RowKind::unallocated || row.kind == RowKind::rollup) continue;
        if (row.bar == ApparentBar::none) continue;
        add(out, "apparent-not-stated", Severity::note, Verdict::not_checked)
            .about(Kind::point, row.id)
            .word("reason", row.bar == ApparentBar::reweighted
                                ? "a channel of it has a multiplier or a share"
                                : "an input of it adds the currents of several conductors")
            .at(pointer_to(Kind::point, row.id, "elements"));
    }
}

void judge_tenures(Statement& out) {
    const auto holder = [](const Tenure& t) {
        if (t.premises.empty()) return std::string("nobody");
        std::string who = t.premises;
        if (!t.occupant.empty())
            who += " (" + t.occupant + ")";
        else if (t.occupancy != Occupancy::unknown)
            who += " (" + std::string(word_of(t.occupancy)) + ")";
        return who;
    };
    for (std::size_t i = 0; i + 1 < out.tenures.size(); ++i) {
        const Tenure &a = out.tenures[i], &b = out.tenures[i + 1];
        if (a.row != b.row) continue;
        Finding& f = add(out, "tenure-ended", Severity::note, Verdict::right).about(Kind::point, out.rows[a.row].id);
        f.word("at", when(b.from)).word("before", holder(a)).word("after", holder(b));
        f.number("energy", kwh(out, a.net), "kWh").number("rest", kwh(out, b.net), "kWh");
        f.discriminator = when(b.from);
        f.at(pointer_to(Kind::point, out.rows[a.row].id, "premises"));
    }
}

void judge(const Inputs& in, Statement& out) {
    fill_rows(in, out);
    judge_tenures(out);
    judge_data(in, out);
    judge_registers(in, out);
    judge_coverage(in, out);
    judge_apparent(in, out);
    reconcile(in, out);
    out.report.sort();
}

}  // namespace bln::energy
