// What runs through the window of a CT.
#include <algorithm>
#include <array>
#include <cmath>

#include "rules/context.hpp"
#include "rules/rules.hpp"
#include "rules/verdicts.hpp"
#include "site/topology.hpp"

namespace bln::rules {
namespace {

/// Diameter of the smallest circle round n equal circles of diameter 1. The values up to 9 are proven (R. L. Graham
/// 1968, U. Pirl 1969, from memory; 2 to 7 follow from elementary geometry). Beyond, the areas alone: a bundle is never
/// smaller.
double bundle(double n) {
    constexpr std::array known{0.0, 1.0, 2.0, 2.1547, 2.4142, 2.7013, 3.0, 3.0, 3.3048, 3.6131};
    const auto whole = static_cast<std::size_t>(n);
    if (n < known.size() && static_cast<double>(whole) == n) return known[whole];
    return std::sqrt(n);
}

/// Parallel conductors of one pole in the window: as stated of the CT, otherwise all that the pole has.
std::int64_t in_window(const as_of::ct& ct, const as_of::circuit& circuit) {
    return ct.conductors ? *ct.conductors : circuit.conductors ? *circuit.conductors : 1;
}

}  // namespace

void window_too_small(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t i : out.over(Kind::ct)) {
        const as_of::ct& ct = v.ct[i];
        const as_of::ct_type* type = type_of(v, ct);
        if (type == nullptr || ct.passes.empty()) continue;
        if (!type->window_mm) {
            out.lacks(Kind::ct_type, static_cast<std::size_t>(ct.type.at), field_of::ct_type::window_mm);
            continue;
        }
        double count = 0;
        double widest = 0;
        double area = 0;
        bool known = true;
        for (const Pass& p : ct.passes) {
            if (!p.circuit.resolved()) continue;
            const auto& circuit = v.circuit[static_cast<std::size_t>(p.circuit.at)];
            if (!circuit.conductor_mm) {
                out.lacks(Kind::circuit, static_cast<std::size_t>(p.circuit.at), field_of::circuit::conductor_mm);
                known = false;
                continue;
            }
            // A part of a turn stands for a part of the current, not of a conductor.
            const double turns = std::max(1.0, std::ceil(std::abs(p.turns.real())));
            const double n = turns * static_cast<double>(in_window(ct, circuit));
            count += n;
            widest = std::max(widest, *circuit.conductor_mm);
            area += n * *circuit.conductor_mm * *circuit.conductor_mm;
        }
        if (!known || count == 0) continue;
        // Conductors of different sizes need at least their common area, and at least the room of the widest.
        const double uniform = count * widest * widest;
        const double needed =
            std::abs(area - uniform) < 1e-9 * uniform ? widest * bundle(count) : std::max(widest, std::sqrt(area));
        if (needed <= *type->window_mm * (1 + 1e-9)) {
            out.right();
            continue;
        }
        out.wrong()
            .about(Kind::ct, ct.id)
            .number("count", count, "")
            .number("measured", needed, "mm")
            .number("limit", *type->window_mm, "mm")
            .at(pointer_to(Kind::ct, ct.id, "passes"));
    }
}

// Parallel conductors never share the current exactly: what runs outside of the CTs is not measured, and no factor
// makes up for it.
void parallel_partly_enclosed(const Context& c, Verdicts& out) {
    const View& v = c.view;
    struct Pole {
        std::int32_t circuit;
        int pole;
        std::int64_t enclosed;
    };
    std::vector<Pole> poles;
    for (const std::uint32_t i : out.over(Kind::channel)) {
        poles.clear();
        for (const Term& t : v.channel[i].cts) {
            if (!t.ref.resolved()) continue;
            const auto& ct = v.ct[static_cast<std::size_t>(t.ref.at)];
            for (const Pass& p : ct.passes) {
                if (!p.circuit.resolved()) continue;
                const auto at = static_cast<std::size_t>(p.circuit.at);
                if (!v.circuit[at].conductors) {
                    if (ct.conductors) out.lacks(Kind::circuit, at, field_of::circuit::conductors);
                    continue;
                }
                if (*v.circuit[at].conductors < 2) continue;
                if (!ct.conductors) {
                    out.lacks(Kind::ct, static_cast<std::size_t>(t.ref.at), field_of::ct::conductors);
                    continue;
                }
                const auto same = std::find_if(poles.begin(), poles.end(), [&](const Pole& x) {
                    return x.circuit == p.circuit.at && x.pole == p.pole;
                });
                if (same == poles.end())
                    poles.push_back({p.circuit.at, p.pole, *ct.conductors});
                else
                    same->enclosed += *ct.conductors;
            }
        }
        for (const Pole& x : poles) {
            const auto& circuit = v.circuit[static_cast<std::size_t>(x.circuit)];
            if (x.enclosed == *circuit.conductors) {
                out.right();
                continue;
            }
            Finding& f = out.wrong();
            f.about(Kind::channel, v.channel[i].id).about(Kind::circuit, circuit.id);
            f.discriminator = x.pole < 0 ? std::string() : x.pole == 0 ? "N" : std::to_string(x.pole);
            f.number("measured", static_cast<double>(x.enclosed), "");
            f.number("expected", static_cast<double>(*circuit.conductors), "");
            f.at(pointer_to(Kind::channel, v.channel[i].id, "cts"));
        }
    }
}

// All conductors of a circuit in one direction carry no net current but leakage.
void ct_round_whole_circuit(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t i : out.over(Kind::ct)) {
        for (const Pass& p : v.ct[i].passes) {
            if (!p.circuit.resolved() || p.pole != 1) continue;
            const std::size_t poles = pole_count(v.circuit[static_cast<std::size_t>(p.circuit.at)]);
            const Answer neutral = neutral_of(v, p.circuit.at);
            if (poles == 0 || poles > 3) continue;
            std::array<Rational, 4> turns{};
            for (const Pass& q : v.ct[i].passes)
                if (q.circuit.at == p.circuit.at && q.pole >= 0 && q.pole <= 3)
                    turns[static_cast<std::size_t>(q.pole)] = q.turns;
            bool all = true;
            for (std::size_t k = 2; k <= poles; ++k) all = all && turns[k] == turns[1];
            if (neutral == Answer::yes) all = all && turns[0] == turns[1];
            all = all && !turns[1].is_zero() && (poles > 1 || neutral == Answer::yes);
            if (!all) {
                out.right();
                continue;
            }
            out.wrong()
                .about(Kind::ct, v.ct[i].id)
                .about(Kind::circuit, p.circuit.id)
                .at(pointer_to(Kind::ct, v.ct[i].id, "passes"));
        }
    }
}

void ct_round_neutral(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t i : out.over(Kind::ct)) {
        const as_of::ct& ct = v.ct[i];
        if (ct.passes.empty()) continue;
        const bool neutrals =
            std::all_of(ct.passes.begin(), ct.passes.end(), [](const Pass& p) { return p.pole == 0; });
        bool billed = false;
        for (const Wired& w : c.ct_channels[i])
            for (const Use& u : c.channel_uses[w.channel]) billed = billed || c.bills(u.point);
        if (!neutrals || !billed) {
            out.right();
            continue;
        }
        out.wrong()
            .about(Kind::ct, ct.id)
            .about(Kind::circuit, ct.passes.front().circuit.id)
            .at(pointer_to(Kind::ct, ct.id, "passes"));
    }
}

}  // namespace bln::rules
