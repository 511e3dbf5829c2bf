// What a sum says of its circuits, and what its main claims to cover.
#include <algorithm>

#include "power/failure.hpp"
#include "rules/context.hpp"
#include "rules/rules.hpp"
#include "rules/sums.hpp"
#include "rules/verdicts.hpp"

namespace bln::rules {
namespace {

enum class Under : std::uint8_t { yes, no, open };

/// Whether a circuit is one of @p mains or is fed through one. Open: the record does not say what feeds the panel at
/// which the chain ends; @p open_at is then that panel.
Under under(const Context& c, std::uint32_t circuit, const std::vector<bool>& mains, std::int32_t& open_at) {
    const View& v = c.view;
    open_at = -1;
    std::int32_t at = static_cast<std::int32_t>(circuit);
    for (int steps = 0; steps <= most_levels; ++steps) {
        const auto i = static_cast<std::size_t>(at);
        if (mains[i]) return Under::yes;
        const Ref& panel = v.circuit[i].panel;
        if (!panel.resolved()) return Under::open;
        const Ref& from = v.panel[static_cast<std::size_t>(panel.at)].fed_from;
        if (!from.given()) {
            open_at = panel.at;
            return Under::open;
        }
        if (!from.resolved()) return Under::open;
        if (from.at == at) return Under::no;  // a main in the panel that it feeds
        at = from.at;
    }
    return Under::open;
}

}  // namespace

// A circuit is subtracted only where something upstream of it is added.
void circuit_subtracted(const Context& c, Verdicts& out) {
    const View& v = c.view;
    const Nesting nesting = nesting_of(v);
    Expansion e(c, nesting);
    CircuitSums sums(c);
    const std::vector<bool> none(v.circuit.size(), false);
    for (const std::uint32_t r : out.over(Kind::rollup)) {
        if (!nesting.root[r] || nesting.circular[r]) continue;
        try {
            if (!e.expand(r)) throw Failure(BLN_E_OVERFLOW, "coefficients");
            sums.build(e);
            for (const std::uint32_t i : sums.circuits) {
                const Rational total = sums.total(i, nullptr);
                if (!(total < Rational(0)) || v.circuit[i].load == Load::generation) {
                    out.right();
                    continue;
                }
                std::int32_t panel = -1;
                if (under(c, i, none, panel) == Under::open) {
                    if (panel >= 0)
                        out.lacks(Kind::panel, static_cast<std::size_t>(panel), field_of::panel::fed_from);
                    else
                        out.skip();
                    continue;
                }
                Finding& f = out.wrong();
                f.about(Kind::circuit, v.circuit[i].id).about(Kind::rollup, v.rollup[r].id);
                std::vector<std::string> points;
                for (const std::uint32_t p : c.circuit_points[i])
                    if (e.has(p)) points.emplace_back(v.point[p].id);
                f.number("measured", total.real(), "").word("points", points.empty() ? "its feeder" : listed(points));
                f.at(pointer_to(Kind::rollup, v.rollup[r].id));
            }
        } catch (const Failure&) {
            out.skip();  // told by the rule about circuits that are counted twice
        }
    }
}

// A sum that has to agree with a main counts whole circuits. Others may be somebody's part.
void circuit_counted_in_part(const Context& c, Verdicts& out) {
    const View& v = c.view;
    const Nesting nesting = nesting_of(v);
    Expansion e(c, nesting);
    CircuitSums sums(c);
    for (const std::uint32_t r : out.over(Kind::rollup)) {
        if (!v.rollup[r].against.resolved() || nesting.circular[r]) continue;
        try {
            if (!e.expand(r)) throw Failure(BLN_E_OVERFLOW, "coefficients");
            sums.build(e);
            for (const std::uint32_t i : sums.circuits) {
                const Rational total = sums.total(i, nullptr);
                if (!(Rational(0) < total) || !(total < Rational(1))) {
                    out.right();
                    continue;
                }
                out.wrong()
                    .about(Kind::circuit, v.circuit[i].id)
                    .about(Kind::rollup, v.rollup[r].id)
                    .number("measured", total.real(), "")
                    .word("shares", total.text())
                    .at(pointer_to(Kind::rollup, v.rollup[r].id));
            }
        } catch (const Failure&) {
            out.skip();
        }
    }
}

void main_does_not_cover(const Context& c, Verdicts& out) {
    const View& v = c.view;
    const Nesting nesting = nesting_of(v);
    Expansion e(c, nesting);
    std::vector<bool> mains;
    for (const std::uint32_t r : out.over(Kind::rollup)) {
        const Ref& main = v.rollup[r].against;
        if (!main.resolved() || nesting.circular[r] || !e.expand(r)) continue;
        mains.assign(v.circuit.size(), false);
        bool any = false;
        for (const Ref& i : v.point[static_cast<std::size_t>(main.at)].circuits)
            if (i.resolved()) any = mains[static_cast<std::size_t>(i.at)] = true;
        if (!any) {
            out.lacks(Kind::point, static_cast<std::size_t>(main.at), field_of::point::circuits);
            continue;
        }
        std::vector<std::uint32_t> points = e.points;
        std::sort(points.begin(), points.end());
        for (const std::uint32_t p : points) {
            Under worst = Under::yes;
            std::string_view circuit;
            for (const Ref& i : v.point[p].circuits) {
                if (!i.resolved() || worst == Under::no) continue;
                std::int32_t panel = -1;
                const Under its = under(c, static_cast<std::uint32_t>(i.at), mains, panel);
                if (its == Under::yes) continue;
                worst = its;
                circuit = i.id;
                if (its == Under::open && panel >= 0)
                    out.lacks(Kind::panel, static_cast<std::size_t>(panel), field_of::panel::fed_from);
            }
            if (worst == Under::yes) out.right();
            if (worst != Under::no) continue;
            out.wrong()
                .about(Kind::point, v.point[p].id)
                .about(Kind::rollup, v.rollup[r].id)
                .about(Kind::point, main.id)
                .word("circuit", circuit)
                .at(pointer_to(Kind::rollup, v.rollup[r].id, "against"));
        }
    }
}

}  // namespace bln::rules
