// Every pole that somebody pays for is measured, and once.
#include <algorithm>

#include "rules/context.hpp"
#include "rules/describe.hpp"
#include "rules/rules.hpp"
#include "rules/verdicts.hpp"
#include "site/topology.hpp"

namespace bln::rules {
namespace {

/// Whether the CT is wired to a channel of some point.
bool in_a_point(const Context& c, std::uint32_t ct) {
    for (const Wired& w : c.ct_channels[ct])
        if (!c.channel_uses[w.channel].empty()) return true;
    return false;
}

bool surrounded(const Context& c, std::size_t circuit) {
    const auto cts = c.circuit_cts[circuit];
    return std::any_of(cts.begin(), cts.end(), [&](const Through& t) { return in_a_point(c, t.ct); });
}

/// Whether a point measures something that the circuit is fed through.
bool metered_upstream(const Context& c, std::size_t circuit) {
    std::int32_t at = c.feeder(circuit);
    for (int steps = 0; at >= 0 && steps < most_levels; ++steps) {
        for (const std::uint32_t p : c.circuit_points[static_cast<std::size_t>(at)])
            if (c.bills(p)) return true;
        at = c.feeder(static_cast<std::size_t>(at));
    }
    return false;
}

void say_unmetered(const Context& c, Verdicts& out, std::size_t circuit) {
    const auto& x = c.view.circuit[circuit];
    Finding& f = out.wrong();
    if (x.role == Role::common) f.severity = Severity::warning;
    f.about(Kind::circuit, x.id);
    std::vector<std::string> points;
    for (const std::uint32_t p : c.circuit_points[circuit]) {
        f.about(Kind::point, c.view.point[p].id);
        points.emplace_back(c.view.point[p].id);
    }
    const std::size_t poles = pole_count(x);
    std::vector<std::string> names;
    for (std::size_t i = 1; i <= poles; ++i) names.push_back(std::to_string(i));
    f.word("poles", poles == 0 ? "all" : listed(names)).word("points", points.empty() ? "no point" : listed(points));
    if (x.breaker_amps) f.number("breaker", *x.breaker_amps, "A");
    f.at(pointer_to(Kind::circuit, x.id));
}

/// Poles of the circuits of a point that its form shows without a CT.
void say_poles(const Context& c, Verdicts& out, std::uint32_t p) {
    const Diagnosis& d = c.diagnosis(p);
    std::vector<std::int32_t> circuits;
    for (const std::uint32_t k : d.conductors)
        if (std::find(circuits.begin(), circuits.end(), d.form->origin[k].circuit) == circuits.end())
            circuits.push_back(d.form->origin[k].circuit);
    for (const std::int32_t at : circuits) {
        const auto& x = c.view.circuit[static_cast<std::size_t>(at)];
        // A circuit without any CT has a finding of its own, and so has one that another point bills as well.
        const auto in = c.circuit_points[static_cast<std::size_t>(at)];
        if (std::any_of(in.begin(), in.end(), [&](std::uint32_t q) { return q != p && c.bills(q); })) continue;
        if (!surrounded(c, static_cast<std::size_t>(at))) continue;
        std::vector<std::string> poles;
        for (const std::uint32_t k : d.conductors)
            if (d.form->origin[k].circuit == at) poles.push_back(std::to_string(d.form->origin[k].pole));
        Finding& f = out.wrong();
        f.about(Kind::circuit, x.id).about(Kind::point, c.view.point[p].id);
        f.discriminator = "some";
        f.word("poles", listed(poles)).word("points", c.view.point[p].id);
        if (x.breaker_amps) f.number("breaker", *x.breaker_amps, "A");
        describe_error(c, d, f);
        f.at(pointer_to(Kind::circuit, x.id));
    }
}

}  // namespace

void pole_unmetered(const Context& c, Verdicts& out) {
    for (const std::uint32_t i : out.over(Kind::circuit)) {
        const auto& x = c.view.circuit[i];
        const auto points = c.circuit_points[i];
        const bool billed = std::any_of(points.begin(), points.end(), [&](std::uint32_t p) { return c.bills(p); });
        if (points.empty()) {
            // Mains and feeders are measured where somebody wants to; spares and meter supplies need not be.
            if (x.role == Role::main || x.role == Role::spare || x.role == Role::meter_supply ||
                !c.circuit_panels[i].empty())
                continue;
            if (x.role == Role::unknown) {
                if (!surrounded(c, i)) out.lacks(Kind::circuit, i, field_of::circuit::role);
                continue;
            }
        }
        if (x.role == Role::spare && !surrounded(c, i)) continue;
        if (surrounded(c, i) || (!billed && metered_upstream(c, i))) {
            out.right();
            continue;
        }
        // A channel or CT whose connections are not recorded might be the one.
        const bool open = std::any_of(points.begin(), points.end(), [&](std::uint32_t p) {
            const auto& notes = c.diagnosis(p).notes;
            return std::any_of(notes.begin(), notes.end(), [](const FormNote& n) {
                return n.code == FormNoteCode::cts_unknown || n.code == FormNoteCode::passes_unknown ||
                       n.code == FormNoteCode::no_elements;
            });
        });
        if (open)
            out.skip();
        else
            say_unmetered(c, out, i);
    }
    for (const std::uint32_t p : out.over(Kind::point))
        if (c.diagnosis(p).cause == Cause::pole_unmetered) say_poles(c, out, p);
}

// Two CTs of different billing points on one pole, unless the points divide it; and two of one point
// where the form shows that one is too many.
void pole_metered_twice(const Context& c, Verdicts& out) {
    struct Part {
        std::uint32_t point, channel;
        Rational share;
    };
    for (const std::uint32_t i : out.over(Kind::circuit)) {
        for (int pole = 0; pole <= 3; ++pole) {
            // Pole 0 gathers windows whose pole is not stated: certain only where there is one pole.
            std::vector<Part> parts;
            for (const Through& t : c.circuit_cts[i]) {
                const int at = t.pole < 0 && pole_count(c.view.circuit[i]) == 1 ? 1 : t.pole;
                if (at != pole || pole == 0) continue;
                for (const Wired& w : c.ct_channels[t.ct])
                    for (const Use& u : c.channel_uses[w.channel]) {
                        // A point that does not list the circuit is the finding of another rule.
                        if (!c.bills(u.point) || !(Rational(0) < u.share) || !c.lists(u.point, i)) continue;
                        const auto same =
                            std::find_if(parts.begin(), parts.end(), [&](const Part& x) { return x.point == u.point; });
                        if (same == parts.end())
                            parts.push_back({u.point, w.channel, u.share});
                        else if (same->share < u.share)
                            same->share = u.share;
                    }
            }
            if (parts.empty()) continue;
            std::optional<Rational> total{0};
            for (const Part& x : parts)
                if (total) total = sum(*total, x.share);
            // One channel in two points is the finding of another rule.
            const bool one_channel = std::all_of(parts.begin(), parts.end(),
                                                 [&](const Part& x) { return x.channel == parts.front().channel; });
            if (parts.size() == 1 || one_channel || (total && !(Rational(1) < *total))) {
                out.right();
                continue;
            }
            Finding& f = total ? out.wrong() : out.undecided();
            const auto& x = c.view.circuit[i];
            f.about(Kind::circuit, x.id);
            f.discriminator = std::to_string(pole);
            std::vector<std::string> points;
            std::vector<std::string> channels;
            for (const Part& part : parts) {
                f.about(Kind::point, c.view.point[part.point].id);
                points.emplace_back(c.view.point[part.point].id);
                channels.emplace_back(c.view.channel[part.channel].id);
            }
            f.word("pole", std::to_string(pole)).word("points", listed(points)).word("channels", listed(channels));
            f.at(pointer_to(Kind::circuit, x.id));
        }
    }
    for (const std::uint32_t p : out.over(Kind::point)) {
        const Diagnosis& d = c.diagnosis(p);
        if (d.cause != Cause::pole_metered_twice) continue;
        const ConductorOrigin& at = d.form->origin[d.conductors.front()];
        const auto& x = c.view.circuit[static_cast<std::size_t>(at.circuit)];
        Finding& f = out.wrong();
        f.about(Kind::circuit, x.id).about(Kind::point, c.view.point[p].id);
        f.discriminator = std::to_string(at.pole);
        std::vector<std::string> channels;
        for (const std::uint32_t e : d.elements)
            channels.emplace_back(c.view.channel[static_cast<std::size_t>(d.form->channel[e])].id);
        f.word("pole", std::to_string(at.pole)).word("points", c.view.point[p].id).word("channels", listed(channels));
        describe_error(c, d, f);
        f.at(pointer_to(Kind::point, c.view.point[p].id, "elements"));
    }
}

void pole_contradiction(const Context& c, Verdicts& out) {
    for (const std::uint32_t i : out.over(Kind::circuit)) {
        const auto& x = c.view.circuit[i];
        std::string_view field;
        std::string_view why;
        switch (pole_phases(c.view, static_cast<std::int32_t>(i)).gap) {
            case Gap::poles_count:
                field = "spaces";
                why = "a circuit has one, two or three poles";
                break;
            case Gap::phases_length:
                field = "phases";
                why = "spaces and phases give different numbers of poles";
                break;
            case Gap::space_beyond:
                field = "spaces";
                why = "a space is beyond the last one of the panel";
                break;
            default:
                break;
        }
        // Phases that are stated say nothing of the spaces.
        if (field.empty() && x.panel.resolved() && c.view.panel[static_cast<std::size_t>(x.panel.at)].spaces)
            for (const std::int64_t space : x.spaces)
                if (space > *c.view.panel[static_cast<std::size_t>(x.panel.at)].spaces) {
                    field = "spaces";
                    why = "a space is beyond the last one of the panel";
                }
        if (field.empty() && pole_count(x) == 1 && x.neutral && !*x.neutral) {
            const ServiceOf s = service_of(c.view, static_cast<std::int32_t>(i));
            if (s.known() && grounded_phase(c.view.service[static_cast<std::size_t>(s.at)]) == Conductor::none) {
                field = "neutral";
                why = "one pole without a neutral: no conductor carries its current back";
            }
        }
        if (field.empty()) {
            if (pole_count(x) != 0) out.right();
            continue;
        }
        Finding& f = out.wrong();
        f.about(Kind::circuit, x.id);
        f.discriminator = field;
        f.word("field", field).word("why", why).at(pointer_to(Kind::circuit, x.id, field));
    }
}

void ct_on_missing_conductor(const Context& c, Verdicts& out) {
    for (const std::uint32_t i : out.over(Kind::circuit)) {
        const auto poles = static_cast<int>(pole_count(c.view.circuit[i]));
        if (poles == 0) continue;
        for (const Through& t : c.circuit_cts[i]) {
            const bool missing =
                t.pole > poles || (t.pole == 0 && neutral_of(c.view, static_cast<std::int32_t>(i)) == Answer::no);
            if (!missing) {
                out.right();
                continue;
            }
            Finding& f = out.wrong();
            f.about(Kind::ct, c.view.ct[t.ct].id).about(Kind::circuit, c.view.circuit[i].id);
            f.discriminator = t.pole == 0 ? "N" : std::to_string(t.pole);
            f.word("conductor", t.pole == 0 ? "N" : "pole " + std::to_string(t.pole));
            f.number("poles", poles, "").at(pointer_to(Kind::ct, c.view.ct[t.ct].id, "passes"));
        }
    }
}

/// No building has so many panels behind one another; a longer chain is followed no further.
constexpr int most_feeders = 1000;

// Following the feeders upstream ends at a service. A circle has no upstream, and sums over it have no sense. Each
// circle is told once, by the first of its circuits in the record.
void panel_feeds_itself(const Context& c, Verdicts& out) {
    for (const std::uint32_t start : out.over(Kind::circuit)) {
        if (c.feeder(start) < 0) continue;
        // Two walkers, the second twice as fast, meet in a circle whether or not it contains the start.
        std::int32_t slow = static_cast<std::int32_t>(start);
        std::int32_t fast = slow;
        const auto up = [&](std::int32_t at) { return at < 0 ? at : c.feeder(static_cast<std::size_t>(at)); };
        int steps = 0;
        do {
            slow = up(slow);
            fast = up(up(fast));
        } while (fast >= 0 && slow != fast && ++steps < most_feeders);
        if (steps == most_feeders) {
            out.skip();
            continue;
        }
        if (fast < 0) {
            out.right();
            continue;
        }
        std::vector<std::uint32_t> circle;
        bool first = true;
        for (std::int32_t at = slow; circle.empty() || at != slow; at = up(at)) {
            circle.push_back(static_cast<std::uint32_t>(at));
            first = first && start <= static_cast<std::uint32_t>(at);
        }
        const auto begin = std::find(circle.begin(), circle.end(), start);
        if (begin == circle.end() || !first) continue;
        std::rotate(circle.begin(), begin, circle.end());
        Finding& f = out.wrong();
        std::vector<std::string> names;
        for (const std::uint32_t i : circle) {
            f.about(Kind::circuit, c.view.circuit[i].id);
            names.emplace_back(c.view.circuit[i].id);
        }
        f.word("circuits", listed(names));
        f.at(pointer_to(Kind::panel, c.view.circuit[start].panel.id, "fed_from"));
    }
}

}  // namespace bln::rules
