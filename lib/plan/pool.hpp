// One pool of units under one set of constraints: how many devices it needs, and which.
#pragma once

#include <cstdint>
#include <vector>

#include "plan/allocation.hpp"
#include "plan/packing.hpp"

namespace bln::plan {

/// Which constraints of a problem are in force; conflicts are found by leaving some out.
struct Force {
    bool limit = true;
    bool spare_percent = true;
    bool spare_per_device = true;
    bool whole_groups = true;
    bool whole_points = true;
    std::vector<char> reserved;  ///< by device
    std::vector<char> pins;      ///< by pin
};

/// How much may still be tried before a search ends without proof.
struct Effort {
    std::int64_t steps = 300'000;  ///< placements refused or taken back
};

/// What belongs to one pool, by position in the problem.
struct PoolMembers {
    int pool = 0;
    std::vector<std::size_t> units, devices, pins;
};

/// One connector of one device, or one device whose connectors count as one.
struct Group {
    std::int32_t device = -1;
    int first = 1;             ///< number of its first input
    std::vector<char> taken;   ///< by input
    std::vector<char> starts;  ///< by input: a connector begins here
    int free = 0;
};

/// A unit whose device is decided, with or without its inputs.
struct Bound {
    std::size_t unit;
    std::int32_t device;
};

[[nodiscard]] int sum(const std::vector<int>& v) noexcept;

/// Devices with their groups and what is already decided about them.
struct Board {
    std::vector<Group> groups;  ///< by device
    std::vector<Bound> bound;

    void add_device(std::int32_t device, const std::vector<int>& groups);
    /// False when the input is not there or taken.
    bool take(std::int32_t device, int input);
    /// Makes one group of all groups of a device.
    void join();
};

/// Solves one pool.
class PoolSolver {
public:
    PoolSolver(const AllocationProblem& problem, const PoolMembers& members, const Force& force, Effort& effort);
    /// Adds placements and devices to @p out; false when the constraints cannot be met.
    bool solve(Allocation& out);
    /// The search was ended by its limit of effort before it could prove its answer.
    [[nodiscard]] bool out_of_effort() const noexcept { return out_of_effort_; }

private:
    using Times = std::vector<std::int64_t>;  // of each kind
    /// A profile that may be added to this pool.
    struct Kind {
        std::size_t profile;
        std::vector<int> groups;  // without the reserved inputs
        Room whole, joined;
        std::int64_t inputs, reserved;
    };
    /// A set of new devices that the oracle lets pass.
    struct Candidate {
        std::int64_t inputs;
        Times times;
    };
    static constexpr std::size_t impossible = static_cast<std::size_t>(-1);

    bool open(Allocation& out);
    void add_kinds();
    [[nodiscard]] bool blocks_fit() const;
    [[nodiscard]] std::int64_t spare_beside(std::int64_t inputs, std::int64_t reserved) const;
    [[nodiscard]] bool fits(const Times& times, bool whole) const;
    [[nodiscard]] bool any_set_fits(std::size_t n, bool whole);
    [[nodiscard]] std::size_t fewest(std::size_t most, bool whole);
    [[nodiscard]] std::size_t most(std::size_t added) const;
    [[nodiscard]] std::vector<Candidate> candidates(std::size_t n, bool whole, Allocation& out);
    bool try_largest(std::size_t n, bool whole, Allocation& out);
    bool try_sets(std::size_t n, bool whole, Allocation& out);
    bool place_on(const Times& times, bool whole, Allocation& out);
    template <class F>
    bool sets(const std::vector<std::size_t>& of, std::size_t n, std::int64_t& effort, F&& found);
    [[nodiscard]] std::vector<std::size_t> undominated() const;

    const AllocationProblem& problem_;
    const PoolMembers& members_;
    const Force& force_;
    Effort& effort_;
    std::vector<Kind> kinds_;
    Board board_;                     // what is there before anything is added
    std::vector<std::size_t> units_;  // without those pinned to inputs
    Demand demand_;
    Room existing_whole_, existing_joined_;
    std::int64_t existing_inputs_ = 0;
    bool out_of_effort_ = false;
};

}  // namespace bln::plan
