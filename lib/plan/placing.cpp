#include "plan/placing.hpp"

#include <algorithm>

namespace bln::plan {
namespace {

/// First of @p k free neighbours, within one connector if asked; or the size of the group.
std::size_t run_of(const Group& group, std::size_t k, bool one_connector) {
    std::size_t length = 0;
    for (std::size_t i = 0; i < group.taken.size(); ++i) {
        if (group.taken[i] != 0)
            length = 0;
        else
            length = one_connector && group.starts[i] != 0 ? 1 : length + 1;
        if (length == k) return i + 1 - k;
    }
    return group.taken.size();
}

/// First input of the first connector with @p k free inputs; or the size of the group.
std::size_t connector_with(const Group& group, std::size_t k) {
    std::size_t begin = 0, free = 0;
    for (std::size_t i = 0; i < group.taken.size(); ++i) {
        if (group.starts[i] != 0) begin = i, free = 0;
        if (group.taken[i] == 0 && ++free == k) return begin;
    }
    return group.taken.size();
}

}  // namespace

std::array<int, 3> take_inputs(Group& group, int channels) {
    const auto k = static_cast<std::size_t>(channels);
    const std::size_t end = group.taken.size();
    std::size_t at = run_of(group, k, true);
    if (at == end) at = connector_with(group, k);
    if (at == end) at = run_of(group, k, false);
    if (at == end) at = 0;
    std::array<int, 3> inputs{};
    for (std::size_t placed = 0; placed < k; ++at) {
        if (group.taken[at] != 0) continue;
        group.taken[at] = 1;
        inputs[placed++] = group.first + static_cast<int>(at);
    }
    return inputs;
}

Placer::Placer(const AllocationProblem& problem, Board& board, const std::vector<std::size_t>& units, bool keep_blocks,
               std::int64_t spare, Effort& effort)
    : problem_(problem), board_(board), units_(units), keep_blocks_(keep_blocks), spare_(spare), effort_(effort) {
    index_devices();
    for (const std::size_t u : units_) ++demand_.count[static_cast<std::size_t>(problem_.units[u].channels)];
    make_blocks();
    consistent_ = bind();
}

void Placer::index_devices() {
    device_of_group_.reserve(board_.groups.size());
    for (std::size_t g = 0; g < board_.groups.size(); ++g) {
        if (g == 0 || board_.groups[g].device != board_.groups[g - 1].device) {
            devices_.emplace_back();
            devices_.back().first_group = g;
        }
        devices_.back().end_group = g + 1;
        devices_.back().room.add(board_.groups[g].free);
        device_of_group_.push_back(devices_.size() - 1);
        room_.add(board_.groups[g].free);
        by_free_[board_.groups[g].free].insert(g);
    }
}

void Placer::make_blocks() {
    block_of_.resize(units_.size());
    for (std::size_t i = 0; i < units_.size(); ++i) {
        const int number = keep_blocks_ ? problem_.units[units_[i]].block : -1;
        std::size_t at = blocks_.size();
        if (number >= 0) at = block_by_number_.emplace(number, at).first->second;
        if (at == blocks_.size()) blocks_.emplace_back();
        blocks_[at].members.push_back(i);
        block_of_[i] = at;
        simple_ = simple_ && blocks_[at].members.size() == 1;
    }
}

/// Blocks of pinned units go where those are.
bool Placer::bind() {
    std::map<int, std::int32_t> device_of_number;
    for (const Bound& bound : board_.bound) {
        const int number = keep_blocks_ ? problem_.units[bound.unit].block : -1;
        if (number >= 0 && device_of_number.emplace(number, bound.device).first->second != bound.device) return false;
        std::size_t block = none;
        const auto at = std::lower_bound(units_.begin(), units_.end(), bound.unit);
        if (at != units_.end() && *at == bound.unit)
            block = block_of_[static_cast<std::size_t>(at - units_.begin())];
        else if (const auto found = block_by_number_.find(number); found != block_by_number_.end())
            block = found->second;
        if (block == none) continue;
        const auto device = std::lower_bound(
            devices_.begin(), devices_.end(), bound.device,
            [&](const Device& d, std::int32_t wanted) { return board_.groups[d.first_group].device < wanted; });
        if (device == devices_.end() || board_.groups[device->first_group].device != bound.device) return false;
        const auto d = static_cast<std::size_t>(device - devices_.begin());
        simple_ = false;
        if (blocks_[block].device == d) continue;
        if (blocks_[block].device != none) return false;
        blocks_[block].device = d;
        commit(blocks_[block], none, 1);
    }
    for (const Device& d : devices_)
        if (!d.room.holds(d.committed)) return false;
    return true;
}

/// Counts the members of a block that are still to come, but one, as bound to its device.
void Placer::commit(const Block& block, std::size_t but, int by) {
    for (const std::size_t m : block.members)
        if (m >= next_unit_ && m != but)
            devices_[block.device].committed.count[static_cast<std::size_t>(channels(m))] += by;
}

void Placer::change_free(std::size_t g, int by) {
    Group& group = board_.groups[g];
    Device& device = devices_[device_of_group_[g]];
    room_.take(group.free);
    device.room.take(group.free);
    auto node = by_free_[group.free].extract(g);
    if (by_free_[group.free].empty()) by_free_.erase(group.free);
    group.free += by;
    by_free_[group.free].insert(std::move(node));
    room_.add(group.free);
    device.room.add(group.free);
}

std::size_t Placer::next_group(std::size_t unit, std::size_t from) const {
    const int k = channels(unit);
    if (const std::size_t bound = blocks_[block_of_[unit]].device; bound != none) {
        for (std::size_t g = std::max(from, devices_[bound].first_group); g < devices_[bound].end_group; ++g)
            if (board_.groups[g].free >= k) return g;
        return none;
    }
    std::size_t next = none;
    for (auto f = by_free_.lower_bound(k); f != by_free_.end(); ++f) {
        if (std::find(refused_.begin(), refused_.end(), f->first) != refused_.end()) continue;
        const auto g = f->second.lower_bound(from);
        if (g != f->second.end()) next = std::min(next, *g);
    }
    return next;
}

bool Placer::take_group(std::size_t unit, std::size_t g, Step& step) {
    const auto k = static_cast<std::size_t>(channels(unit));
    const std::size_t d = device_of_group_[g];
    Block& block = blocks_[block_of_[unit]];
    step = {g, {}, block.device == none};
    change_free(g, -static_cast<int>(k));
    --demand_.count[k];
    if (step.opened) {
        block.device = d;
        commit(block, unit, 1);
    } else {
        --devices_[d].committed.count[k];
    }
    if (room_.holds(demand_, spare_) && devices_[d].room.holds(devices_[d].committed)) {
        step.inputs = take_inputs(board_.groups[g], static_cast<int>(k));
        return true;
    }
    take_back(unit, step);
    return false;
}

void Placer::take_back(std::size_t unit, const Step& step) {
    const auto k = static_cast<std::size_t>(channels(unit));
    Block& block = blocks_[block_of_[unit]];
    Group& group = board_.groups[step.group];
    for (std::size_t i = 0; i < k && step.inputs[i] > 0; ++i)
        group.taken[static_cast<std::size_t>(step.inputs[i] - group.first)] = 0;
    if (step.opened) {
        commit(block, unit, -1);
        block.device = none;
    } else {
        ++devices_[block.device].committed.count[k];
    }
    ++demand_.count[k];
    change_free(step.group, static_cast<int>(k));
}

bool Placer::place(Allocation& out) {
    // Every attempt gets some effort, so that a later and larger set of devices is tried in earnest.
    const auto least = static_cast<std::int64_t>(2000 + 50 * units_.size());
    std::int64_t left = std::max(least, std::min<std::int64_t>(effort_.steps, 400'000));
    if (!consistent_ || !room_.holds(demand_, spare_)) return false;
    std::vector<Step> steps;
    steps.reserve(units_.size());
    std::size_t from = 0;
    while (steps.size() < units_.size()) {
        const std::size_t unit = next_unit_ = steps.size();
        Step step;
        bool placed = false;
        refused_.clear();
        for (std::size_t g = next_group(unit, from); g != none && left >= 0; g = next_group(unit, g + 1)) {
            const int free = board_.groups[g].free;
            placed = take_group(unit, g, step);
            if (placed) break;
            if (!simple_) --left, --effort_.steps;
            if (simple_) refused_.push_back(free);
        }
        from = 0;
        if (placed) {
            steps.push_back(step);
            continue;
        }
        if (left < 0) {
            out_of_effort_ = true;
            return false;
        }
        if (steps.empty()) return false;
        --left;
        --effort_.steps;
        step = steps.back();
        steps.pop_back();
        next_unit_ = steps.size();
        take_back(next_unit_, step);
        from = step.group + 1;
    }
    for (std::size_t i = 0; i < units_.size(); ++i) {
        Placement& placement = out.placements[units_[i]];
        placement.device = board_.groups[steps[i].group].device;
        placement.inputs = steps[i].inputs;
    }
    return true;
}

}  // namespace bln::plan
