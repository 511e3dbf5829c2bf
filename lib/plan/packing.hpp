// Do points of one, two and three channels fit into connector groups? Answered exactly and in
// constant time from a handful of sums, so that an allocation can ask it at every step.
#pragma once

#include <array>
#include <cstdint>

namespace bln::plan {

/// How many points of each size there are: count[k] points of k channels, k = 1..3. A point here is
/// whatever must stay within one connector.
struct Demand {
    std::array<std::int64_t, 4> count{};
    [[nodiscard]] std::int64_t channels() const noexcept { return count[1] + 2 * count[2] + 3 * count[3]; }
};

/// What a set of connector groups with free inputs can hold, as sums over the groups.
///
/// A group with r free inputs holds floor(r/2) points of two. Each point of three put into it
/// costs it points of two, alternately one and two: in an odd group 1, 2, 1, 2, ...; in an even
/// group 2, 1, 2, 1, .... So the cheapest way to place n points of three over many groups is:
/// first one into each odd group (cost 1 each), then in couples (cost 3 a couple), then singly
/// (cost 2). Points of one fill any hole. First-fit by size lacks the second step, which is why
/// it is not optimal for groups of 7, 9, 10 or 11 inputs.
class Room {
public:
    /// Adds a group with @p free inputs; take() removes one. free >= 0.
    void add(std::int64_t free, std::int64_t groups = 1) noexcept;
    void take(std::int64_t free) noexcept { add(free, -1); }
    /// Adds all groups of another room, @p times over.
    void add(const Room& other, std::int64_t times) noexcept;

    /// Greatest number of points of two beside @p threes points of three, or -1 when not even
    /// those fit.
    [[nodiscard]] std::int64_t most_pairs_beside(std::int64_t threes) const noexcept;
    /// Whether @p demand fits and leaves @p spare inputs free.
    [[nodiscard]] bool holds(const Demand& demand, std::int64_t spare = 0) const noexcept;
    [[nodiscard]] std::int64_t free() const noexcept { return free_; }

private:
    std::int64_t free_ = 0;       // inputs
    std::int64_t pairs_ = 0;      // points of two that fit when there are none of three
    std::int64_t odd_first_ = 0;  // threes that cost one pair: the first of an odd group
    std::int64_t couples_ = 0;    // couples of threes that cost three pairs
    std::int64_t last_ = 0;       // threes left over in their group, each of which costs two pairs
};

}  // namespace bln::plan
