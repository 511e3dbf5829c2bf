#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdint>
#include <set>
#include <utility>
#include <vector>

#include "plan/packing.hpp"

using bln::plan::Demand;
using bln::plan::Room;

namespace {

/// Greatest number of pairs beside each number of threes, by trying everything.
std::vector<int> by_exhaustion(const std::vector<int>& groups) {
    std::vector<int> best{0};  // best[a] = most pairs beside a threes, -1 impossible
    for (const int r : groups) {
        std::vector<int> next(best.size() + static_cast<std::size_t>(r / 3), -1);
        for (std::size_t a = 0; a < best.size(); ++a) {
            if (best[a] < 0) continue;
            for (int t = 0; 3 * t <= r; ++t) {
                int& slot = next[a + static_cast<std::size_t>(t)];
                slot = std::max(slot, best[a] + (r - 3 * t) / 2);
            }
        }
        best = next;
    }
    return best;
}

}  // namespace

TEST_CASE("packing agrees with exhaustion over all multisets of groups of 0 to 13 inputs") {
    std::vector<std::vector<int>> sets;
    for (int a = 0; a <= 13; ++a)
        for (int b = a; b <= 13; ++b)
            for (int c = b; c <= 13; ++c)
                for (int d = c; d <= 13; ++d) sets.push_back({a, b, c, d});
    std::size_t compared = 0;
    std::size_t wrong = 0;
    for (const std::vector<int>& groups : sets) {
        Room room;
        for (const int r : groups) room.add(r);
        const std::vector<int> best = by_exhaustion(groups);
        for (std::size_t threes = 0; threes < best.size() + 2; ++threes) {
            const int expected = threes < best.size() ? best[threes] : -1;
            if (room.most_pairs_beside(static_cast<std::int64_t>(threes)) != expected) ++wrong;
            ++compared;
        }
    }
    CHECK(wrong == 0);
    CHECK(compared > 10000);
}

TEST_CASE("two groups of ten inputs: a case that first-fit by size loses") {
    // Two groups of ten hold four points of three and four of two: 3+3+2+2 twice. First-fit by
    // size fills the first with 3+3+3 and strands an input.
    Room room;
    room.add(10, 2);
    Demand demand;
    demand.count = {0, 0, 4, 4};
    CHECK(room.holds(demand));
    CHECK_FALSE(room.holds(demand, 1));
    demand.count = {0, 1, 4, 4};
    CHECK_FALSE(room.holds(demand));
    room.take(10);
    demand.count = {0, 0, 2, 2};
    CHECK(room.holds(demand));
}
