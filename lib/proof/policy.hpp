// Positions of the policy keys of this room.
#pragma once

#include <cstddef>

namespace bln::proof {

// The bands of load angle stand in the order of the words of a circuit's load, then "not stated".
enum PolicyAt : std::size_t {
    guard_deg,
    load_percent,
    load_amps,
    load_volt_amps,
    apparent_percent,
    volts_percent,
    sum_percent,
    sum_watts,
    possible_low,
    possible_high,
    band_first
};

}  // namespace bln::proof
