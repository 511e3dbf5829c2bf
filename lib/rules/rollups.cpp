// In every sum each circuit stands once.
#include <algorithm>

#include "power/failure.hpp"
#include "rules/context.hpp"
#include "rules/rules.hpp"
#include "rules/sums.hpp"
#include "rules/verdicts.hpp"

namespace bln::rules {

void rollup_in_itself(const Context& c, Verdicts& out) {
    const Nesting nesting = nesting_of(c.view);
    for (const std::uint32_t r : out.over(Kind::rollup)) {
        if (nesting.circular[r])
            out.wrong()
                .about(Kind::rollup, c.view.rollup[r].id)
                .at(pointer_to(Kind::rollup, c.view.rollup[r].id, "rollups"));
        else
            out.right();
    }
}

void circuit_rolled_up_twice(const Context& c, Verdicts& out) {
    const View& v = c.view;
    const Nesting nesting = nesting_of(v);
    Expansion e(c, nesting);
    CircuitSums sums(c);
    for (const std::uint32_t r : out.over(Kind::rollup)) {
        if (!nesting.root[r] || nesting.circular[r]) continue;
        try {
            if (!e.expand(r)) throw Failure(BLN_E_OVERFLOW, "coefficients");
            sums.build(e);
            for (const std::uint32_t i : sums.circuits) {
                std::vector<std::uint32_t> upstream;
                const Rational total = sums.total(i, &upstream);
                if (!(Rational(1) < total)) {
                    out.right();
                    continue;
                }
                Finding& f = out.wrong();
                f.about(Kind::circuit, v.circuit[i].id).about(Kind::rollup, v.rollup[r].id);
                std::vector<std::string> points;
                const auto add_points = [&](std::uint32_t circuit) {
                    for (const std::uint32_t p : c.circuit_points[circuit])
                        if (e.has(p)) {
                            f.about(Kind::point, v.point[p].id);
                            points.emplace_back(v.point[p].id);
                        }
                };
                add_points(i);
                for (const std::uint32_t u : upstream) add_points(u);
                f.number("measured", total.real(), "").number("expected", 1, "");
                f.word("points", listed(points)).at(pointer_to(Kind::rollup, v.rollup[r].id));
            }
        } catch (const Failure&) {
            out.undecided()
                .about(Kind::rollup, v.rollup[r].id)
                .word("points", "coefficients that are too large to multiply")
                .at(pointer_to(Kind::rollup, v.rollup[r].id));
        }
    }
}

// A record without roll-ups has chosen to have none. With roll-ups, every billing point stands in
// one, and in each that is compared with a main above it.
void circuit_never_rolled_up(const Context& c, Verdicts& out) {
    const View& v = c.view;
    if (v.rollup.empty()) return;
    const Nesting nesting = nesting_of(v);
    Expansion e(c, nesting);
    const auto never = [&](std::uint32_t point, std::string_view rollup, std::string_view pointer) {
        Finding& f = out.wrong();
        std::vector<std::string> circuits;
        for (const Ref& r : v.point[point].circuits) circuits.emplace_back(r.id);
        f.about(Kind::point, v.point[point].id);
        if (!rollup.empty()) f.about(Kind::rollup, rollup);
        f.word("circuits", circuits.empty() ? "no circuit" : listed(circuits));
        f.word("rollup", rollup.empty() ? "any roll-up" : rollup).at(std::string(pointer));
    };
    const auto anywhere = [&](std::uint32_t p) {
        const auto in = c.point_rollups[p];
        return std::any_of(in.begin(), in.end(), [&](std::uint32_t r) { return !nesting.circular[r]; });
    };
    for (const std::uint32_t p : out.over(Kind::point)) {
        if (!c.bills(p)) continue;
        if (anywhere(p))
            out.right();
        else
            never(p, {}, pointer_to(Kind::point, v.point[p].id));
    }
    for (const std::uint32_t r : out.over(Kind::rollup)) {
        const Ref main = v.rollup[r].against;
        if (!main.resolved() || nesting.circular[r] || !e.expand(r)) continue;
        std::vector<bool> above(v.circuit.size(), false);
        for (const Ref& i : v.point[static_cast<std::size_t>(main.at)].circuits)
            if (i.resolved()) above[static_cast<std::size_t>(i.at)] = true;
        const auto under_main = [&](const Ref& circuit) {
            if (!circuit.resolved()) return false;
            std::int32_t at = c.feeder(static_cast<std::size_t>(circuit.at));
            for (int steps = 0; at >= 0 && steps < most_levels; ++steps) {
                if (above[static_cast<std::size_t>(at)]) return true;
                at = c.feeder(static_cast<std::size_t>(at));
            }
            return false;
        };
        for (std::uint32_t p = 0; p < v.point.size(); ++p) {
            if (!c.bills(p) || e.has(p) || !anywhere(p)) continue;
            const auto circuits = v.point[p].circuits;
            if (std::any_of(circuits.begin(), circuits.end(), under_main))
                never(p, v.rollup[r].id, pointer_to(Kind::rollup, v.rollup[r].id, "points"));
        }
    }
}

}  // namespace bln::rules
