#include "plan/packing.hpp"

#include <algorithm>

namespace bln::plan {

void Room::add(std::int64_t free, std::int64_t groups) noexcept {
    const std::int64_t threes = free / 3;
    const std::int64_t odd = free % 2 != 0 && threes > 0 ? 1 : 0;
    const std::int64_t rest = threes - odd;
    free_ += groups * free;
    pairs_ += groups * (free / 2);
    odd_first_ += groups * odd;
    couples_ += groups * (rest / 2);
    last_ += groups * (rest % 2);
}

void Room::add(const Room& other, std::int64_t times) noexcept {
    free_ += times * other.free_;
    pairs_ += times * other.pairs_;
    odd_first_ += times * other.odd_first_;
    couples_ += times * other.couples_;
    last_ += times * other.last_;
}

std::int64_t Room::most_pairs_beside(std::int64_t threes) const noexcept {
    const std::int64_t first = std::min(threes, odd_first_);
    std::int64_t rest = threes - first;
    const std::int64_t couples = std::min(rest / 2, couples_);
    rest -= 2 * couples;
    // What is left goes singly: into a last place, or as the first half of an unused couple.
    const std::int64_t unused = couples_ - couples;
    if (rest > last_ + (unused > 0 ? 1 : 0)) return -1;
    return pairs_ - first - 3 * couples - 2 * rest;
}

bool Room::holds(const Demand& demand, std::int64_t spare) const noexcept {
    if (free_ < demand.channels() + spare) return false;
    return most_pairs_beside(demand.count[3]) >= demand.count[2];
}

}  // namespace bln::plan
