#include "proof/policy.hpp"

#include "proof/live.hpp"

namespace bln {
namespace proof {
namespace {

constexpr std::string_view practice = "common practice, no source";
#define BLN_BAND(load, words, low, high)                                                             \
    {"angle." load ".low_deg", "deg", "least load angle of " words, practice, low, -180, 360}, {     \
        "angle." load ".high_deg", "deg", "greatest load angle of " words, practice, high, -180, 360 \
    }

// In the order of PolicyAt.
constexpr PolicyKey keys[] = {
    {"guard_deg", "deg", "distance from the edge of another wiring's band within which nothing is decided", practice, 5,
     0, 30},
    {"load_percent", "%", "least current that proves anything, in percent of the rated primary current", practice, 1, 0,
     100},
    {"load_amps", "A", "least current that proves anything", "our choice", 0.05, 0, 1000},
    {"load_volt_amps", "VA", "least apparent power that proves anything, where there is no current", "our choice", 10,
     0, 100000},
    {"apparent_percent", "%",
     "how far active power may exceed apparent power before the readings contradict each other", "our choice", 2, 0,
     100},
    {"volts_percent", "%", "how far a voltage may be from its nominal value", "our choice; wider than service limits",
     15, 1, 100},
    {"sum_percent", "%", "largest difference between a main and its branches, in percent of the main", practice, 3, 0,
     100},
    {"sum_watts", "W", "largest such difference in watts, where that is more", "our choice", 50, 0, 1000000},
    {"possible_low_deg", "deg", "least load angle of any load, for circuits whose load is not stated", practice, -30,
     -180, 180},
    {"possible_high_deg", "deg", "greatest load angle of any load, for circuits whose load is not stated", practice, 80,
     -180, 180},
    BLN_BAND("resistive", "heaters", -5, 5),
    BLN_BAND("electronic", "power supplies and lighting", -25, 25),
    BLN_BAND("motor", "motors at working load", 15, 50),
    BLN_BAND("light_motor", "motors that run unloaded at times", 25, 80),
    BLN_BAND("drive", "frequency converters", -5, 20),
    BLN_BAND("corrected", "loads with capacitors", -30, 20),
    BLN_BAND("charging", "rectifiers with power-factor correction", -5, 8),
    BLN_BAND("generation", "generation, exporting", 165, 195),
    BLN_BAND("mixed", "several kinds", -15, 45),
    BLN_BAND("not_stated", "circuits whose load is not stated", -15, 45),
};
#undef BLN_BAND

}  // namespace
}  // namespace proof

std::span<const PolicyKey> live_policy() noexcept { return proof::keys; }

}  // namespace bln
