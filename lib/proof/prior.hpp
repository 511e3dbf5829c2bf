// How probable a placement of all CTs of one load is before any reading.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>

#include "site/policy.hpp"

namespace bln::infer {

/// Where one element's CT hangs against the record.
struct Seat {
    std::int8_t recorded = 0;  ///< conductor of the load, by number
    std::int8_t on = 0;        ///< the same; those of other circuits come after
    bool reversed = false;
};

/// Prior of one placement. @p own, @p foreign: number of conductors of the load, and of other phases.
[[nodiscard]] double prior_of(const Policy& policy, std::span<const Seat> seats, std::size_t own,
                              std::size_t foreign) noexcept;

}  // namespace bln::infer
