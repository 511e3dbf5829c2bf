// Devices with their groups and what is taken.
#include "plan/pool.hpp"

namespace bln::plan {

int sum(const std::vector<int>& v) noexcept {
    int s = 0;
    for (const int x : v) s += x;
    return s;
}

void Board::add_device(std::int32_t device, const std::vector<int>& connectors) {
    int first = 1;
    for (const int n : connectors) {
        Group g{device, first, std::vector<char>(static_cast<std::size_t>(n), 0),
                std::vector<char>(static_cast<std::size_t>(n), 0), n};
        g.starts.front() = 1;
        groups.push_back(std::move(g));
        first += n;
    }
}

bool Board::take(std::int32_t device, int input) {
    // Groups are in the order of devices; those of one device in the order of inputs.
    for (auto g = groups.rbegin(); g != groups.rend() && g->device >= device; ++g) {
        const int at = input - g->first;
        if (g->device != device || at < 0 || at >= static_cast<int>(g->taken.size())) continue;
        char& taken = g->taken[static_cast<std::size_t>(at)];
        if (taken != 0) return false;
        taken = 1;
        --g->free;
        return true;
    }
    return false;
}

void Board::join() {
    std::vector<Group> joined;
    for (Group& g : groups) {
        if (joined.empty() || joined.back().device != g.device) {
            joined.push_back(std::move(g));
            continue;
        }
        Group& to = joined.back();
        to.taken.insert(to.taken.end(), g.taken.begin(), g.taken.end());
        to.starts.insert(to.starts.end(), g.starts.begin(), g.starts.end());
        to.free += g.free;
    }
    groups = std::move(joined);
}

}  // namespace bln::plan
