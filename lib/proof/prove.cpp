#include "proof/prove.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "proof/proof_policy.hpp"
#include "proof/work.hpp"

namespace bln {
namespace infer {
namespace {

class Prover {
public:
    Prover(const View& view, const Readings& readings, std::span<const ProofTest> tests, const Policy& policy)
        : view_(view),
          readings_(readings),
          policy_(policy),
          rows_(proof::sort_rows(view, readings, policy[key::contradiction_percent], out_.report)),
          bench_(view, readings, tests, policy, rows_) {
        check_tests(tests);
    }

    SiteProof run(const Progress& progress) {
        count_neighbours();
        out_.points.resize(view_.point.size());
        // Points of several devices, or of none, stand each on their own.
        std::map<std::pair<std::int32_t, std::size_t>, std::vector<std::size_t>> by_device;
        for (std::size_t p = 0; p < view_.point.size(); ++p) {
            const std::int32_t device = device_of(p);
            by_device[{device, device < 0 ? p : 0}].push_back(p);
        }
        std::size_t done = 0;
        for (const auto& [device, points] : by_device) {
            std::vector<Work> works;
            for (const std::size_t p : points) {
                if (done++ % 64 == 0) progress.at(done - 1, view_.point.size() + 1);
                works.push_back(bench_.prepare(p));
            }
            bench_.infer(works, device.first >= 0);
            for (const Work& w : works) finish(w);
        }
        Coverage coverage{"proof-point"};
        for (const PointProof& p : out_.points) {
            const PointVerdict v = p.verdict;
            coverage.right += v == PointVerdict::proven ? 1 : 0;
            coverage.wrong += v == PointVerdict::wrong ? 1 : 0;
            coverage.undecided += v == PointVerdict::likely || v == PointVerdict::open ? 1 : 0;
            coverage.not_checked += v == PointVerdict::not_loaded || v == PointVerdict::not_judged ? 1 : 0;
            tell(p);
        }
        summary(coverage);
        out_.report.coverage.push_back(coverage);
        out_.report.sort();
        progress.at(view_.point.size() + 1, view_.point.size() + 1);
        return std::move(out_);
    }

private:
    /// The one device of all elements of a point, or -1.
    [[nodiscard]] std::int32_t device_of(std::size_t p) const noexcept {
        std::int32_t device = -1;
        for (const Term& t : view_.point[p].elements) {
            if (!t.ref.resolved()) return -1;
            const Ref& d = view_.channel[static_cast<std::size_t>(t.ref.at)].device;
            if (!d.resolved() || (device >= 0 && device != d.at)) return -1;
            device = d.at;
        }
        return device;
    }

    /// Calls @p f with service and phase of every pole of a point.
    template <class F>
    void each_pole(std::size_t p, F&& f) const {
        for (const Ref& c : view_.point[p].circuits) {
            if (!c.resolved()) continue;
            const ServiceOf service = service_of(view_, c.at);
            const PolePhases poles = pole_phases(view_, c.at);
            if (!service.known() || !poles.known()) continue;
            for (std::size_t i = 0; i < poles.count; ++i) f(service.at, poles.pole[i].phase);
        }
    }

    /// Points by service and phase: CTs of one phase of two of them exchanged read as if nothing were wrong.
    void count_neighbours() {
        for (std::size_t p = 0; p < view_.point.size(); ++p)
            each_pole(p, [&](std::int32_t service, Conductor phase) {
                auto& list = on_phase_[{service, phase}];
                if (list.empty() || list.back() != p) list.push_back(p);
            });
    }
    [[nodiscard]] std::size_t neighbours_of(std::size_t p) const {
        std::size_t most = 1;
        each_pole(p, [&](std::int32_t service, Conductor phase) {
            if (const auto at = on_phase_.find({service, phase}); at != on_phase_.end())
                most = std::max(most, at->second.size());
        });
        return most - 1;
    }

    void finish(const Work& w) {
        PointProof& out = out_.points[w.point];
        out.point = view_.point[w.point].id;
        if (!w.form.built) {
            for (const FormNote& n : w.form.notes)
                if (info(n.code).stops && out.evidence.empty())
                    out.evidence = fmt::format("The record lacks a fact: {} ({} {}).", info(n.code).doc,
                                               bln::info(n.kind).name, n.id);
            if (out.evidence.empty()) out.evidence = "The record does not say how the point is measured.";
            return;
        }
        out.snapshots = static_cast<std::uint32_t>(w.snapshots);
        combine(policy_, w.groups, readings_, out);
        if (out.evidence.empty()) out.evidence = "No element of the point measures its circuits.";
        if (const std::size_t others = neighbours_of(w.point); others > 0 && !out.classes.empty())
            out.not_excluded.push_back(
                fmt::format("a CT exchanged with one on the same phase of another point ({} {} one of its phases): no "
                            "reading of angles shows it",
                            others, others == 1 ? "other point shares" : "other points share"));
    }

    void tell(const PointProof& p) {
        if (p.verdict == PointVerdict::proven || p.verdict == PointVerdict::likely ||
            p.verdict == PointVerdict::not_loaded)
            return;
        Finding& f = out_.report.findings.emplace_back();
        const bool wrong = p.verdict == PointVerdict::wrong, open = p.verdict == PointVerdict::open;
        f.code = wrong ? "point-wired-otherwise" : open ? "point-not-decided" : "point-not-judged";
        f.severity = wrong ? Severity::error : open ? Severity::warning : Severity::note;
        f.verdict = wrong ? Verdict::wrong : open ? Verdict::undecided : Verdict::not_checked;
        f.about(Kind::point, p.point);
        std::string reads;
        for (const ProofClass& c : p.classes) {
            reads += (reads.empty() ? "" : " or ") + c.members[0].words;
            if (reads.size() > 300) break;
        }
        if (!reads.empty()) f.word("reads_as", reads);
        if (!p.classes.empty()) f.number("probability", 100 * p.probability, "%");
        f.word("evidence", p.evidence);
        f.source = "our model of proof; its priors are common practice, no source";
        f.at(pointer_to(Kind::point, p.point));
    }

    void summary(const Coverage& c) {
        std::uint64_t likely = 0, idle = 0;
        for (const PointProof& p : out_.points) {
            likely += p.verdict == PointVerdict::likely ? 1 : 0;
            idle += p.verdict == PointVerdict::not_loaded ? 1 : 0;
        }
        if (likely + idle == 0) return;
        Finding& f = out_.report.findings.emplace_back();
        f.code = "points-not-all-proven";
        f.severity = Severity::note;
        f.verdict = Verdict::undecided;
        f.number("right", static_cast<double>(c.right), "").number("likely", static_cast<double>(likely), "");
        f.number("idle", static_cast<double>(idle), "").number("of", static_cast<double>(out_.points.size()), "");
    }

    const View& view_;
    const Readings& readings_;
    const Policy& policy_;
    SiteProof out_;
    proof::SortedRows rows_;
    Bench bench_;
    std::map<std::pair<std::int32_t, Conductor>, std::vector<std::size_t>> on_phase_;
};

}  // namespace
}  // namespace infer

SiteProof prove(const View& view, const Readings& readings, std::span<const ProofTest> tests, const Policy& policy,
                const Progress& progress) {
    return infer::Prover(view, readings, tests, policy).run(progress);
}

}  // namespace bln
