// What a roll-up adds: points with their coefficients, and circuits with what stands upstream of them.
#pragma once

#include <algorithm>
#include <cstdint>
#include <vector>

#include "power/failure.hpp"
#include "rules/context.hpp"

namespace bln::rules {

/// How roll-ups nest: which are not part of another one, and which add themselves.
struct Nesting {
    std::vector<bool> root;
    std::vector<bool> circular;        ///< on a circle
    std::vector<std::uint32_t> order;  ///< inner roll-ups before those that add them; circles left out
};

[[nodiscard]] Nesting nesting_of(const View& view);

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

}  // namespace bln::rules
