#include "plan/allocation.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <functional>
#include <random>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "power/failure.hpp"

using namespace bln::plan;

namespace {

using Constraints = std::vector<Constraint>;

const std::vector<std::string>& names() {
    static const std::vector<std::string> all = [] {
        std::vector<std::string> v;
        for (int i = 0; i < 64; ++i) v.push_back("p" + std::to_string(i));
        return v;
    }();
    return all;
}

/// Whether sizes fit into groups, by trying every placement.
bool fits(std::vector<int> free, const std::vector<int>& sizes, std::size_t i, int spare) {
    if (i == sizes.size()) {
        int left = 0;
        for (const int f : free) left += f;
        return left >= spare;
    }
    std::set<int> tried;
    for (int& f : free) {
        if (f < sizes[i] || !tried.insert(f).second) continue;
        f -= sizes[i];
        if (fits(free, sizes, i + 1, spare)) return true;
        f += sizes[i];
    }
    return false;
}

/// Fewest new meters by trying every way to take them, or -1 beyond @p most.
int fewest_by_trial(const AllocationProblem& problem, const std::vector<int>& sizes, int most) {
    for (int n = 0; n <= most; ++n) {
        std::vector<std::size_t> taken(static_cast<std::size_t>(n), 0);
        const std::function<bool(std::size_t, std::size_t)> go = [&](std::size_t at, std::size_t from) {
            if (at == taken.size()) {
                std::vector<int> groups;
                int inputs = 0;
                for (const std::size_t t : taken)
                    for (const int g : problem.profiles[t].groups) {
                        groups.push_back(g);
                        inputs += g;
                    }
                const int spare = (inputs * static_cast<int>(problem.rules.spare_percent) + 99) / 100;
                return fits(groups, sizes, 0, spare);
            }
            for (std::size_t p = from; p < problem.profiles.size(); ++p) {
                taken[at] = p;
                if (go(at + 1, p)) return true;
            }
            return false;
        };
        if (go(0, 0)) return n;
    }
    return -1;
}

/// Every input used once, every point on one meter and inside one connector.
void check_placement(const AllocationProblem& problem, const Allocation& a) {
    REQUIRE(a.placements.size() == problem.units.size());
    std::set<std::pair<int, int>> used;
    for (std::size_t i = 0; i < a.placements.size(); ++i) {
        const Placement& p = a.placements[i];
        REQUIRE(p.device >= 0);
        const auto at = static_cast<std::size_t>(p.device);
        const std::vector<int>& groups = at < problem.devices.size()
                                             ? problem.devices[at].groups
                                             : problem.profiles[a.added[at - problem.devices.size()].profile].groups;
        std::set<std::size_t> touched;
        for (int k = 0; k < problem.units[i].channels; ++k) {
            const int input = p.inputs[static_cast<std::size_t>(k)];
            CHECK(used.insert({p.device, input}).second);
            int first = 1;
            bool inside = false;
            for (std::size_t g = 0; g < groups.size(); ++g) {
                if (input >= first && input < first + groups[g]) {
                    touched.insert(g);
                    inside = true;
                }
                first += groups[g];
            }
            CHECK(inside);
        }
        if (!problem.rules.across_groups) CHECK(touched.size() == 1);
    }
}

}  // namespace

TEST_CASE("the number of new meters equals that of an exhaustive search on 400 random buildings") {
    std::mt19937 random(20260301);
    const auto pick = [&](int low, int high) { return std::uniform_int_distribution<int>(low, high)(random); };
    int compared = 0;
    for (int round = 0; round < 400; ++round) {
        AllocationProblem problem;
        for (int p = pick(1, 2); p > 0; --p) {
            ProfileChoice c{p == 1 ? "small" : "large", {}, {0}};
            for (int g = pick(1, 2); g > 0; --g) c.groups.push_back(pick(3, 11));
            problem.profiles.push_back(c);
        }
        std::vector<int> sizes;
        for (int n = pick(1, 8); n > 0; --n) sizes.push_back(pick(1, 3));
        for (std::size_t i = 0; i < sizes.size(); ++i) problem.units.push_back({names()[i], sizes[i], 0, -1});
        problem.rules.spare_percent = pick(0, 1) * 20;
        std::vector<int> sorted = sizes;
        std::sort(sorted.rbegin(), sorted.rend());
        const int expected = fewest_by_trial(problem, sorted, 8);
        const Allocation a = allocate(problem);
        if (expected < 0) continue;
        REQUIRE(a.found);
        CHECK(static_cast<int>(a.added.size()) == expected);
        check_placement(problem, a);
        ++compared;
    }
    CHECK(compared > 350);
}

TEST_CASE("points follow the panel: the first inputs go to the first points unless that costs a meter") {
    AllocationProblem problem;
    problem.profiles.push_back({"ten", {10, 10}, {0}});
    const int sizes[] = {3, 3, 3, 3, 2, 2, 2, 2};
    for (std::size_t i = 0; i < 8; ++i) problem.units.push_back({names()[i], sizes[i], 0, -1});
    const Allocation a = allocate(problem);
    REQUIRE(a.found);
    CHECK(a.added.size() == 1);
    CHECK(a.placements[0].inputs == std::array<int, 3>{1, 2, 3});
    CHECK(a.placements[1].inputs == std::array<int, 3>{4, 5, 6});
    // A third point of three in the first connector would strand an input and ask for a second meter.
    CHECK(a.placements[2].inputs == std::array<int, 3>{11, 12, 13});
}

TEST_CASE("pins are kept, and wishes that cannot be met together are named") {
    AllocationProblem problem;
    problem.devices.push_back({"m1", {4, 4}, 0, {1}, {}});
    problem.units = {{"a", 3, 0, -1}, {"b", 2, 0, -1}, {"c", 1, 0, -1}};
    problem.pins = {{1, 0, {5, 6}}};
    Allocation a = allocate(problem);
    REQUIRE(a.found);
    CHECK(a.placements[1].inputs[0] == 5);
    CHECK(a.placements[0].inputs == std::array<int, 3>{2, 3, 4});
    CHECK(a.placements[2].inputs[0] == 7);

    SECTION("two pins want one input") {
        problem.pins.push_back({2, 0, {6}});
        a = allocate(problem);
        CHECK_FALSE(a.found);
        CHECK(a.conflict == Constraints{{ConstraintKind::pin, 0}, {ConstraintKind::pin, 1}});
    }
    SECTION("an input that is taken") {
        problem.pins = {{2, 0, {1}}};
        CHECK(allocate(problem).conflict == Constraints{{ConstraintKind::pin, 0}});
    }
    SECTION("a limit on new meters") {
        problem.units.push_back({"d", 3, 0, -1});
        problem.profiles.push_back({"six", {6}, {0}});
        problem.rules.most_new_devices = 0;
        a = allocate(problem);
        CHECK_FALSE(a.found);
        CHECK(a.conflict == Constraints{{ConstraintKind::most_new_devices, 0}});
    }
    SECTION("nothing takes the point") {
        problem.units.push_back({"e", 1, 7, -1});
        CHECK(allocate(problem).conflict == Constraints{{ConstraintKind::room, 3}});
    }
}

TEST_CASE("a problem that says nothing sensible is refused") {
    AllocationProblem problem;
    problem.units = {{"a", 4, 0, -1}};
    CHECK_THROWS_AS(allocate(problem), bln::Failure);
    problem.units = {{"a", 1, 0, -1}, {"a", 1, 0, -1}};
    CHECK_THROWS_AS(allocate(problem), bln::Failure);
    problem.units = {{"a", 1, 0, -1}};
    problem.profiles.push_back({"empty", {3, 0}, {0}});
    CHECK_THROWS_AS(allocate(problem), bln::Failure);
}

namespace {

/// Whether units fit onto devices of these groups, those of a block on one device: every way is tried.
bool fits_in_blocks(std::vector<std::vector<int>>& devices, const std::vector<Unit>& units, std::size_t i,
                    std::vector<int>& device_of_block) {
    if (i == units.size()) return true;
    const auto block = static_cast<std::size_t>(units[i].block);
    for (std::size_t d = 0; d < devices.size(); ++d) {
        if (device_of_block[block] >= 0 && device_of_block[block] != static_cast<int>(d)) continue;
        for (int& free : devices[d]) {
            if (free < units[i].channels) continue;
            const int before = device_of_block[block];
            device_of_block[block] = static_cast<int>(d);
            free -= units[i].channels;
            if (fits_in_blocks(devices, units, i + 1, device_of_block)) return true;
            free += units[i].channels;
            device_of_block[block] = before;
        }
    }
    return false;
}

}  // namespace

TEST_CASE("circuits of one point share a device, and no fewer devices would do") {
    std::mt19937 random(20260302);
    const auto pick = [&](int low, int high) { return std::uniform_int_distribution<int>(low, high)(random); };
    int harder = 0;
    for (int round = 0; round < 600; ++round) {
        AllocationProblem problem;
        ProfileChoice profile{"kind", {}, {0}};
        for (int g = pick(1, 2); g > 0; --g) profile.groups.push_back(pick(3, 5));
        problem.profiles.push_back(profile);
        const int blocks = pick(2, 4);
        const auto units = static_cast<std::size_t>(pick(4, 9));
        for (std::size_t i = 0; i < units; ++i)
            problem.units.push_back({names()[i], pick(1, 3), 0, pick(0, blocks - 1)});
        int expected = -1;
        for (int n = 0; n <= 5 && expected < 0; ++n) {
            std::vector<std::vector<int>> devices(static_cast<std::size_t>(n), profile.groups);
            std::vector<int> device_of_block(4, -1);
            if (fits_in_blocks(devices, problem.units, 0, device_of_block)) expected = n;
        }
        const Allocation a = allocate(problem);
        CHECK(a.proven);
        CHECK(a.found == (expected >= 0));
        if (!a.found || expected < 0) continue;
        CHECK(static_cast<int>(a.added.size()) == expected);
        check_placement(problem, a);
        for (std::size_t i = 0; i < problem.units.size(); ++i)
            for (std::size_t j = 0; j < i; ++j)
                if (problem.units[i].block == problem.units[j].block)
                    CHECK(a.placements[i].device == a.placements[j].device);
        for (Unit& u : problem.units) u.block = -1;
        if (static_cast<int>(allocate(problem).added.size()) < expected) ++harder;
    }
    CHECK(harder > 5);  // instances in which the blocks cost a device
}

TEST_CASE("a pin without inputs keeps the device, and takes the rest of its point along") {
    AllocationProblem problem;
    problem.devices.push_back({"m1", {4}, 0, {}, {}});
    problem.devices.push_back({"m2", {4}, 0, {}, {4}});
    problem.units = {{"a", 2, 0, 0}, {"b", 1, 0, 0}, {"c", 1, 0, 1}};
    problem.pins = {{0, 1, {}}};
    Allocation a = allocate(problem);
    REQUIRE(a.found);
    CHECK(a.placements[0].device == 1);
    CHECK(a.placements[1].device == 1);
    CHECK(a.placements[2].device == 0);

    problem.pins.push_back({1, 0, {}});
    a = allocate(problem);
    CHECK(a.conflict ==
          Constraints{{ConstraintKind::whole_points, 0}, {ConstraintKind::pin, 0}, {ConstraintKind::pin, 1}});
    CHECK(a.proven);

    problem.pins = {{0, 1, {3, 4}}};
    CHECK(allocate(problem).conflict == Constraints{{ConstraintKind::reserved, 1}, {ConstraintKind::pin, 0}});
}

TEST_CASE("wishes in another order: panel order before few inputs") {
    AllocationProblem problem;
    problem.profiles = {{"large", {6}, {0}}, {"small", {4}, {0}}};
    problem.units = {{"a", 3, 0, -1}, {"b", 3, 0, -1}, {"c", 2, 0, -1}};
    const Allocation few = allocate(problem);
    problem.rules.order = {Wish::panel_order, Wish::fewest_inputs};
    const Allocation first = allocate(problem);
    REQUIRE(few.found);
    REQUIRE(first.found);
    CHECK(few.added.size() == 2);
    CHECK(first.added.size() == 2);
    CHECK(few.added[1].profile == 1);
    CHECK(first.added[1].profile == 1);
    CHECK(first.placements[1].inputs == std::array<int, 3>{4, 5, 6});

    problem.units = {{"a", 2, 0, -1}, {"b", 2, 0, -1}, {"c", 2, 0, -1}, {"d", 2, 0, -1}};
    problem.rules.order = {Wish::fewest_inputs, Wish::panel_order};
    CHECK(allocate(problem).placements[2].device == 1);
    problem.rules.order = {Wish::panel_order, Wish::fewest_inputs};
    CHECK(allocate(problem).placements[2].device == 0);
}

TEST_CASE("thousands of circuits, several profiles, and a point that no device can hold") {
    AllocationProblem problem;
    problem.profiles = {{"a", {5, 6, 5, 6}, {0}}, {"b", {4, 5, 4}, {0}}, {"c", {7}, {0}}};
    std::vector<std::string> ids;
    for (int i = 0; i < 20000; ++i) ids.push_back("u" + std::to_string(i));
    for (std::size_t i = 0; i < ids.size(); ++i) problem.units.push_back({ids[i], 1 + static_cast<int>(i % 3), 0, -1});
    const Allocation a = allocate(problem);
    REQUIRE(a.found);
    CHECK(a.proven);
    CHECK(a.added.size() == 1819);  // 40000 channels of 22: nothing is stranded

    problem.units.resize(20);
    for (Unit& u : problem.units) u.block = 0;
    const Allocation b = allocate(problem);
    CHECK_FALSE(b.found);
    CHECK(b.conflict == Constraints{{ConstraintKind::whole_points, 0}});
}

TEST_CASE("a circuit pinned to a device straddles its connectors where that is allowed and needed") {
    AllocationProblem problem;
    problem.devices.push_back({"m1", {6, 3}, 0, {2, 3, 4, 5, 8, 9}, {}});
    problem.profiles.push_back({"three", {3}, {0}});
    problem.units = {{"a", 3, 0, -1}};
    problem.pins = {{0, 0, {}}};
    CHECK(allocate(problem).conflict == Constraints{{ConstraintKind::whole_groups, 0}, {ConstraintKind::pin, 0}});
    problem.rules.across_groups = true;
    const Allocation a = allocate(problem);
    REQUIRE(a.found);
    CHECK(a.placements[0].inputs == std::array<int, 3>{1, 6, 7});
}
