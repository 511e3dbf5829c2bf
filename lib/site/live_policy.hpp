// Limits for readings: what the live check holds them to, and what a sheet of expected readings foretells.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <utility>

#include "site/policy.hpp"
#include "site/view.hpp"

namespace bln {

// The bands of load angle stand in the order of the words of a circuit's load, then "not stated".
namespace live_at {
enum PolicyAt : std::size_t {
    guard_deg,
    load_percent,
    load_amps,
    load_volt_amps,
    noise_percent,
    noise_times,
    heater_watts,
    apparent_percent,
    volts_percent,
    sum_percent,
    sum_watts,
    possible_low,
    possible_high,
    band_first
};
}  // namespace live_at

/// Keys of the domain BLN_POLICY_LIVE.
[[nodiscard]] std::span<const PolicyKey> live_policy() noexcept;

/// Least and greatest load angle that are taken for a kind of load, degrees.
[[nodiscard]] std::pair<double, double> band_of(const Policy& policy, Load load) noexcept;

/// Rated primary current of a channel: as the device was told, else of its first CT whose type states it; else 0.
[[nodiscard]] double rating_of(const View& view, const as_of::channel& channel) noexcept;

/// Which limit asks for the most current.
enum class LeastBy : std::uint8_t { rating = 10, floor = 20, noise = 30, power = 40, accuracy = 50 };
struct LeastAmps {
    double amps = 0;
    LeastBy by = LeastBy::floor;
};
/// Least current, as the channel reads it, from which a reading is judged at all.
[[nodiscard]] LeastAmps least_amps(const Policy& policy, double rating) noexcept;

}  // namespace bln
