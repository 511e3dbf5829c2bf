// In every sum each circuit stands once.
#include <algorithm>

#include "power/failure.hpp"
#include "rules/context.hpp"
#include "rules/rules.hpp"
#include "rules/verdicts.hpp"

namespace bln::rules {
namespace {

/// How roll-ups nest: which are not part of another one, and which add themselves.
struct Nesting {
    std::vector<bool> root;
    std::vector<bool> circular;        ///< on a circle
    std::vector<std::uint32_t> order;  ///< inner roll-ups before those that add them; circles left out
};

enum class Mark : std::uint8_t { fresh, open, done };

/// Depth first without recursion: a record may nest as deep as it likes.
Nesting nesting_of(const View& v) {
    const std::size_t n = v.rollup.size();
    Nesting out{std::vector<bool>(n, true), std::vector<bool>(n, false), {}};
    std::vector<Mark> mark(n, Mark::fresh);
    struct Frame {
        std::uint32_t at;
        std::size_t next;
    };
    std::vector<Frame> path;
    for (std::uint32_t start = 0; start < n; ++start) {
        if (mark[start] != Mark::fresh) continue;
        path.push_back({start, 0});
        mark[start] = Mark::open;
        while (!path.empty()) {
            Frame& top = path.back();
            const auto inner = v.rollup[top.at].rollups;
            if (top.next == inner.size()) {
                mark[top.at] = Mark::done;
                if (!out.circular[top.at]) out.order.push_back(top.at);
                path.pop_back();
                continue;
            }
            const Ref& ref = inner[top.next++].ref;
            if (!ref.resolved()) continue;
            const auto to = static_cast<std::uint32_t>(ref.at);
            out.root[to] = out.root[to] && to == top.at;
            if (mark[to] == Mark::open) {
                for (std::size_t k = path.size(); k-- > 0;) {
                    out.circular[path[k].at] = true;
                    if (path[k].at == to) break;
                }
            } else if (mark[to] == Mark::fresh) {
                mark[to] = Mark::open;
                path.push_back({to, 0});
            }
        }
    }
    return out;
}

/// Coefficient of every point in one roll-up, through all that it adds. Touches only what it adds.
class Expansion {
public:
    Expansion(const Context& c, const Nesting& nesting)
        : c_(c),
          position_(c.view.rollup.size(), -1),
          weight_(c.view.rollup.size()),
          point_(c.view.point.size()),
          touched_(c.view.point.size(), false) {
        for (std::size_t i = 0; i < nesting.order.size(); ++i)
            position_[nesting.order[i]] = static_cast<std::int64_t>(i);
    }

    /// False when a coefficient does not fit.
    bool expand(std::uint32_t root) {
        for (const std::uint32_t p : points) touched_[p] = false;
        points.clear();
        std::vector<std::uint32_t> inner{root};
        std::vector<bool> in(c_.view.rollup.size(), false);
        in[root] = true;
        weight_[root] = 1;
        for (std::size_t i = 0; i < inner.size(); ++i)
            for (const Term& t : c_.view.rollup[inner[i]].rollups) {
                if (!t.ref.resolved()) continue;
                const auto to = static_cast<std::uint32_t>(t.ref.at);
                if (position_[to] < 0 || in[to]) continue;
                in[to] = true;
                weight_[to] = 0;
                inner.push_back(to);
            }
        std::sort(inner.begin(), inner.end(), [&](auto a, auto b) { return position_[a] > position_[b]; });
        try {
            for (const std::uint32_t r : inner) add(r, in);
        } catch (const Failure&) {
            return false;
        }
        return true;
    }
    [[nodiscard]] const Rational& coefficient(std::uint32_t point) const noexcept { return point_[point]; }
    [[nodiscard]] bool has(std::uint32_t point) const noexcept { return touched_[point]; }

    std::vector<std::uint32_t> points;  ///< in the roll-up last expanded

private:
    void add(std::uint32_t rollup, const std::vector<bool>& in) {
        const auto& r = c_.view.rollup[rollup];
        for (const Term& t : r.points) {
            if (!t.ref.resolved()) continue;
            const auto p = static_cast<std::uint32_t>(t.ref.at);
            if (!touched_[p]) {
                touched_[p] = true;
                point_[p] = 0;
                points.push_back(p);
            }
            point_[p] += weight_[rollup] * t.weight;
        }
        for (const Term& t : r.rollups)
            if (t.ref.resolved() && in[static_cast<std::size_t>(t.ref.at)])
                weight_[static_cast<std::size_t>(t.ref.at)] += weight_[rollup] * t.weight;
    }

    const Context& c_;
    std::vector<std::int64_t> position_;
    std::vector<Rational> weight_;
    std::vector<Rational> point_;
    std::vector<bool> touched_;
};

/// What one roll-up adds of each circuit: its own points and those of the circuits that feed it.
class CircuitSums {
public:
    explicit CircuitSums(const Context& c)
        : c_(c), own_(c.view.circuit.size()), listed_(c.view.circuit.size(), false) {}

    void build(const Expansion& e) {
        for (const std::uint32_t i : circuits) listed_[i] = false;
        circuits.clear();
        for (const std::uint32_t p : e.points)
            for (const Ref& r : c_.view.point[p].circuits) {
                if (!r.resolved()) continue;
                const auto i = static_cast<std::uint32_t>(r.at);
                if (!listed_[i]) {
                    listed_[i] = true;
                    own_[i] = 0;
                    circuits.push_back(i);
                }
                own_[i] += e.coefficient(p) * c_.share_of(p);
            }
    }
    /// Sum over the circuit and everything upstream of it. Circles of feeders end the walk.
    [[nodiscard]] Rational total(std::uint32_t circuit, std::vector<std::uint32_t>* upstream) const {
        Rational out = listed_[circuit] ? own_[circuit] : Rational(0);
        std::int32_t at = c_.feeder(circuit);
        for (int steps = 0; at >= 0 && steps < most_levels; ++steps) {
            const auto i = static_cast<std::uint32_t>(at);
            if (i == circuit) break;
            if (listed_[i]) {
                out += own_[i];
                if (upstream != nullptr) upstream->push_back(i);
            }
            at = c_.feeder(i);
        }
        return out;
    }

    std::vector<std::uint32_t> circuits;  ///< that the points of the roll-up list

private:
    const Context& c_;
    std::vector<Rational> own_;
    std::vector<bool> listed_;
};

}  // namespace

void rollup_in_itself(const Context& c, Verdicts& out) {
    const Nesting nesting = nesting_of(c.view);
    for (std::size_t r = 0; r < c.view.rollup.size(); ++r) {
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
    for (std::uint32_t r = 0; r < v.rollup.size(); ++r) {
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
    std::vector<bool> anywhere(v.point.size(), false);
    const auto never = [&](std::uint32_t point, std::string_view rollup, std::string_view pointer) {
        Finding& f = out.wrong();
        std::vector<std::string> circuits;
        for (const Ref& r : v.point[point].circuits) circuits.emplace_back(r.id);
        f.about(Kind::point, v.point[point].id);
        if (!rollup.empty()) f.about(Kind::rollup, rollup);
        f.word("circuits", circuits.empty() ? "no circuit" : listed(circuits));
        f.word("rollup", rollup.empty() ? "any roll-up" : rollup).at(std::string(pointer));
    };
    for (std::uint32_t r = 0; r < v.rollup.size(); ++r) {
        if (nesting.circular[r] || !e.expand(r)) continue;
        for (const std::uint32_t p : e.points) anywhere[p] = true;
    }
    for (std::uint32_t p = 0; p < v.point.size(); ++p) {
        if (!c.bills(p)) continue;
        if (anywhere[p])
            out.right();
        else
            never(p, {}, pointer_to(Kind::point, v.point[p].id));
    }
    for (std::uint32_t r = 0; r < v.rollup.size(); ++r) {
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
            if (!c.bills(p) || !anywhere[p] || e.has(p)) continue;
            const auto circuits = v.point[p].circuits;
            if (std::any_of(circuits.begin(), circuits.end(), under_main))
                never(p, v.rollup[r].id, pointer_to(Kind::rollup, v.rollup[r].id, "points"));
        }
    }
}

}  // namespace bln::rules
