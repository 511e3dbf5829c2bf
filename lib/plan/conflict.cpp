#include "plan/conflict.hpp"

#include <algorithm>

namespace bln::plan {
namespace {

using Set = std::vector<std::size_t>;  // positions in names_, ascending

class Conflict {
public:
    Conflict(const AllocationProblem& problem, const std::vector<PoolMembers>& pools)
        : problem_(problem),
          pools_(pools),
          solves_(std::max<std::size_t>(200, 1'000'000 / (problem.units.size() + 1))) {
        const AllocationRules& rules = problem.rules;
        if (rules.most_new_devices >= 0) names_.push_back({ConstraintKind::most_new_devices, 0});
        if (rules.spare_percent > 0) names_.push_back({ConstraintKind::spare_percent, 0});
        if (rules.spare_per_device > 0) names_.push_back({ConstraintKind::spare_per_device, 0});
        if (!rules.across_groups) names_.push_back({ConstraintKind::whole_groups, 0});
        if (shares_blocks()) names_.push_back({ConstraintKind::whole_points, 0});
        for (std::size_t d = 0; d < problem.devices.size(); ++d)
            if (!problem.devices[d].reserved.empty()) names_.push_back({ConstraintKind::reserved, d});
        for (std::size_t p = 0; p < problem.pins.size(); ++p) names_.push_back({ConstraintKind::pin, p});
    }

    void find(Allocation& out) {
        if (const auto alone = unplaceable(); !alone.empty()) {
            out.conflict = alone;
            return;
        }
        if (!possible({})) {
            out.conflict = {{ConstraintKind::devices, 0}};
            return;
        }
        Set all(names_.size());
        for (std::size_t i = 0; i < all.size(); ++i) all[i] = i;
        Set smallest = shrink({}, false, all);
        std::sort(smallest.begin(), smallest.end());
        // None of its members can be left out; a set of fewer may exist all the same.
        for (std::size_t size = 1; size < smallest.size() && proven_; ++size) {
            Set chosen;
            if (!search(0, size, chosen)) continue;
            smallest = chosen;
            break;
        }
        for (const std::size_t i : smallest) out.conflict.push_back(names_[i]);
        out.proven = proven_;
    }

private:
    [[nodiscard]] bool shares_blocks() const {
        std::vector<int> blocks;
        for (const Unit& u : problem_.units)
            if (u.block >= 0) blocks.push_back(u.block);
        std::sort(blocks.begin(), blocks.end());
        return std::adjacent_find(blocks.begin(), blocks.end()) != blocks.end();
    }

    [[nodiscard]] std::vector<Constraint> unplaceable() const {
        for (std::size_t i = 0; i < problem_.units.size(); ++i) {
            const Unit& u = problem_.units[i];
            const auto large = [&](const std::vector<int>& groups) { return sum(groups) >= u.channels; };
            const bool somewhere =
                std::any_of(problem_.profiles.begin(), problem_.profiles.end(),
                            [&](const ProfileChoice& c) {
                                return large(c.groups) &&
                                       std::find(c.pools.begin(), c.pools.end(), u.pool) != c.pools.end();
                            }) ||
                std::any_of(problem_.devices.begin(), problem_.devices.end(),
                            [&](const PlacedDevice& d) { return d.pool == u.pool && large(d.groups); });
            if (!somewhere) return {{ConstraintKind::room, i}};
        }
        return {};
    }

    bool possible(const Set& kept) {
        Force f{false,
                false,
                false,
                false,
                false,
                std::vector<char>(problem_.devices.size(), 0),
                std::vector<char>(problem_.pins.size(), 0)};
        for (const std::size_t i : kept) {
            const Constraint& c = names_[i];
            switch (c.kind) {
                case ConstraintKind::most_new_devices:
                    f.limit = true;
                    break;
                case ConstraintKind::spare_percent:
                    f.spare_percent = true;
                    break;
                case ConstraintKind::spare_per_device:
                    f.spare_per_device = true;
                    break;
                case ConstraintKind::whole_groups:
                    f.whole_groups = true;
                    break;
                case ConstraintKind::whole_points:
                    f.whole_points = true;
                    break;
                case ConstraintKind::reserved:
                    f.reserved[c.at] = 1;
                    break;
                default:
                    f.pins[c.at] = 1;
            }
        }
        if (solves_ > 0) --solves_;
        Allocation ignored;
        const bool met = solve_all(problem_, pools_, f, ignored);
        proven_ = proven_ && (met || ignored.proven);
        return met;
    }

    static Set joined(Set a, const Set& b) {
        a.insert(a.end(), b.begin(), b.end());
        return a;
    }

    /// Junker's QuickXplain (AAAI 2004): which of @p of are needed beside @p background to make it impossible.
    Set shrink(const Set& background, bool changed, const Set& of) {
        if (changed && !possible(background)) return {};
        if (of.size() == 1) return of;
        const auto middle = of.begin() + static_cast<std::ptrdiff_t>(of.size() / 2);
        const Set first(of.begin(), middle), second(middle, of.end());
        const Set needed = shrink(joined(background, first), !first.empty(), second);
        return joined(shrink(joined(background, needed), !needed.empty(), first), needed);
    }

    bool search(std::size_t from, std::size_t left, Set& chosen) {
        if (left == 0) return !possible(chosen);
        for (std::size_t i = from; i < names_.size(); ++i) {
            if (solves_ == 0) {
                proven_ = false;
                return false;
            }
            chosen.push_back(i);
            if (search(i + 1, left - 1, chosen)) return true;
            chosen.pop_back();
        }
        return false;
    }

    const AllocationProblem& problem_;
    const std::vector<PoolMembers>& pools_;
    std::vector<Constraint> names_;
    std::size_t solves_;
    bool proven_ = true;
};

}  // namespace

bool solve_all(const AllocationProblem& problem, const std::vector<PoolMembers>& pools, const Force& force,
               Allocation& out) {
    out.placements.assign(problem.units.size(), {});
    out.added.clear();
    Effort effort;
    for (const PoolMembers& pool : pools) {
        PoolSolver solver(problem, pool, force, effort);
        const bool met = solver.solve(out);
        out.proven = out.proven && !solver.out_of_effort();
        if (!met) return false;
    }
    return true;
}

void find_conflict(const AllocationProblem& problem, const std::vector<PoolMembers>& pools, Allocation& out) {
    Conflict(problem, pools).find(out);
}

}  // namespace bln::plan
