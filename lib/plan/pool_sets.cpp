// Which sets of new devices hold a pool: how few, and which.
#include <algorithm>

#include "plan/pool.hpp"

namespace bln::plan {
namespace {

/// Sets of devices that one search looks at before it ends without proof.
constexpr std::int64_t sets_per_search = 1'000'000;

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

}  // namespace bln::plan
