#include "plan/pool.hpp"

#include <algorithm>
#include <cmath>
#include <unordered_map>

#include "plan/placing.hpp"

namespace bln::plan {
namespace {

/// The connectors of a new device without its last inputs: a person finds those without a list.
std::vector<int> without_last(std::vector<int> groups, int reserved) {
    while (reserved > 0 && !groups.empty()) {
        const int cut = std::min(reserved, groups.back());
        groups.back() -= cut;
        reserved -= cut;
        if (groups.back() == 0) groups.pop_back();
    }
    return groups;
}

}  // namespace

PoolSolver::PoolSolver(const AllocationProblem& problem, const PoolMembers& members, const Force& force, Effort& effort)
    : problem_(problem), members_(members), force_(force), effort_(effort) {}

bool PoolSolver::open(Allocation& out) {
    for (const std::size_t d : members_.devices) {
        const PlacedDevice& device = problem_.devices[d];
        board_.add_device(static_cast<std::int32_t>(d), device.groups);
        for (const int input : device.used) board_.take(static_cast<std::int32_t>(d), input);
        if (force_.reserved[d] != 0)
            for (const int input : device.reserved) board_.take(static_cast<std::int32_t>(d), input);
    }
    std::vector<std::size_t> pinned;
    for (const std::size_t p : members_.pins) {
        if (force_.pins[p] == 0) continue;
        const Pin& pin = problem_.pins[p];
        const Unit& unit = problem_.units[pin.unit];
        if (problem_.devices[pin.device].pool != members_.pool) return false;
        const auto device = static_cast<std::int32_t>(pin.device);
        board_.bound.push_back({pin.unit, device});
        if (pin.inputs.empty()) continue;
        if (pin.inputs.size() != static_cast<std::size_t>(unit.channels)) return false;
        if (std::find(pinned.begin(), pinned.end(), pin.unit) != pinned.end()) return false;
        Placement& placement = out.placements[pin.unit];
        placement.device = device;
        for (std::size_t i = 0; i < pin.inputs.size(); ++i) {
            if (!board_.take(device, pin.inputs[i])) return false;
            placement.inputs[i] = pin.inputs[i];
        }
        pinned.push_back(pin.unit);
    }
    std::sort(pinned.begin(), pinned.end());
    for (const std::size_t u : members_.units) {
        if (std::binary_search(pinned.begin(), pinned.end(), u)) continue;
        units_.push_back(u);
        ++demand_.count[static_cast<std::size_t>(problem_.units[u].channels)];
    }
    std::int64_t joined = 0;
    for (std::size_t i = 0; i < board_.groups.size(); ++i) {
        const Group& g = board_.groups[i];
        existing_inputs_ += static_cast<std::int64_t>(g.taken.size());
        existing_whole_.add(g.free);
        joined += g.free;
        if (i + 1 == board_.groups.size() || board_.groups[i + 1].device != g.device) {
            existing_joined_.add(joined);
            joined = 0;
        }
    }
    return true;
}

void PoolSolver::add_kinds() {
    const int reserved = force_.spare_per_device ? problem_.rules.spare_per_device : 0;
    for (std::size_t i = 0; i < problem_.profiles.size(); ++i) {
        const ProfileChoice& p = problem_.profiles[i];
        if (std::find(p.pools.begin(), p.pools.end(), members_.pool) == p.pools.end()) continue;
        Kind kind{i, without_last(p.groups, reserved), {}, {}, 0, 0};
        for (const int g : kind.groups) kind.whole.add(g);
        kind.inputs = sum(kind.groups);
        kind.joined.add(kind.inputs);
        kind.reserved = sum(p.groups) - kind.inputs;
        kinds_.push_back(std::move(kind));
    }
}

/// Whether each block alone finds a device that holds it; then enough devices hold all of them.
bool PoolSolver::blocks_fit() const {
    if (!force_.whole_points) return true;
    std::unordered_map<int, Demand> blocks;
    for (const std::size_t u : units_)
        if (const Unit& unit = problem_.units[u]; unit.block >= 0)
            ++blocks[unit.block].count[static_cast<std::size_t>(unit.channels)];
    for (const auto& [block, demand] : blocks) {
        bool somewhere = false;
        for (const Kind& k : kinds_) somewhere = somewhere || (force_.whole_groups ? k.whole : k.joined).holds(demand);
        Room room;
        for (std::size_t i = 0; i < board_.groups.size() && !somewhere; ++i) {
            if (i > 0 && board_.groups[i].device != board_.groups[i - 1].device) room = Room();
            room.add(board_.groups[i].free);
            somewhere = room.holds(demand) || (!force_.whole_groups && room.free() >= demand.channels());
        }
        if (!somewhere) return false;
    }
    return true;
}

/// Inputs that have to stay free besides the reserved ones of new devices.
std::int64_t PoolSolver::spare_beside(std::int64_t inputs, std::int64_t reserved) const {
    if (!force_.spare_percent) return 0;
    const double share = problem_.rules.spare_percent / 100.0 * static_cast<double>(inputs + reserved);
    return std::max<std::int64_t>(0, static_cast<std::int64_t>(std::ceil(share - 1e-9)) - reserved);
}

bool PoolSolver::place_on(const Times& times, bool whole, Allocation& out) {
    Board board = board_;
    std::vector<NewDevice> added;
    std::int64_t inputs = existing_inputs_, reserved = 0;
    for (std::size_t i = 0; i < kinds_.size(); ++i)
        for (std::int64_t k = 0; k < times[i]; ++k) {
            board.add_device(static_cast<std::int32_t>(problem_.devices.size() + out.added.size() + added.size()),
                             kinds_[i].groups);
            added.push_back({kinds_[i].profile, members_.pool});
            inputs += kinds_[i].inputs;
            reserved += kinds_[i].reserved;
        }
    if (!whole) board.join();
    Placer placer(problem_, board, units_, force_.whole_points, spare_beside(inputs, reserved), effort_);
    if (!placer.place(out)) {
        out_of_effort_ = out_of_effort_ || placer.out_of_effort();
        return false;
    }
    out.added.insert(out.added.end(), added.begin(), added.end());
    return true;
}

/// The set with the most inputs, without claiming that no smaller one would do.
bool PoolSolver::try_largest(std::size_t n, bool whole, Allocation& out) {
    Times times(kinds_.size(), 0);
    std::size_t largest = 0;
    for (std::size_t i = 1; i < kinds_.size(); ++i)
        if (kinds_[i].inputs > kinds_[largest].inputs) largest = i;
    if (!times.empty()) times[largest] = static_cast<std::int64_t>(n);
    if (!fits(times, whole) || !place_on(times, whole, out)) return false;
    out.wishes_proven = false;
    return true;
}

bool PoolSolver::try_sets(std::size_t n, bool whole, Allocation& out) {
    // Small sets are tight. Once the effort is spent, room is the better idea.
    if (effort_.steps <= 0) return out_of_effort_ = true, try_largest(n, whole, out);
    const std::vector<Candidate> list = candidates(n, whole, out);
    if (problem_.rules.order[0] == Wish::fewest_inputs) {
        for (const Candidate& c : list) {
            if (effort_.steps <= 0) return out_of_effort_ = true, try_largest(n, whole, out);
            if (place_on(c.times, whole, out)) return true;
        }
        return false;
    }
    constexpr std::size_t compared = 200;
    Allocation best;
    std::int64_t best_inputs = 0;
    for (std::size_t i = 0; i < list.size(); ++i) {
        if (i == compared) {
            out.wishes_proven = false;
            break;
        }
        Allocation one = out;
        if (!place_on(list[i].times, whole, one)) continue;
        bool better = !best.found;
        for (std::size_t k = 0; k < units_.size() && best.found; ++k) {
            const Placement &a = one.placements[units_[k]], &b = best.placements[units_[k]];
            if (a.device == b.device && a.inputs == b.inputs) {
                if (k + 1 == units_.size()) better = list[i].inputs < best_inputs;
                continue;
            }
            better = a.device != b.device ? a.device < b.device : a.inputs < b.inputs;
            break;
        }
        if (!better) continue;
        best = std::move(one);
        best.found = true;
        best_inputs = list[i].inputs;
    }
    if (!best.found) return false;
    best.wishes_proven = out.wishes_proven;
    out = std::move(best);
    out.found = false;
    return true;
}

bool PoolSolver::solve(Allocation& out) {
    if (!open(out)) return false;
    add_kinds();
    if (!blocks_fit()) return false;
    // What pins say of the devices that are there does not depend on those to come.
    if (!board_.bound.empty()) {
        Board board = board_;
        if (!force_.whole_groups) board.join();
        if (!Placer(problem_, board, units_, force_.whole_points, 0, effort_).consistent()) return false;
    }
    const std::size_t limit = most(out.added.size());
    const std::size_t whole = fewest(limit, true);
    // Straddling connectors is a last resort: only where it saves a device.
    const std::size_t joined = force_.whole_groups ? impossible : fewest(limit, false);
    const std::size_t least = std::min(whole, joined);
    if (least == impossible) return false;
    const bool bracketed = !out_of_effort_;
    for (std::size_t n = least; n <= limit; n += effort_.steps > 0 ? 1 : 1 + n / 64) {
        if (!(whole != impossible && n >= whole && try_sets(n, true, out)) &&
            !(joined != impossible && n >= joined && try_sets(n, false, out)))
            continue;
        // The oracle's least number needs no further proof.
        if (n == least && out_of_effort_ && bracketed) {
            out_of_effort_ = false;
            out.wishes_proven = false;
        }
        return true;
    }
    return false;
}

}  // namespace bln::plan
