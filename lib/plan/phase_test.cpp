#include "plan/phase_test.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <unordered_map>

#include "plan/phase_solve.hpp"
#include "site/json_text.hpp"

namespace bln {
namespace {

using plan::Fit;
using plan::Link;
using plan::Stage;

constexpr std::string_view practice = "common practice, no source";

// In the order of plan::PhasePolicyAt.
constexpr PolicyKey keys[] = {
    {"other_percent", "%", "how far a voltage may be from its nominal value", practice, 10, 1, 30},
    {"same_percent", "%", "a voltage counts as zero up to this share of the voltage between phases", practice, 5, 0.1,
     20},
    {"same_volts", "V", "or up to this, where that is more", practice, 3, 0, 50},
    {"drop_percent", "%", "a voltage to the conductor's own phase above this share of the phase voltage is told",
     practice, 3, 0, 20},
    {"floating_low_percent", "%",
     "readings to all phases between this and the next share of the voltage between phases mean a floating conductor",
     practice, 50, 1, 100},
    {"floating_high_percent", "%", "the other end", practice, 90, 1, 100},
};

constexpr PhaseCauseInfo causes[] = {
#define BLN_PHASE_CAUSE_ROW(name, number, slug, what, next) {slug, what, next},
    BLN_PHASE_CAUSES(BLN_PHASE_CAUSE_ROW)
#undef BLN_PHASE_CAUSE_ROW
};
constexpr PhaseCause cause_numbers[] = {
#define BLN_PHASE_CAUSE_NUMBER(name, number, slug, what, next) PhaseCause::name,
    BLN_PHASE_CAUSES(BLN_PHASE_CAUSE_NUMBER)
#undef BLN_PHASE_CAUSE_NUMBER
};

std::int32_t service_at(const View& view, std::string_view id) {
    if (id.empty()) {
        if (view.service.size() == 1) return 0;
        throw Failure(BLN_E_ABSENT, "the record has " + std::to_string(view.service.size()) +
                                        " services: say which one the references stand on");
    }
    const std::int32_t at = view.model().find(Kind::service, id);
    if (at < 0) throw Failure(BLN_E_NO_ENTITY, "there is no such service", std::string(id));
    return at;
}

std::optional<std::int64_t> number_of(std::string_view text) {
    std::int64_t v = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), v);
    if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
    return v;
}

std::string volts_text(double v) { return fmt::format("{:.4g} V", v); }

class Test {
public:
    Test(const View& view, std::int32_t service, const Policy& policy)
        : view_(view), policy_(policy), at_(service), service_(view.service[static_cast<std::size_t>(service)]) {}

    PhaseTest run(std::span<const PhaseReading> readings) {
        out_.service = service_.id;
        stage_ = plan::stage_of(service_, Conductor::none);
        link(readings);
        plan::Solution solved = solve();
        if (std::any_of(solved.in_conflict.begin(), solved.in_conflict.end(), [](bool b) { return b; }))
            look_for_high_leg(solved);
        for (std::size_t v = 0; v < out_.rows.size(); ++v) judge(v, solved);
        for (const auto& set : solved.conflicts) conflict(set);
        plan::judge_panels(view_, stage_, out_);
        tell();
        out_.report.sort();
        return std::move(out_);
    }

private:
    Finding& add(std::string_view code, Severity severity, Verdict verdict) {
        Finding& f = out_.report.findings.emplace_back();
        f.code = code;
        f.severity = severity;
        f.verdict = verdict;
        f.source = practice;
        return f;
    }
    static void about(Finding& f, const PhaseRow& r) {
        if (!r.circuit.empty()) f.about(Kind::circuit, r.circuit);
        if (!r.panel.empty()) f.about(Kind::panel, r.panel);
        f.discriminator = r.conductor;
        f.word("conductor", r.conductor);
    }

    // ---- names ---------------------------------------------------------------------------------

    std::size_t variable(const std::string& name) {
        const auto [found, fresh] = index_.emplace(name, out_.rows.size());
        if (fresh) {
            out_.rows.emplace_back();
            out_.rows.back().conductor = name;
            bind(out_.rows.back());
        }
        return found->second;
    }

    /// "circuit:pole", a circuit of one pole, or "panel/space"; anything else is a name and no more.
    void bind(PhaseRow& r) {
        const std::string_view name = r.conductor;
        const std::size_t colon = name.rfind(':'), slash = name.rfind('/');
        if (slash != std::string_view::npos) {
            const std::int32_t panel = view_.model().find(Kind::panel, name.substr(0, slash));
            const auto space = number_of(name.substr(slash + 1));
            if (panel < 0 || !space || *space < 1) return unbound(r);
            r.panel = name.substr(0, slash);
            r.space = *space;
            if (foreign(r, panel)) return;
            const PolePhase p = space_phase(view_, panel, r.space);
            if (p.known()) r.recorded = p.phase;
            return;
        }
        const std::string_view id = name.substr(0, colon);
        const std::int32_t circuit = view_.model().find(Kind::circuit, id);
        const auto pole =
            colon == std::string_view::npos ? std::optional<std::int64_t>(1) : number_of(name.substr(colon + 1));
        if (circuit < 0 || !pole || *pole < 1 || *pole > 3) return unbound(r);
        const as_of::circuit& c = view_.circuit[static_cast<std::size_t>(circuit)];
        if (static_cast<std::size_t>(*pole) > pole_count(c)) return unbound(r);
        if (colon == std::string_view::npos && pole_count(c) != 1) return unbound(r);
        r.circuit = id;
        r.pole = static_cast<int>(*pole);
        if (c.panel.resolved()) {
            r.panel = c.panel.id;
            if (foreign(r, c.panel.at)) return;
        }
        const auto k = static_cast<std::size_t>(r.pole - 1);
        if (k < c.spaces.size()) r.space = c.spaces[k];
        const PolePhases poles = pole_phases(view_, circuit);
        if (poles.count > k && poles.pole[k].known()) r.recorded = poles.pole[k].phase;
    }
    void unbound(const PhaseRow& r) {
        Finding& f = add("phase-conductor-unknown", Severity::note, Verdict::not_checked);
        f.discriminator = r.conductor;
        f.word("conductor", r.conductor);
    }
    bool foreign(PhaseRow& r, std::int32_t panel) {
        const ServiceOf s = service_of_panel(view_, panel);
        if (!s.known() || s.at == at_) return false;
        Finding& f = add("phase-other-service", Severity::error, Verdict::wrong);
        about(f, r);
        f.word("service", service_.id).word("recorded", view_.service[static_cast<std::size_t>(s.at)].id);
        r.space = 0;
        return true;
    }

    // ---- readings ------------------------------------------------------------------------------

    void link(std::span<const PhaseReading> readings) {
        for (std::size_t i = 0; i < readings.size(); ++i) {
            const PhaseReading& r = readings[i];
            Link l;
            l.a = variable(r.conductor);
            l.volts = r.volts;
            l.row = i;
            l.known = conductor_of(r.reference);
            ++out_.rows[l.a].readings;
            if (l.known != Conductor::none) {
                const bool phase = l.known != Conductor::N && l.known != Conductor::G;
                const bool served =
                    !phase || std::find(stage_.phases.begin(), stage_.phases.end(), l.known) != stage_.phases.end();
                if (!served || !stage_.known[index_of(l.known)]) {
                    ignored(i, r, served && l.known == Conductor::G);
                    continue;
                }
            } else {
                l.b = variable(r.reference);
                ++out_.rows[l.b].readings;
            }
            links_.push_back(l);
        }
        readings_ = readings;
    }
    void ignored(std::size_t i, const PhaseReading& r, bool ground) {
        Finding& f = add("phase-reading-ignored", Severity::note, Verdict::not_checked);
        about(f, out_.rows[index_.at(r.conductor)]);
        f.discriminator += '#' + std::to_string(i + 1);
        f.word("reference", r.reference).number("measured", r.volts, "V").number("row", static_cast<double>(i + 1), "");
        f.word("why",
               ground ? "nothing ties the phases to ground on this service: any of them may float to the full voltage"
                      : "the service has no such conductor");
    }

    plan::Solution solve() const {
        return plan::solve_phases(stage_, plan::fit_of(stage_, policy_), out_.rows.size(), links_);
    }

    /// Is everything right with the high leg on another phase?
    void look_for_high_leg(plan::Solution& solved) {
        const Conductor recorded = high_leg(service_);
        if (recorded == Conductor::none) return;
        for (const Conductor c : {Conductor::A, Conductor::B, Conductor::C}) {
            if (c == recorded) continue;
            Stage other = plan::stage_of(service_, c);
            plan::Solution now = plan::solve_phases(other, plan::fit_of(other, policy_), out_.rows.size(), links_);
            if (!now.conflicts.empty()) continue;
            Finding& f = add("phase-high-leg-elsewhere", Severity::error, Verdict::wrong);
            f.about(Kind::service, service_.id).word("recorded", word_of(recorded)).word("measured", word_of(c));
            stage_ = std::move(other);
            solved = std::move(now);
            return;
        }
    }

    // ---- verdicts ------------------------------------------------------------------------------

    void judge(std::size_t v, const plan::Solution& solved) {
        PhaseRow& r = out_.rows[v];
        const Fit fit = plan::fit_of(stage_, policy_);
        std::vector<std::pair<Conductor, double>> to;
        bool tied = false, some = false, zero_own = false;
        for (const Link& l : links_) {
            if (l.b == v || (l.a == v && l.b != SIZE_MAX)) tied = true;
            if (l.a != v || l.b != SIZE_MAX) continue;
            to.emplace_back(l.known, l.volts);
            some = some || !fit.zero(l.volts);
        }
        if (to.empty() && !tied) {
            r.next_reference = word_of(stage_.phases.front());
            r.next = "measure to references " + phases() + (has_neutral(service_) ? " and to N" : "");
            return;
        }
        const std::vector<Conductor>& places = solved.places[v];
        for (const Conductor c : places) r.candidates += word_of(c);
        if (solved.in_conflict[v] || places.empty()) return impossible(r, fit, to);
        if (places.size() > 1 || (!some && !tied)) {
            r.verdict = PhaseVerdict::ambiguous;
            if (!some && !tied) r.cause = to.size() > 1 ? PhaseCause::dead : PhaseCause::zero_alone;
            if (r.cause != PhaseCause::none) r.next = info(r.cause).next;
            suggest(r, places, to);
            return;
        }
        r.phase = places.front();
        // The full set: about zero to its own phase, the full voltage to every other one, and a neutral where one phase
        // is all there is.
        bool complete = true;
        for (const Conductor c : stage_.phases) {
            const auto found = std::find_if(to.begin(), to.end(), [&](const auto& x) { return x.first == c; });
            if (found == to.end()) {
                complete = false;
                continue;
            }
            if (c == r.phase) {
                zero_own = true;
                r.drop_volts = found->second;
            }
        }
        r.verdict =
            complete && some && (zero_own || r.phase == Conductor::N) ? PhaseVerdict::proven : PhaseVerdict::likely;
        if (r.verdict == PhaseVerdict::likely) confirm(r, to);
    }

    void impossible(PhaseRow& r, const Fit& fit, const std::vector<std::pair<Conductor, double>>& to) {
        r.verdict = PhaseVerdict::impossible;
        r.phase = Conductor::none;
        r.candidates.clear();
        const plan::Explained e = plan::explain(stage_, fit, policy_, to);
        r.cause = e.cause;
        for (const auto& [c, volts] : to) {
            if (!r.detail.empty()) r.detail += ", ";
            r.detail += volts_text(volts) + " to " + std::string(word_of(c));
        }
        if (!e.detail.empty()) r.detail += (r.detail.empty() ? "" : "; ") + e.detail;
        r.next = info(e.cause).next;
    }

    [[nodiscard]] std::string phases() const {
        std::string out;
        for (const Conductor c : stage_.phases) out += (out.empty() ? "" : ", ") + std::string(word_of(c));
        return out;
    }

    /// The reference that tells most of the candidates apart.
    void suggest(PhaseRow& r, const std::vector<Conductor>& places,
                 const std::vector<std::pair<Conductor, double>>& to) {
        const Fit fit = plan::fit_of(stage_, policy_);
        std::size_t best = 1;
        Conductor chosen = Conductor::none;
        for (const Conductor ref : {Conductor::A, Conductor::B, Conductor::C, Conductor::N, Conductor::G}) {
            const bool phase = index_of(ref) < 3;
            if (!stage_.known[index_of(ref)]) continue;
            if (phase && std::find(stage_.phases.begin(), stage_.phases.end(), ref) == stage_.phases.end()) continue;
            if (std::any_of(to.begin(), to.end(), [&](const auto& x) { return x.first == ref; })) continue;
            std::size_t groups = 0;
            std::vector<double> seen;
            for (const Conductor c : places) {
                const double v = stage_.between(c, ref);
                if (std::any_of(seen.begin(), seen.end(), [&](double s) { return fit(s, v) || fit(v, s); })) continue;
                seen.push_back(v);
                ++groups;
            }
            if (groups > best || (chosen == Conductor::none && r.cause == PhaseCause::zero_alone && phase)) {
                best = groups;
                chosen = ref;
            }
        }
        if (chosen == Conductor::none) {
            if (r.next.empty())
                r.next = "no further voltage to these references tells the candidates apart: measure again";
            return;
        }
        r.next_reference = word_of(chosen);
        std::string text = "measure to " + r.next_reference + ": ";
        for (std::size_t i = 0; i < places.size(); ++i)
            text += (i > 0 ? ", " : "") + about_volts(places[i], chosen) + " means " + std::string(word_of(places[i]));
        r.next = text;
    }
    [[nodiscard]] std::string about_volts(Conductor a, Conductor b) const {
        return fmt::format("about {:.0f} V", stage_.between(a, b));
    }
    void confirm(PhaseRow& r, const std::vector<std::pair<Conductor, double>>& to) {
        std::vector<Conductor> order{r.phase};
        order.insert(order.end(), stage_.phases.begin(), stage_.phases.end());
        for (const Conductor c : order) {
            if (std::any_of(to.begin(), to.end(), [&](const auto& x) { return x.first == c; })) continue;
            r.next_reference = word_of(c);
            r.next = "measure to " + r.next_reference + ": " + about_volts(r.phase, c) + " proves it";
            return;
        }
    }

    // ---- findings ------------------------------------------------------------------------------

    void conflict(const std::vector<std::size_t>& set) {
        // One reading that fits nowhere is told with its conductor.
        if (set.size() < 2) return;
        Finding& f = add("phase-readings-conflict", Severity::error, Verdict::wrong);
        std::string list, key;
        std::vector<std::string> named;
        for (const std::size_t l : set) {
            const PhaseReading& r = readings_[links_[l].row];
            list += (list.empty() ? "" : "; ") + r.conductor + " to " + r.reference + " " + volts_text(r.volts);
            key += (key.empty() ? "" : ",") + std::to_string(links_[l].row + 1);
            const PhaseRow& row = out_.rows[links_[l].a];
            const bool seen = std::find(named.begin(), named.end(), row.circuit) != named.end();
            if (row.circuit.empty() || seen) continue;
            f.about(Kind::circuit, row.circuit);
            named.push_back(row.circuit);
        }
        f.word("readings", list).number("count", static_cast<double>(set.size()), "");
        f.discriminator = key;
    }

    void tell() {
        std::vector<bool> explained(out_.rows.size(), false);
        for (const PhasePanel& p : out_.panels) {
            for (std::size_t i = 0; i < out_.rows.size(); ++i)
                if (out_.rows[i].panel == p.panel && p.verdict == PanelVerdict::rotated)
                    explained[i] = std::find(p.outliers.begin(), p.outliers.end(), i) == p.outliers.end();
            if (p.verdict == PanelVerdict::rotated) {
                Finding& f = add("phase-panel-rotated", Severity::error, Verdict::wrong);
                f.about(Kind::panel, p.panel).word("recorded", p.recorded).word("measured", p.measured);
                f.word("how", p.reversed ? "the other way round" : fmt::format("moved on by {}", p.offset));
                f.number("agree", p.agree, "").number("tested", p.tested, "");
                f.at(pointer_to(Kind::panel, p.panel, "bus"));
            } else if (p.verdict == PanelVerdict::undecided) {
                Finding& f = add("phase-panel-undecided", Severity::note, Verdict::undecided);
                f.about(Kind::panel, p.panel).number("tested", p.tested, "").word("next", p.next);
            }
            for (const std::size_t i : p.outliers)
                if (p.verdict != PanelVerdict::mixed) differs(out_.rows[i], p.measured);
        }
        for (std::size_t i = 0; i < out_.rows.size(); ++i) tell(out_.rows[i], explained[i]);
    }
    void differs(const PhaseRow& r, const std::string& pattern) {
        Finding& f = add("phase-differs", Severity::error, Verdict::wrong);
        about(f, r);
        f.word("measured", word_of(r.phase));
        f.word("recorded", r.recorded == Conductor::none ? "not stated" : word_of(r.recorded));
        f.word("pattern", pattern);
    }
    void tell(const PhaseRow& r, bool explained) {
        if (r.verdict == PhaseVerdict::impossible) {
            Finding& f = add("phase-impossible", Severity::error, Verdict::wrong);
            about(f, r);
            f.word("readings", r.detail.empty() ? "see the conflict" : r.detail);
            f.word("cause", info(r.cause).what).word("next", r.next);
        } else if (r.verdict == PhaseVerdict::ambiguous) {
            Finding& f = add("phase-ambiguous", Severity::warning, Verdict::undecided);
            about(f, r);
            f.word("candidates", r.candidates).word("next", r.next);
        } else if (r.phase == Conductor::N) {
            Finding& f = add("phase-conductor-neutral", Severity::error, Verdict::wrong);
            about(f, r);
        } else if (r.phase != Conductor::none && r.recorded != Conductor::none && r.phase != r.recorded && !explained) {
            const bool told = std::any_of(
                out_.report.findings.begin(), out_.report.findings.end(),
                [&](const Finding& f) { return f.code == "phase-differs" && f.discriminator == r.conductor; });
            if (!told) differs(r, {});
        }
        if (r.drop_volts > policy_[plan::drop_percent] / 100 * stage_.phase_volts) {
            Finding& f = add("phase-drop", Severity::note, Verdict::right);
            about(f, r);
            f.number("measured", r.drop_volts, "V").word("phase", word_of(r.phase));
        }
    }

    const View& view_;
    const Policy& policy_;
    std::int32_t at_;
    const as_of::service& service_;
    Stage stage_;
    std::vector<Link> links_;
    std::span<const PhaseReading> readings_;
    std::unordered_map<std::string, std::size_t> index_;
    PhaseTest out_;
};

}  // namespace

const PhaseCauseInfo& info(PhaseCause cause) noexcept {
    std::size_t i = 0;
    while (i + 1 < std::size(cause_numbers) && cause_numbers[i] != cause) ++i;
    return causes[i];
}

std::span<const PolicyKey> phase_test_policy() noexcept { return keys; }

PhaseTest phase_test(const View& view, std::string_view service, std::span<const PhaseReading> readings,
                     const Policy& policy) {
    return Test(view, service_at(view, service), policy).run(readings);
}

std::string phase_sheet_csv(const View& view, std::string_view panel) {
    const std::int32_t at = view.model().find(Kind::panel, panel);
    if (at < 0) throw Failure(BLN_E_NO_ENTITY, "there is no such panel", std::string(panel));
    const ServiceOf s = service_of_panel(view, at);
    if (!s.known())
        throw Failure(BLN_E_ABSENT, "the service of the panel is not recorded", std::string(panel),
                      pointer_to(Kind::panel, panel, "service"));
    const as_of::service& service = view.service[static_cast<std::size_t>(s.at)];
    const Stage stage = plan::stage_of(service, Conductor::none);
    std::vector<Conductor> references = stage.phases;
    if (has_neutral(service)) references.push_back(Conductor::N);
    if (grounded_phase(service) != Conductor::none) references.push_back(Conductor::G);
    std::string out = "conductor,reference,volts,expected_volts\r\n";
    for (std::size_t c = 0; c < view.circuit.size(); ++c) {
        if (view.circuit[c].panel.at != at) continue;
        const PolePhases poles = pole_phases(view, static_cast<std::int32_t>(c));
        for (std::size_t k = 0; k < poles.count; ++k)
            for (const Conductor r : references) {
                out += std::string(view.circuit[c].id) + ':' + std::to_string(k + 1) + ',' + std::string(word_of(r)) +
                       ",,";
                if (poles.pole[k].known())
                    append_json_number(out, std::round(stage.between(poles.pole[k].phase, r) * 10) / 10);
                out += "\r\n";
            }
    }
    return out;
}

}  // namespace bln
