#include "plan/phase_solve.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <numeric>

#include "power/failure.hpp"

namespace bln::plan {
namespace {

/// Bit i: place i of the stage.
using Places = std::uint8_t;

/// Variables that readings tie together, and the readings.
struct Group {
    std::vector<std::size_t> variables, links;
    bool tied = false;  ///< a reading between two of them
};

std::vector<Group> groups_of(std::size_t variables, const std::vector<Link>& links) {
    std::vector<std::size_t> root(variables), place(variables, SIZE_MAX);
    std::iota(root.begin(), root.end(), std::size_t{0});
    const auto find = [&](std::size_t v) {
        while (root[v] != v) v = root[v] = root[root[v]];
        return v;
    };
    for (const Link& l : links)
        if (l.b != SIZE_MAX) root[find(l.a)] = find(l.b);
    std::vector<Group> out;
    for (std::size_t v = 0; v < variables; ++v) {
        std::size_t& at = place[find(v)];
        if (at == SIZE_MAX) {
            at = out.size();
            out.emplace_back();
        }
        out[at].variables.push_back(v);
    }
    for (std::size_t i = 0; i < links.size(); ++i) {
        Group& g = out[place[find(links[i].a)]];
        g.links.push_back(i);
        g.tied = g.tied || links[i].b != SIZE_MAX;
    }
    return out;
}

/// Solves one group. Variables are numbered within it.
class Solver {
public:
    Solver(const Stage& stage, const Fit& fit, const std::vector<Link>& links, const Group& group)
        : stage_(stage), fit_(fit), group_(group) {
        std::map<std::size_t, std::size_t> local;
        for (const std::size_t v : group.variables) local.emplace(v, local.size());
        of_.resize(local.size());
        for (const std::size_t i : group.links) {
            Link l = links[i];
            l.a = local.at(l.a);
            if (l.b != SIZE_MAX) l.b = local.at(l.b);
            of_[l.a].push_back(links_.size());
            if (l.b != SIZE_MAX) of_[l.b].push_back(links_.size());
            links_.push_back(l);
        }
        used_.assign(links_.size(), true);
    }

    void run(Solution& out) {
        while (!solvable()) {
            std::vector<std::size_t> core = smallest_conflict();
            for (std::size_t& l : core) {
                used_[l] = false;
                out.in_conflict[group_.variables[links_[l].a]] = true;
                if (links_[l].b != SIZE_MAX) out.in_conflict[group_.variables[links_[l].b]] = true;
                l = group_.links[l];
            }
            out.conflicts.push_back(std::move(core));
        }
        const std::vector<Places> base = start();
        for (std::size_t v = 0; v < of_.size(); ++v)
            for (std::size_t p = 0; p < stage_.places.size(); ++p) {
                const auto bit = static_cast<Places>(1U << p);
                if ((base[v] & bit) == 0) continue;
                std::vector<Places> at = base;
                at[v] = bit;
                steps_ = 0;
                if (!group_.tied || search(std::move(at), everybody()))
                    out.places[group_.variables[v]].push_back(stage_.places[p]);
            }
    }

private:
    [[nodiscard]] bool holds(const Link& l, std::size_t a, Conductor b) const {
        return fit_(stage_.between(stage_.places[a], b), l.volts);
    }

    /// Places that the readings against known conductors leave.
    [[nodiscard]] std::vector<Places> start() const {
        std::vector<Places> out(of_.size(), static_cast<Places>((1U << stage_.places.size()) - 1));
        for (std::size_t i = 0; i < links_.size(); ++i) {
            if (!used_[i] || links_[i].b != SIZE_MAX) continue;
            for (std::size_t p = 0; p < stage_.places.size(); ++p)
                if (!holds(links_[i], p, links_[i].known))
                    out[links_[i].a] = static_cast<Places>(out[links_[i].a] & ~(1U << p));
        }
        return out;
    }
    [[nodiscard]] std::vector<std::size_t> everybody() const {
        std::vector<std::size_t> out(of_.size());
        std::iota(out.begin(), out.end(), std::size_t{0});
        return out;
    }

    /// Removes what no neighbour allows, until nothing changes. False: somebody has no place left.
    bool propagate(std::vector<Places>& at, std::vector<std::size_t> queue) const {
        while (!queue.empty()) {
            const std::size_t v = queue.back();
            queue.pop_back();
            if (at[v] == 0) return false;
            for (const std::size_t i : of_[v]) {
                const Link& l = links_[i];
                if (!used_[i] || l.b == SIZE_MAX) continue;
                const std::size_t w = l.a == v ? l.b : l.a;
                Places left = 0;
                for (std::size_t p = 0; p < stage_.places.size(); ++p)
                    for (std::size_t q = 0; q < stage_.places.size(); ++q)
                        if ((at[w] >> p & 1U) != 0 && (at[v] >> q & 1U) != 0 && holds(l, p, stage_.places[q]))
                            left = static_cast<Places>(left | 1U << p);
                if (left == 0) return false;
                if (left == at[w]) continue;
                at[w] = left;
                queue.push_back(w);
            }
        }
        return true;
    }

    bool search(std::vector<Places> at, std::vector<std::size_t> changed) const {
        if (!propagate(at, std::move(changed))) return false;
        std::size_t choice = 0;
        while (choice < at.size() && std::has_single_bit(at[choice])) ++choice;
        if (choice == at.size() || !group_.tied) return true;
        // What is not decided after so many steps counts as possible: nothing is claimed that was not proven.
        if (++steps_ > most_steps) return true;
        for (std::size_t p = 0; p < stage_.places.size(); ++p) {
            if ((at[choice] >> p & 1U) == 0) continue;
            std::vector<Places> next = at;
            next[choice] = static_cast<Places>(1U << p);
            if (search(std::move(next), {choice})) return true;
        }
        return false;
    }
    bool solvable() const {
        steps_ = 0;
        return search(start(), everybody());
    }

    /// By size where there are few; else one from which nothing can be spared.
    std::vector<std::size_t> smallest_conflict() {
        std::vector<std::size_t> all;
        for (std::size_t i = 0; i < links_.size(); ++i)
            if (used_[i]) all.push_back(i);
        const std::vector<bool> keep = used_;
        const auto fails = [&](const std::vector<std::size_t>& set) {
            used_.assign(used_.size(), false);
            for (const std::size_t i : set) used_[i] = true;
            const bool bad = !solvable();
            used_ = keep;
            return bad;
        };
        for (const std::size_t i : all)
            if (fails({i})) return {i};
        constexpr std::size_t few = 40;
        if (all.size() <= few) {
            for (std::size_t i = 0; i < all.size(); ++i)
                for (std::size_t j = i + 1; j < all.size(); ++j)
                    if (fails({all[i], all[j]})) return {all[i], all[j]};
            for (std::size_t i = 0; i < all.size(); ++i)
                for (std::size_t j = i + 1; j < all.size(); ++j)
                    for (std::size_t k = j + 1; k < all.size(); ++k)
                        if (fails({all[i], all[j], all[k]})) return {all[i], all[j], all[k]};
        }
        std::vector<std::size_t> set = all;
        for (const std::size_t i : all) {
            std::vector<std::size_t> without = set;
            std::erase(without, i);
            if (fails(without)) set = std::move(without);
        }
        return set;
    }

    static constexpr std::size_t most_steps = 20000;
    const Stage& stage_;
    const Fit& fit_;
    const Group& group_;
    std::vector<Link> links_;
    std::vector<bool> used_;
    std::vector<std::vector<std::size_t>> of_;
    mutable std::size_t steps_ = 0;
};

}  // namespace

Stage stage_of(const as_of::service& service, Conductor high) {
    const ServicePhases served = service_phases(service);
    if (served.count == 0)
        throw Failure(BLN_E_ABSENT, "the kind of the service is not recorded", std::string(service.id),
                      pointer_to(Kind::service, service.id, "kind"));
    const double unit = unit_volts(service);
    if (!(unit > 0))
        throw Failure(BLN_E_ABSENT, "no voltage of the service is recorded", std::string(service.id),
                      pointer_to(Kind::service, service.id, "volts_ln"));
    Supply supply = supply_of(service);
    if (high != Conductor::none) supply.high_leg = high;
    const NominalVoltages u = nominal_voltages(supply, 1);
    Stage out;
    for (std::size_t c = 0; c < conductor_count; ++c) {
        out.volts[c] = u.u[c].value() * unit;
        out.known[c] = u.known[c];
    }
    for (std::uint8_t i = 0; i < served.count; ++i) out.phases.push_back(served.phase[i]);
    out.places = out.phases;
    if (has_neutral(service)) out.places.push_back(Conductor::N);
    for (const Conductor a : out.places)
        for (const Conductor b : out.places) out.line_volts = std::max(out.line_volts, out.between(a, b));
    out.phase_volts = unit;
    return out;
}

Fit fit_of(const Stage& stage, const Policy& policy) noexcept {
    return {std::max(policy[same_percent] / 100 * stage.line_volts, policy[same_volts]), policy[other_percent] / 100};
}

Solution solve_phases(const Stage& stage, const Fit& fit, std::size_t variables, const std::vector<Link>& links) {
    Solution out;
    out.places.resize(variables);
    out.in_conflict.assign(variables, false);
    for (const Group& group : groups_of(variables, links)) Solver(stage, fit, links, group).run(out);
    return out;
}

}  // namespace bln::plan
