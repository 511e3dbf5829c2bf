// Units onto the groups of a given set of devices.
#pragma once

#include <array>
#include <map>
#include <set>
#include <vector>

#include "plan/pool.hpp"

namespace bln::plan {

/// Each unit in turn takes the first group that leaves room for all the others, which is the
/// lexicographically first of all placements. Where units of one block share a device the constant-time
/// oracle is necessary but not sufficient, so that steps are taken back until a placement is found
/// or none is left.
class Placer {
public:
    /// @param keep_blocks units of a block share a device
    Placer(const AllocationProblem& problem, Board& board, const std::vector<std::size_t>& units, bool keep_blocks,
           std::int64_t spare, Effort& effort);
    /// Fills out.placements of the units; false when there is no placement, or effort ran out.
    bool place(Allocation& out);
    [[nodiscard]] bool out_of_effort() const noexcept { return out_of_effort_; }
    /// False when pins contradict one another or want more of a device than it has.
    [[nodiscard]] bool consistent() const noexcept { return consistent_; }

private:
    static constexpr std::size_t none = static_cast<std::size_t>(-1);
    struct Step {
        std::size_t group = 0;
        std::array<int, 3> inputs{};
        bool opened = false;  // the unit was the first of its block to get a device
    };
    struct Device {
        Room room;
        Demand committed;  // units still to come that are bound to it
        std::size_t first_group = 0, end_group = 0;
    };
    struct Block {
        std::size_t device = none;
        std::vector<std::size_t> members;  // positions in units_
    };

    void index_devices();
    void make_blocks();
    bool bind();
    [[nodiscard]] int channels(std::size_t unit) const { return problem_.units[units_[unit]].channels; }
    [[nodiscard]] std::size_t next_group(std::size_t unit, std::size_t from) const;
    bool take_group(std::size_t unit, std::size_t group, Step& step);
    void take_back(std::size_t unit, const Step& step);
    void change_free(std::size_t group, int by);
    void commit(const Block& block, std::size_t but, int by);

    const AllocationProblem& problem_;
    Board& board_;
    const std::vector<std::size_t>& units_;
    bool keep_blocks_;
    std::int64_t spare_;
    Effort& effort_;
    std::vector<std::size_t> block_of_;  // by position in units_
    std::vector<Block> blocks_;
    std::map<int, std::size_t> block_by_number_;
    std::vector<Device> devices_;
    std::vector<std::size_t> device_of_group_;
    std::map<int, std::set<std::size_t>> by_free_;  // groups by free inputs
    std::vector<int> refused_;                      // numbers of free inputs that the oracle has refused this unit
    std::size_t next_unit_ = 0;                     // units before it are placed
    bool simple_ = true;                            // no unit depends on another's device
    bool consistent_ = true;                        // no block is bound to two devices
    bool out_of_effort_ = false;
    Room room_;
    Demand demand_;
};

/// Takes @p channels inputs of a group: neighbours in one connector where there are any, else inputs of one
/// connector, else neighbours, else the lowest free ones.
[[nodiscard]] std::array<int, 3> take_inputs(Group& group, int channels);

}  // namespace bln::plan
