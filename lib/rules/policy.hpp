// Positions of the policy keys of this room.
#pragma once

#include <cstddef>

namespace bln::rules {

enum PolicyAt : std::size_t {
    notes,
    examples,
    nominal_is_error,
    groups_whole,
    spare_percent,
    ct_oversize,
    least_percent,
    lead_celsius,
    burden_least_percent,
    calibration_days
};

}  // namespace bln::rules
