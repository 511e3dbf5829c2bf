// What goes through a main is what goes through its branches.
#include <algorithm>
#include <cmath>

#include "proof/judge.hpp"

namespace bln::proof {
namespace {

/// Circuits below a main that carry load of their own. A circuit that feeds panels stands for what they feed.
class Below {
public:
    Below(const View& view, std::int32_t main) : view_(view), seen_(view.panel.size(), false), main_(main) {
        bool fed = false;
        for (const as_of::panel& p : view.panel) fed = fed || p.fed_from.at == main;
        const Ref& own = view.circuit[static_cast<std::size_t>(main)].panel;
        if (!fed && own.resolved()) panel(static_cast<std::size_t>(own.at));
        feeds(main);
        std::sort(circuits.begin(), circuits.end());
        circuits.erase(std::unique(circuits.begin(), circuits.end()), circuits.end());
    }
    std::vector<std::int32_t> circuits;

private:
    bool feeds(std::int32_t circuit) {
        bool any = false;
        for (std::size_t p = 0; p < view_.panel.size(); ++p)
            if (view_.panel[p].fed_from.at == circuit && circuit >= 0) {
                any = true;
                panel(p);
            }
        return any;
    }
    void panel(std::size_t at) {
        if (seen_[at]) return;
        seen_[at] = true;
        for (std::size_t c = 0; c < view_.circuit.size(); ++c) {
            const as_of::circuit& circuit = view_.circuit[c];
            const auto id = static_cast<std::int32_t>(c);
            if (circuit.panel.at != static_cast<std::int32_t>(at) || id == main_ || circuit.role == Role::spare)
                continue;
            if (!feeds(id) && circuit.role != Role::main) circuits.push_back(id);
        }
    }
    const View& view_;
    std::vector<bool> seen_;
    std::int32_t main_;
};

/// Power by phase, where every part of it has a phase.
struct Power {
    double all = 0;
    std::array<double, 3> phase{};
    bool phased = true, complete = true;
};

class Snapshot {
public:
    Snapshot(const Inputs& in, Instant at) : in_(in), watts_(in.view.channel.size()) {
        for (std::size_t c = 0; c < in.rows.size(); ++c)
            for (const std::size_t i : in.rows[c])
                if (in.readings.rows()[i].at == at) watts_[c] = watts_of(in.readings.rows()[i]);
    }
    void add(const as_of::point& point, Power& to) const {
        if (point.elements.empty()) to.complete = false;
        for (const Term& t : point.elements) {
            const auto c = static_cast<std::size_t>(t.ref.at);
            if (!t.ref.resolved() || !watts_[c]) {
                // The grounded phase of a corner-grounded delta reads 0 W by nature.
                if (!t.ref.resolved() || !in_.wiring[c].dead_reference) to.complete = false;
                continue;
            }
            const auto multiplier = in_.view.channel[c].multiplier;
            const double w = *watts_[c] * t.weight.real() * (multiplier ? multiplier->real() : 1);
            to.all += w;
            const Conductor phase = in_.wiring[c].conductor;
            if (in_.wiring[c].line_to_neutral && phase != Conductor::none && index_of(phase) < 3)
                to.phase[index_of(phase)] += w;
            else
                to.phased = false;
        }
    }

private:
    const Inputs& in_;
    std::vector<std::optional<double>> watts_;
};

void compare(const Inputs& in, LiveSum sum, Live& out) {
    sum.tolerance_watts = std::max(in.policy[sum_percent] / 100 * std::abs(sum.main_watts), in.policy[sum_watts]);
    const double off = sum.branch_watts - sum.main_watts;
    if (sum.verdict != Verdict::not_checked)
        sum.verdict = std::abs(off) <= sum.tolerance_watts ? Verdict::right : Verdict::wrong;
    if (sum.verdict == Verdict::wrong) {
        Finding& f = out.report.findings.emplace_back();
        f.code = "main-and-branches-differ";
        f.severity = sum.phase.empty() ? Severity::error : Severity::warning;
        f.verdict = Verdict::wrong;
        f.about(Kind::circuit, sum.main).word("phase", sum.phase.empty() ? "all phases" : "phase " + sum.phase);
        f.number("measured", sum.branch_watts, "W").number("expected", sum.main_watts, "W");
        f.number("difference", off, "W").number("limit", sum.tolerance_watts, "W");
        f.discriminator = sum.phase;
        f.source = "common practice, no source";
    }
    out.sums.push_back(std::move(sum));
}

void judge_main(const Inputs& in, std::int32_t main, Instant at, Live& out) {
    const View& view = in.view;
    const Snapshot snapshot(in, at);
    const Below below(view, main);
    Power mains, branches;
    bool metered = false;
    for (const as_of::point& p : view.point)
        if (p.use == PointUse::main && p.circuits.size() == 1 && p.circuits[0].at == main) {
            snapshot.add(p, mains);
            metered = true;
        }
    if (!metered || below.circuits.empty()) return;
    std::vector<std::string> unread;
    std::vector<bool> done(view.point.size(), false);
    const auto under = [&](std::int32_t c) {
        return std::binary_search(below.circuits.begin(), below.circuits.end(), c);
    };
    for (const std::int32_t c : below.circuits) {
        bool read = false;
        // What is metered for information only stands in for a circuit that nobody is billed for.
        for (std::size_t turn = 0; turn < (read ? 1 : 2) * view.point.size(); ++turn) {
            const std::size_t p = turn % view.point.size();
            const as_of::point& point = view.point[p];
            if (point.use == PointUse::main || (point.use == PointUse::check) != (turn >= view.point.size())) continue;
            if (std::none_of(point.circuits.begin(), point.circuits.end(), [&](const Ref& r) { return r.at == c; }))
                continue;
            // A point that reaches beyond this main cannot be divided between mains.
            if (!std::all_of(point.circuits.begin(), point.circuits.end(), [&](const Ref& r) { return under(r.at); }))
                continue;
            Power own;
            snapshot.add(point, own);
            read = own.complete;
            if (done[p] || !read) continue;
            done[p] = true;
            branches.all += own.all;
            branches.phased = branches.phased && own.phased;
            for (std::size_t k = 0; k < 3; ++k) branches.phase[k] += own.phase[k];
        }
        if (!read) unread.emplace_back(view.circuit[static_cast<std::size_t>(c)].id);
    }
    LiveSum sum;
    sum.main = view.circuit[static_cast<std::size_t>(main)].id;
    sum.circuits = static_cast<std::uint32_t>(below.circuits.size());
    sum.unread = static_cast<std::uint32_t>(unread.size());
    sum.verdict = unread.empty() && mains.complete ? Verdict::undecided : Verdict::not_checked;
    if (sum.verdict == Verdict::not_checked) {
        Finding& f = out.report.findings.emplace_back();
        f.code = "main-not-summed";
        f.severity = Severity::note;
        f.verdict = Verdict::not_checked;
        std::string list;
        for (std::size_t i = 0; i < unread.size() && i < 8; ++i) list += (i > 0 ? ", " : "") + unread[i];
        if (unread.size() > 8) list += " and " + std::to_string(unread.size() - 8) + " more";
        if (!mains.complete) list += list.empty() ? "the main itself" : " and the main itself";
        f.about(Kind::circuit, sum.main).word("unread", list);
        f.number("count", static_cast<double>(unread.size()), "").number("of", sum.circuits, "");
    }
    sum.main_watts = mains.all;
    sum.branch_watts = branches.all;
    compare(in, sum, out);
    if (!mains.phased || !branches.phased) return;
    for (std::size_t k = 0; k < 3; ++k) {
        if (mains.phase[k] == 0 && branches.phase[k] == 0) continue;
        sum.phase = word_of(static_cast<Conductor>(k));
        sum.main_watts = mains.phase[k];
        sum.branch_watts = branches.phase[k];
        compare(in, sum, out);
    }
}

}  // namespace

void judge_sums(const Inputs& in, Live& out) {
    Instant latest = begin_of_time;
    for (const auto& rows : in.rows)
        for (const std::size_t i : rows) latest = std::max(latest, in.readings.rows()[i].at);
    for (std::size_t c = 0; c < in.view.circuit.size(); ++c)
        if (in.view.circuit[c].role == Role::main) judge_main(in, static_cast<std::int32_t>(c), latest, out);
}

}  // namespace bln::proof
