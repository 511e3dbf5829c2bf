#include "plan/allocation.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <unordered_map>
#include <unordered_set>

#include "plan/conflict.hpp"
#include "power/failure.hpp"

namespace bln::plan {
namespace {

constexpr std::size_t most_profiles = 64;
constexpr int most_inputs = 10'000;

[[noreturn]] void refuse(std::string message, std::string_view id) {
    throw Failure(BLN_E_VALUE, std::move(message), std::string(id));
}

void check_groups(std::string_view id, const std::vector<int>& groups) {
    std::int64_t all = 0;
    for (const int g : groups) {
        if (g < 1) refuse(std::string(id) + " has a connector without inputs", id);
        all += g;
    }
    if (groups.empty() || all > most_inputs)
        refuse(std::string(id) + " has no inputs, or more than " + std::to_string(most_inputs), id);
}

void check_inputs(const PlacedDevice& d, const std::vector<int>& inputs) {
    for (const int i : inputs)
        if (i < 1 || i > sum(d.groups))
            refuse("device " + std::string(d.id) + " has no input " + std::to_string(i), d.id);
}

void check(const AllocationProblem& problem) {
    std::unordered_set<std::string_view> ids;
    for (const Unit& u : problem.units) {
        if (u.channels < 1 || u.channels > 3)
            refuse(std::string(u.id) + " needs " + std::to_string(u.channels) + " channels; a circuit has one to three",
                   u.id);
        if (!ids.insert(u.id).second) refuse(std::string(u.id) + " stands twice", u.id);
    }
    ids.clear();
    for (const ProfileChoice& p : problem.profiles) {
        check_groups(p.id, p.groups);
        if (!ids.insert(p.id).second) refuse("profile " + std::string(p.id) + " stands twice", p.id);
    }
    if (problem.profiles.size() > most_profiles)
        throw Failure(BLN_E_RANGE, "more than " + std::to_string(most_profiles) + " profiles are offered");
    ids.clear();
    for (const PlacedDevice& d : problem.devices) {
        check_groups(d.id, d.groups);
        if (!ids.insert(d.id).second) refuse("device " + std::string(d.id) + " stands twice", d.id);
        check_inputs(d, d.used);
        check_inputs(d, d.reserved);
    }
    for (const Pin& p : problem.pins)
        if (p.unit >= problem.units.size() || p.device >= problem.devices.size())
            throw Failure(BLN_E_RANGE, "a pin is about a circuit or device that is not there");
    if (!std::isfinite(problem.rules.spare_percent))
        throw Failure(BLN_E_NOT_FINITE, "the share of spare inputs is not a number");
    if (problem.rules.spare_percent < 0 || problem.rules.spare_percent > 100 || problem.rules.spare_per_device < 0 ||
        problem.rules.spare_per_device > most_inputs)
        throw Failure(BLN_E_RANGE, "spare inputs run from 0 to 100 %, and to 10000 a device");
}

std::vector<PoolMembers> pools_of(const AllocationProblem& problem) {
    std::vector<PoolMembers> pools;
    std::unordered_map<int, std::size_t> at;
    for (std::size_t i = 0; i < problem.units.size(); ++i) {
        const auto [where, fresh] = at.emplace(problem.units[i].pool, pools.size());
        if (fresh) pools.push_back({problem.units[i].pool, {}, {}, {}});
        pools[where->second].units.push_back(i);
    }
    for (std::size_t d = 0; d < problem.devices.size(); ++d)
        if (const auto where = at.find(problem.devices[d].pool); where != at.end())
            pools[where->second].devices.push_back(d);
    for (std::size_t p = 0; p < problem.pins.size(); ++p)
        pools[at.at(problem.units[problem.pins[p].unit].pool)].pins.push_back(p);
    std::sort(pools.begin(), pools.end(), [](const PoolMembers& a, const PoolMembers& b) { return a.pool < b.pool; });
    return pools;
}

}  // namespace

Allocation allocate(const AllocationProblem& problem) {
    check(problem);
    const std::vector<PoolMembers> pools = pools_of(problem);
    Force all;
    all.whole_groups = !problem.rules.across_groups;
    all.reserved.assign(problem.devices.size(), 1);
    all.pins.assign(problem.pins.size(), 1);
    Allocation out;
    out.found = solve_all(problem, pools, all, out);
    if (!out.found) {
        const bool proven = out.proven;
        out = {};
        find_conflict(problem, pools, out);
        out.proven = out.proven && proven;
    }
    return out;
}

}  // namespace bln::plan
