// Positions of the policy keys of the proof. The table itself stands in proof_policy.cpp.
#pragma once

#include <cstddef>

#include "site/choices.hpp"

namespace bln::infer {

// Nine kinds of load in the order of a circuit's load, then "not stated".
inline constexpr std::size_t simple_kinds = 9, all_kinds = 10;

namespace key {
enum At : std::size_t {
    // verdicts
    set_factor,
    listed_factor,
    proven_factor,
    proven_probability,
    likely_probability,
    wrong_probability,
    extra_factor,
    // readings
    snapshot_seconds,
    load_percent,
    load_amps,
    load_volt_amps,
    contradiction_percent,
    noise_percent,
    noise_degrees,
    odd_share,
    // coupling of the poles of one load
    one_degrees,
    one_percent,
    similar_degrees,
    similar_percent,
    separate_factor,
    between_lines,
    pole_idle,
    pole_idle_one,
    // faults
    reversed_one,
    reversed_some,
    reversed_all,
    exchanged,
    rotated,
    rotated_reversed,
    wrong_conductor,
    moved_reversed,
    wild,
    dead,
    ratio,
    elsewhere,
    leads_exchanged,
    leads_rotated,
    foreign_own_kind,
    unmodelled,
    // tests
    test_wrong,
    test_percent,
    // tails of the load angle
    tail_stated,
    tail_unstated,
    export_share,
    // by kind: mean, spread, share where the kind is not stated
    mean_first,
    spread_first = mean_first + simple_kinds,
    share_first = spread_first + simple_kinds,
    // by kind, "not stated" last: how the poles of one load agree
    agree_one_first = share_first + simple_kinds,
    agree_similar_first = agree_one_first + all_kinds,
    count = agree_similar_first + all_kinds
};
}  // namespace key

/// Position of a kind in the lists of the policy.
[[nodiscard]] inline std::size_t kind_at(Load load) noexcept {
    return load == Load::unknown ? all_kinds - 1 : static_cast<std::size_t>(load);
}
/// Whether the kind says anything about the angle.
[[nodiscard]] inline bool stated(Load load) noexcept { return load != Load::unknown; }

}  // namespace bln::infer
