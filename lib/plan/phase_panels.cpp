// The measured phases against the pattern of each panel's bus: is the pattern moved on, or turned round?
#include <algorithm>
#include <array>

#include "plan/phase_solve.hpp"

namespace bln::plan {
namespace {

struct Measured {
    std::size_t row;  ///< of the test
    Conductor pattern, found;
};

/// A rearrangement of the phases: pattern[i] stands for to[i].
struct Turn {
    std::array<std::size_t, 3> to{0, 1, 2};
    int offset = 0;
    bool reversed = false;
};

std::vector<Turn> turns_of(std::size_t n) {
    std::vector<Turn> out;
    for (int k = 0; k < static_cast<int>(n); ++k) {
        Turn t;
        t.offset = k;
        for (std::size_t i = 0; i < n; ++i) t.to[i] = (i + static_cast<std::size_t>(k)) % n;
        out.push_back(t);
    }
    if (n < 3) return out;
    for (int k = 0; k < 3; ++k) {
        Turn t;
        t.offset = k;
        t.reversed = true;
        for (std::size_t i = 0; i < n; ++i) t.to[i] = (n + static_cast<std::size_t>(k) - i) % n;
        out.push_back(t);
    }
    return out;
}

class Panel {
public:
    Panel(const View& view, const Stage& stage, std::int32_t at)
        : view_(view), stage_(stage), at_(at), panel_(view.panel[static_cast<std::size_t>(at)]) {
        out_.panel = panel_.id;
        for (const Conductor c : stage.phases) names_ += word_of(c);
        pattern_ = panel_.bus.empty() ? names_ : std::string(panel_.bus);
        out_.recorded = pattern_;
    }

    PhasePanel run(const std::vector<Measured>& all) {
        out_.tested = static_cast<std::uint32_t>(all.size());
        if (all.empty()) return out_;
        const std::vector<Turn> turns = turns_of(stage_.phases.size());
        std::vector<std::uint32_t> agree;
        for (const Turn& t : turns)
            agree.push_back(static_cast<std::uint32_t>(
                std::count_if(all.begin(), all.end(), [&](const Measured& m) { return follows(t, m); })));
        const std::uint32_t most = *std::max_element(agree.begin(), agree.end());
        const auto best = static_cast<std::size_t>(std::max_element(agree.begin(), agree.end()) - agree.begin());
        const bool alone = std::count(agree.begin(), agree.end(), most) == 1;
        out_.agree = most;
        if (!alone) {
            out_.verdict = most == all.size() ? PanelVerdict::undecided : PanelVerdict::mixed;
            out_.next = next(all);
            if (out_.verdict == PanelVerdict::mixed) against_record(all);
            return out_;
        }
        const Turn& t = turns[best];
        out_.offset = t.offset;
        out_.reversed = t.reversed;
        const bool same = t.offset == 0 && !t.reversed;
        // Two readings that fall in with each other outweigh one that does not; one alone outweighs nothing.
        if (most < all.size() && most * 2 <= all.size()) {
            out_.verdict = PanelVerdict::mixed;
            against_record(all);
            return out_;
        }
        out_.verdict = same ? PanelVerdict::as_recorded : PanelVerdict::rotated;
        for (const char c : pattern_) out_.measured += names_[t.to[names_.find(c)]];
        for (const Measured& m : all)
            if (!follows(t, m)) differs(m);
        return out_;
    }

    [[nodiscard]] PhasePanel untested() const { return out_; }

    /// Whether the pattern is one of the service's phases, each at most once a period.
    [[nodiscard]] bool usable() const {
        return std::all_of(pattern_.begin(), pattern_.end(),
                           [&](char c) { return names_.find(c) != std::string::npos; });
    }

private:
    [[nodiscard]] bool follows(const Turn& t, const Measured& m) const {
        const std::size_t at = names_.find(word_of(m.pattern));
        return names_.substr(t.to[at], 1) == word_of(m.found);
    }

    /// A space on a row of the pattern that nobody has measured.
    [[nodiscard]] std::string next(const std::vector<Measured>& all) const {
        const std::int64_t spaces = panel_.spaces.value_or(2 * static_cast<std::int64_t>(pattern_.size()));
        for (std::int64_t s = 1; s <= spaces; ++s) {
            const PolePhase p = space_phase(view_, at_, s);
            if (!p.known()) continue;
            const bool seen =
                std::any_of(all.begin(), all.end(), [&](const Measured& m) { return m.pattern == p.phase; });
            if (!seen) return "measure space " + std::to_string(s) + " of panel " + std::string(panel_.id) + to_all();
        }
        return "measure another space of panel " + std::string(panel_.id) + " again" + to_all();
    }
    [[nodiscard]] std::string to_all() const {
        std::string out = ", to ";
        for (std::size_t i = 0; i < names_.size(); ++i)
            out += (i == 0 ? "" : i + 1 == names_.size() ? " and " : ", ") + names_.substr(i, 1);
        return out;
    }

    void against_record(const std::vector<Measured>& all) {
        for (const Measured& m : all)
            if (m.pattern != m.found) differs(m);
    }
    void differs(const Measured& m) { out_.outliers.push_back(m.row); }

    const View& view_;
    const Stage& stage_;
    std::int32_t at_;
    const as_of::panel& panel_;
    std::string names_, pattern_;
    PhasePanel out_;
};

}  // namespace

void judge_panels(const View& view, const Stage& stage, PhaseTest& out) {
    std::vector<std::vector<Measured>> by(view.panel.size());
    std::vector<bool> named(view.panel.size(), false);
    for (std::size_t i = 0; i < out.rows.size(); ++i) {
        const PhaseRow& r = out.rows[i];
        const std::int32_t panel = r.panel.empty() ? -1 : view.model().find(Kind::panel, r.panel);
        if (panel < 0 || r.space < 1) continue;
        named[static_cast<std::size_t>(panel)] = true;
        const PolePhase p = space_phase(view, panel, r.space);
        const bool found = (r.verdict == PhaseVerdict::proven || r.verdict == PhaseVerdict::likely) &&
                           r.phase != Conductor::N && r.phase != Conductor::none;
        if (p.known() && found) by[static_cast<std::size_t>(panel)].push_back({i, p.phase, r.phase});
    }
    for (std::size_t p = 0; p < by.size(); ++p) {
        if (!named[p]) continue;
        Panel panel(view, stage, static_cast<std::int32_t>(p));
        out.panels.push_back(panel.usable() ? panel.run(by[p]) : panel.untested());
    }
}

}  // namespace bln::plan
