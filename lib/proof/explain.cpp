#include "proof/explain.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

namespace bln::infer {
namespace {

ProofPlacement placement_of(const Group& g, std::size_t e, std::uint32_t h, const Explained& x) {
    ProofPlacement out;
    out.channel = g.channels[e];
    const ShapeElement& element = shape_of(g, x).elements[e];
    out.also = "none";
    out.ratio = "1";
    if (x.dead == static_cast<std::int8_t>(e)) {
        out.conductor = "none";
        out.dead = true;
        return out;
    }
    if (element.grounded) {
        out.conductor = "recorded";
        return out;
    }
    const Placement& p = element.all->placement_of(h, 0);
    const auto conductors = element.all->form().conductors();
    const auto name = [&](std::int8_t k) {
        return k >= 0 ? std::string(word_of(conductors[static_cast<std::size_t>(k)].on))
                      : std::string(k == Placement::recorded ? "recorded" : "none");
    };
    out.conductor = name(p.on);
    out.also = name(p.also);
    out.sign = p.sign;
    out.foreign = x.elsewhere == static_cast<std::int8_t>(e) ||
                  (p.on >= 0 && conductors[static_cast<std::size_t>(p.on)].load > 0);
    const Rational& r = element.all->ratios()[p.ratio];
    out.ratio = r.den() == 1 ? std::to_string(r.num()) : fmt::format("{}/{}", r.num(), r.den());
    return out;
}

std::string words_of(const Group& g, std::size_t e, const ProofPlacement& p) {
    const ShapeElement& element = g.shape->elements[e];
    std::string out;
    const auto say = [&](const std::string& text) { out += (out.empty() ? " " : ", ") + text; };
    if (p.dead) {
        say("without current");
    } else if (!element.grounded) {
        const Placement& meant = element.all->placement_of(0, 0);
        const bool several = meant.on < 0;
        const std::string recorded =
            several ? "recorded"
                    : std::string(word_of(element.all->form().conductors()[static_cast<std::size_t>(meant.on)].on));
        if (p.conductor != recorded || p.foreign) say("on " + p.conductor + (p.foreign ? " of another circuit" : ""));
        if (p.sign < 0) say("reversed");
        if (p.ratio != "1") say("with a ratio of " + p.ratio + " times the configured one");
    }
    return out.empty() ? out : fmt::format("element {}{}", g.elements[e] + 1, out);
}

/// Placements of element @p e that the class allows.
std::vector<std::uint32_t> choices_of(const Group& g, std::size_t e, const Explained& x) {
    const Shape& shape = shape_of(g, x);
    const ShapeElement& element = shape.elements[e];
    if (element.grounded || x.dead == static_cast<std::int8_t>(e)) return {0};
    if (x.scaled == static_cast<std::int8_t>(e)) {
        const ElementClass& at = element.base[shape.class_of(x.tuple, e)];
        const Placement& base = element.all->placement_of(at.first, 0);
        const Placement& scaled = element.all->placement_of(element.ratios[static_cast<std::size_t>(x.ratio)].first, 0);
        for (std::uint32_t h = 0; h < element.all->size(); ++h) {
            const Placement& p = element.all->placement_of(h, 0);
            if (p.on == base.on && p.also == base.also && p.sign == base.sign && p.ratio == scaled.ratio) return {h};
        }
        return {at.first};
    }
    // Of what reads the same, one conductor in the window comes before two that make up the third.
    std::vector<std::uint32_t> out;
    const std::vector<std::uint32_t>& all = element.base[shape.class_of(x.tuple, e)].members;
    for (const std::uint32_t h : all)
        if (element.all->placement_of(h, 0).also < 0) out.push_back(h);
    return out.empty() ? all : out;
}

}  // namespace

std::vector<ProofMember> members_of(const Group& g, const Explained& x) {
    std::vector<ProofMember> out;
    if (x.anything) {
        out.push_back({"nothing that is looked for", "", {}});
        return out;
    }
    const std::size_t n = g.elements.size();
    std::vector<std::vector<std::uint32_t>> choice(n);
    for (std::size_t e = 0; e < n; ++e) choice[e] = choices_of(g, e, x);
    std::vector<std::size_t> at(n, 0);
    for (bool more = true; more && out.size() < most_members;) {
        ProofMember m;
        for (std::size_t e = 0; e < n; ++e) {
            m.placements.push_back(placement_of(g, e, choice[e][at[e]], x));
            const std::string part = words_of(g, e, m.placements.back());
            if (!part.empty()) m.words += (m.words.empty() ? "" : "; ") + part;
        }
        if (x.map != 0) {
            m.leads = g.leads[static_cast<std::size_t>(x.map)];
            m.words += (m.words.empty() ? "" : "; ") + m.leads;
        }
        if (m.words.empty()) m.words = "as recorded";
        out.push_back(std::move(m));
        more = false;
        for (std::size_t e = 0; e < n && !more; ++e) {
            more = ++at[e] < choice[e].size();
            if (!more) at[e] = 0;
        }
    }
    for (const Explained& y : x.alike)
        for (ProofMember& m : members_of(g, y))
            if (out.size() < most_members) out.push_back(std::move(m));
    return out;
}

std::string words_of(const Group& g, const Explained& x) {
    if (x.anything) return "nothing that is looked for";
    std::string out;
    for (std::size_t e = 0; e < g.elements.size(); ++e) {
        const std::string part = words_of(g, e, placement_of(g, e, choices_of(g, e, x)[0], x));
        if (!part.empty()) out += (out.empty() ? "" : "; ") + part;
    }
    if (x.map != 0) out += (out.empty() ? "" : "; ") + g.leads[static_cast<std::size_t>(x.map)];
    return out.empty() ? "as recorded" : out;
}

bool load_angle(const Group& g, const Explained& x, std::size_t e, double& degrees) {
    const Shape& shape = shape_of(g, x);
    if (x.anything || shape.elements[e].grounded) return false;
    const Observation* best = nullptr;
    for (const Observation& o : g.sights[e].seen)
        if (o.loaded && o.exact && (best == nullptr || o.log_amps > best->log_amps)) best = &o;
    if (best == nullptr) return false;
    const ElementClass& c = shape.elements[e].base[shape.class_of(x.tuple, e)];
    degrees = std::remainder(best->angle[0] * 180 / std::numbers::pi - c.shift * step_degrees, 360.0);
    return true;
}

std::string evidence_of(const Group& g, const Readings& readings) {
    std::string out;
    for (std::size_t e = 0; e < g.elements.size(); ++e) {
        const Observation* best = nullptr;
        for (const Observation& o : g.sights[e].seen)
            if (best == nullptr || o.log_amps > best->log_amps) best = &o;
        if (best == nullptr) continue;
        const Reading& r = readings.rows()[static_cast<std::size_t>(best->row)];
        std::string part = fmt::format("{}{} reads", out.empty() ? "" : "; ", g.channels[e]);
        const auto add = [&](Measured m, const char* unit) {
            if (const auto v = r.of(m)) part += fmt::format(" {:.6g} {}", *v, unit);
        };
        add(Measured::watts, "W");
        add(Measured::vars, "var");
        if (!r.has(Measured::watts) || !r.has(Measured::vars)) {
            add(Measured::volt_amps, "VA");
            add(Measured::amps, "A");
        }
        if (best->exact) part += fmt::format(" ({:.1f} deg)", best->angle[0] * 180 / std::numbers::pi);
        out += part;
    }
    const auto angles = [&](const Explained& x) {
        std::string text;
        for (std::size_t e = 0; e < g.elements.size(); ++e) {
            double degrees = 0;
            if (load_angle(g, x, e, degrees)) text += fmt::format("{}{:.1f}", text.empty() ? "" : ", ", degrees);
        }
        return text;
    };
    const std::string recorded = g.shape->tuples > 0 ? angles(Explained{}) : std::string();
    if (!recorded.empty()) {
        out += fmt::format(". As recorded, the load ({}) would stand at {} deg",
                           g.load == Load::unknown ? "kind not stated" : word_of(g.load), recorded);
        for (const Explained& x : g.posterior.reported) {
            if (x.record()) continue;
            if (const std::string other = angles(x); !other.empty())
                out += fmt::format("; {}: {} deg", words_of(g, x), other);
            break;
        }
    }
    return out.empty() ? out : out + ".";
}

}  // namespace bln::infer
