#include "plan/pool.hpp"

#include <algorithm>
#include <cmath>
#include <unordered_map>

#include "plan/placing.hpp"

namespace bln::plan {
namespace {

/// Sets of devices that one search looks at before it ends without proof.
constexpr std::int64_t sets_per_search = 1'000'000;

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

/// Every group of @p a is at least as large as one of its own in @p b.
bool covers(std::vector<int> a, std::vector<int> b) {
    std::sort(a.rbegin(), a.rend());
    std::sort(b.rbegin(), b.rend());
    if (a.size() < b.size()) return false;
    for (std::size_t i = 0; i < b.size(); ++i)
        if (a[i] < b[i]) return false;
    return true;
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

bool PoolSolver::fits(const Times& times, bool whole) const {
    Room room = whole ? existing_whole_ : existing_joined_;
    std::int64_t inputs = existing_inputs_, reserved = 0;
    for (std::size_t i = 0; i < kinds_.size(); ++i) {
        if (times[i] == 0) continue;
        room.add(whole ? kinds_[i].whole : kinds_[i].joined, times[i]);
        inputs += times[i] * kinds_[i].inputs;
        reserved += times[i] * kinds_[i].reserved;
    }
    return room.holds(demand_, spare_beside(inputs, reserved));
}

/// Calls @p found with every way to take @p n devices of the kinds @p of, those named first foremost; true stops.
template <class F>
bool PoolSolver::sets(const std::vector<std::size_t>& of, std::size_t n, std::int64_t& effort, F&& found) {
    Times times(kinds_.size(), 0);
    if (of.empty()) return n == 0 && found(times);
    const auto go = [&](const auto& self, std::size_t i, std::int64_t left) -> bool {
        std::int64_t& count = times[of[i]];
        if (i + 1 == of.size()) {
            count = left;
            const bool stop = --effort >= 0 && found(times);
            count = 0;
            return stop;
        }
        for (count = left; count >= 0 && effort > 0; --count)
            if (self(self, i + 1, left - count)) return true;
        count = 0;
        return false;
    };
    return go(go, 0, static_cast<std::int64_t>(n));
}

/// Kinds that may be needed where only the number of devices counts.
std::vector<std::size_t> PoolSolver::undominated() const {
    std::vector<std::size_t> out;
    for (std::size_t i = 0; i < kinds_.size(); ++i) {
        bool needed = true;
        for (std::size_t j = 0; j < kinds_.size() && needed; ++j) {
            if (i == j || !covers(kinds_[j].groups, kinds_[i].groups)) continue;
            // What a device gains in inputs it gains in free ones, so that the share of spare ones is no argument;
            // but reserved inputs count towards that share.
            if (kinds_[j].reserved < kinds_[i].reserved) continue;
            needed = j > i && covers(kinds_[i].groups, kinds_[j].groups) && kinds_[i].reserved >= kinds_[j].reserved;
        }
        if (needed) out.push_back(i);
    }
    return out;
}

bool PoolSolver::any_set_fits(std::size_t n, bool whole) {
    std::int64_t effort = sets_per_search;
    const bool found = sets(undominated(), n, effort, [&](const Times& times) { return fits(times, whole); });
    out_of_effort_ = out_of_effort_ || (!found && effort <= 0);
    return found;
}

/// More devices never make room smaller, so that the least number can be bracketed.
std::size_t PoolSolver::fewest(std::size_t most, bool whole) {
    std::int64_t largest = 1;
    for (const Kind& k : kinds_) largest = std::max(largest, k.inputs);
    const std::int64_t missing = demand_.channels() - existing_joined_.free();
    std::size_t low = missing <= 0 ? 0 : static_cast<std::size_t>((missing + largest - 1) / largest);
    if (kinds_.empty()) return any_set_fits(0, whole) ? 0 : impossible;
    if (low > most) return impossible;
    std::size_t step = 1, high = low;
    while (!any_set_fits(high, whole)) {
        if (high == most) return impossible;
        low = high + 1;
        high = std::min(most, high + step);
        step *= 2;
    }
    while (low < high) {
        const std::size_t middle = low + (high - low) / 2;
        if (any_set_fits(middle, whole))
            high = middle;
        else
            low = middle + 1;
    }
    return low;
}

/// A number of devices beyond which more of them do not help: one for each unit, and as many as the share of
/// spare inputs can ask for; or the limit.
std::size_t PoolSolver::most(std::size_t added) const {
    if (kinds_.empty()) return 0;
    double smallest = 1e9;
    for (const Kind& k : kinds_) smallest = std::min(smallest, static_cast<double>(k.inputs + k.reserved));
    const double share = force_.spare_percent ? std::min(problem_.rules.spare_percent, 99.0) / 100 : 0;
    const auto inputs = static_cast<double>(demand_.channels() + existing_inputs_);
    std::size_t most = units_.size() + static_cast<std::size_t>(inputs / (smallest * (1 - share))) + 2;
    if (force_.limit && problem_.rules.most_new_devices >= 0) {
        const auto limit = static_cast<std::size_t>(problem_.rules.most_new_devices);
        most = std::min(most, limit - std::min(limit, added));
    }
    return most;
}

std::vector<PoolSolver::Candidate> PoolSolver::candidates(std::size_t n, bool whole, Allocation& out) {
    constexpr std::size_t kept = 1000;
    std::vector<std::size_t> all(kinds_.size());
    for (std::size_t i = 0; i < all.size(); ++i) all[i] = i;
    std::vector<Candidate> list;
    const auto smaller = [](const Candidate& a, const Candidate& b) { return a.inputs < b.inputs; };
    const bool by_inputs = problem_.rules.order[0] == Wish::fewest_inputs;
    std::int64_t effort = sets_per_search;
    bool cut = false;
    sets(all, n, effort, [&](const Times& times) {
        if (!fits(times, whole)) return false;
        std::int64_t inputs = 0;
        for (std::size_t i = 0; i < kinds_.size(); ++i) inputs += times[i] * (kinds_[i].inputs + kinds_[i].reserved);
        list.push_back({inputs, times});
        if (list.size() < 4 * kept) return false;
        if (by_inputs) std::stable_sort(list.begin(), list.end(), smaller);
        list.resize(kept);
        cut = !by_inputs;
        return cut;
    });
    // Running out here leaves the number of devices proven, and only the wishes open.
    if (cut || effort <= 0) out.wishes_proven = false;
    if (list.empty() && effort <= 0) {
        effort = sets_per_search;
        sets(undominated(), n, effort, [&](const Times& times) {
            if (!fits(times, whole)) return false;
            list.push_back({0, times});
            return true;
        });
    }
    if (by_inputs) std::stable_sort(list.begin(), list.end(), smaller);
    return list;
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
