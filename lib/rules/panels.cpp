// Panels, spaces and breakers: what cannot be built as it is recorded.
#include <algorithm>
#include <cmath>

#include "rules/context.hpp"
#include "rules/rules.hpp"
#include "rules/verdicts.hpp"
#include "site/topology.hpp"

namespace bln::rules {

// Half-size breakers share a space, two at most; full-size ones do not.
void space_used_twice(const Context& c, Verdicts& out) {
    const View& v = c.view;
    std::vector<std::pair<std::int64_t, std::uint32_t>> used;
    for (const std::uint32_t p : out.over(Kind::panel)) {
        used.clear();
        for (const std::uint32_t i : c.panel_circuits[p])
            for (const std::int64_t s : v.circuit[i].spaces) used.emplace_back(s, i);
        if (used.empty()) continue;
        std::sort(used.begin(), used.end());
        used.erase(std::unique(used.begin(), used.end()), used.end());
        bool good = true;
        for (std::size_t i = 0, next = 0; i < used.size(); i = next) {
            bool half = true;
            for (; next < used.size() && used[next].first == used[i].first; ++next)
                half = half && v.circuit[used[next].second].half_size.value_or(false);
            const std::size_t n = next - i;
            if (n == 1 || (n == 2 && half)) continue;
            good = false;
            Finding& f = out.wrong();
            std::vector<std::string> names;
            for (std::size_t k = i; k < next; ++k) {
                f.about(Kind::circuit, v.circuit[used[k].second].id);
                names.emplace_back(v.circuit[used[k].second].id);
            }
            f.about(Kind::panel, v.panel[p].id);
            f.discriminator = std::to_string(used[i].first);
            f.number("space", static_cast<double>(used[i].first), "").word("circuits", listed(names));
            f.word("panel", v.panel[p].id);
            f.at(pointer_to(Kind::circuit, v.circuit[used[next - 1].second].id, "spaces"));
        }
        if (good) out.right();
    }
}

// The poles of one breaker stand side by side on one side of the panel.
void poles_not_adjacent(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t i : out.over(Kind::circuit)) {
        const as_of::circuit& x = v.circuit[i];
        if (x.spaces.size() < 2 || x.spaces.size() > 3 || x.half_size.value_or(false)) continue;
        if (!x.panel.resolved()) {
            if (!x.panel.given()) out.lacks(Kind::circuit, i, field_of::circuit::panel);
            continue;
        }
        const Numbering numbering = v.panel[static_cast<std::size_t>(x.panel.at)].numbering;
        const std::int64_t step = numbering == Numbering::one_column || numbering == Numbering::ways ? 1 : 2;
        std::vector<std::int64_t> spaces(x.spaces.begin(), x.spaces.end());
        std::sort(spaces.begin(), spaces.end());
        bool good = true;
        for (std::size_t k = 1; k < spaces.size(); ++k) good = good && spaces[k] - spaces[k - 1] == step;
        if (good) {
            out.right();
            continue;
        }
        std::vector<std::string> names;
        for (const std::int64_t s : x.spaces) names.push_back(std::to_string(s));
        out.wrong()
            .about(Kind::circuit, x.id)
            .word("spaces", listed(names))
            .number("step", static_cast<double>(step), "")
            .at(pointer_to(Kind::circuit, x.id, "spaces"));
    }
}

void poles_on_one_phase(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t i : out.over(Kind::circuit)) {
        const PolePhases poles = pole_phases(v, static_cast<std::int32_t>(i));
        if (poles.count < 2 || !poles.known()) continue;
        Conductor twice = Conductor::none;
        for (std::uint8_t a = 0; a < poles.count; ++a)
            for (std::uint8_t b = 0; b < a; ++b)
                if (poles.pole[a].phase == poles.pole[b].phase) twice = poles.pole[a].phase;
        if (twice == Conductor::none) {
            out.right();
            continue;
        }
        out.wrong()
            .about(Kind::circuit, v.circuit[i].id)
            .word("phase", word_of(twice))
            .at(pointer_to(Kind::circuit, v.circuit[i].id, "spaces"));
    }
}

void high_leg_to_neutral(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t i : out.over(Kind::circuit)) {
        const ServiceOf s = service_of(v, static_cast<std::int32_t>(i));
        // A breaker without a load harms nobody there.
        if (!s.known() || pole_count(v.circuit[i]) != 1 || v.circuit[i].role == Role::spare) continue;
        const auto& service = v.service[static_cast<std::size_t>(s.at)];
        const Conductor high = high_leg(service);
        const PolePhases poles = pole_phases(v, static_cast<std::int32_t>(i));
        if (high == Conductor::none || !poles.known()) continue;
        if (poles.pole[0].phase != high || neutral_of(v, static_cast<std::int32_t>(i)) != Answer::yes) {
            out.right();
            continue;
        }
        Finding& f = out.wrong();
        f.about(Kind::circuit, v.circuit[i].id).about(Kind::service, service.id).word("phase", word_of(high));
        if (service.volts_ln)
            f.number("measured", *service.volts_ln * std::sqrt(3.0), "V").number("expected", *service.volts_ln, "V");
        else
            f.word("measured", "1.73 times as much").word("expected", "the voltage of the other legs");
        f.at(pointer_to(Kind::circuit, v.circuit[i].id));
    }
}

// Two ways to know the phase of a pole that do not agree. The same step for every pole means that the pattern of the
// panel begins elsewhere.
void phases_differ_from_panel(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t i : out.over(Kind::circuit)) {
        const as_of::circuit& x = v.circuit[i];
        if (x.spaces.empty() || x.phases.size() != x.spaces.size() || !x.panel.resolved()) continue;
        std::string pattern;
        for (const std::int64_t s : x.spaces) {
            const PolePhase phase = space_phase(v, x.panel.at, s);
            if (phase.known()) pattern += word_of(phase.phase);
        }
        if (pattern.size() != x.phases.size()) {
            out.skip();
            continue;
        }
        if (pattern == x.phases) {
            out.right();
            continue;
        }
        bool rotated = true;
        for (std::size_t k = 1; k < pattern.size(); ++k)
            rotated = rotated && (x.phases[k] - pattern[k] + 6) % 3 == (x.phases[0] - pattern[0] + 6) % 3;
        out.wrong()
            .about(Kind::circuit, x.id)
            .about(Kind::panel, x.panel.id)
            .word("measured", x.phases)
            .word("expected", pattern)
            .word("hint", rotated ? "all poles are shifted alike: the bus pattern of the panel may begin elsewhere"
                                  : "the poles are not shifted alike")
            .at(pointer_to(Kind::circuit, x.id, "phases"));
    }
}

void bus_phase_not_fed(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t p : out.over(Kind::panel)) {
        const as_of::panel& panel = v.panel[p];
        if (!panel.fed_from.resolved() || !panel.service.resolved()) continue;
        const ServiceOf upstream = service_of(v, panel.fed_from.at);
        // A transformer between them has its own phases.
        if (!upstream.known() || upstream.at != panel.service.at) continue;
        const PolePhases feeder = pole_phases(v, panel.fed_from.at);
        const ServicePhases served = service_phases(v.service[static_cast<std::size_t>(panel.service.at)]);
        if (!feeder.known() || served.count == 0) {
            out.skip();
            continue;
        }
        std::string bus(panel.bus);
        if (bus.empty())
            for (std::uint8_t k = 0; k < served.count; ++k) bus += word_of(served.phase[k]);
        std::string missing;
        for (const char letter : bus) {
            bool fed = false;
            for (std::uint8_t k = 0; k < feeder.count; ++k)
                fed = fed || word_of(feeder.pole[k].phase) == std::string_view(&letter, 1);
            if (!fed && missing.find(letter) == std::string::npos) missing += letter;
        }
        if (missing.empty()) {
            out.right();
            continue;
        }
        out.wrong()
            .about(Kind::panel, panel.id)
            .about(Kind::circuit, panel.fed_from.id)
            .word("bus", bus)
            .word("missing", missing)
            .at(pointer_to(Kind::panel, panel.id, "bus"));
    }
}

void breaker_larger_than_feeder(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t i : out.over(Kind::circuit)) {
        const std::int32_t feeder = c.feeder(i);
        if (feeder < 0 || !v.circuit[i].breaker_amps) continue;
        const auto& upstream = v.circuit[static_cast<std::size_t>(feeder)];
        if (!upstream.breaker_amps) {
            out.lacks(Kind::circuit, static_cast<std::size_t>(feeder), field_of::circuit::breaker_amps);
            continue;
        }
        if (*v.circuit[i].breaker_amps <= *upstream.breaker_amps) {
            out.right();
            continue;
        }
        out.wrong()
            .about(Kind::circuit, v.circuit[i].id)
            .about(Kind::circuit, upstream.id)
            .number("measured", *v.circuit[i].breaker_amps, "A")
            .number("limit", *upstream.breaker_amps, "A")
            .at(pointer_to(Kind::circuit, v.circuit[i].id, "breaker_amps"));
    }
}

void role_contradiction(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t i : out.over(Kind::circuit)) {
        if (v.circuit[i].role != Role::spare) continue;
        const auto points = c.circuit_points[i];
        const auto billed = std::find_if(points.begin(), points.end(), [&](std::uint32_t p) { return c.bills(p); });
        if (billed == points.end() && c.circuit_panels[i].empty()) {
            out.right();
            continue;
        }
        Finding& f = out.wrong();
        f.about(Kind::circuit, v.circuit[i].id);
        if (billed != points.end())
            f.about(Kind::point, v.point[*billed].id)
                .word("why", "point " + std::string(v.point[*billed].id) + " bills it");
        else
            f.about(Kind::panel, v.panel[c.circuit_panels[i].front()].id).word("why", "it feeds a panel");
        f.at(pointer_to(Kind::circuit, v.circuit[i].id, "role"));
    }
}

}  // namespace bln::rules
