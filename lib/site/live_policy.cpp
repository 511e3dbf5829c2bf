#include "site/live_policy.hpp"

namespace bln {
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
    {"noise_percent", "%", "noise and resolution of a channel's current, in percent of the rated primary current",
     "our choice", 0.1, 0, 100},
    {"noise_times", "", "how many times its noise a current has to be, so that its angle is known to a few degrees",
     practice, 10, 1, 1000},
    {"heater_watts", "W", "most that a portable heater takes; a proof that needs more needs the load itself", practice,
     1500, 1, 100000},
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

std::span<const PolicyKey> live_policy() noexcept { return keys; }

std::pair<double, double> band_of(const Policy& policy, Load load) noexcept {
    const std::size_t kind = load == Load::unknown ? choices_Load.size : static_cast<std::size_t>(load);
    return {policy[live_at::band_first + 2 * kind], policy[live_at::band_first + 2 * kind + 1]};
}

double rating_of(const View& view, const as_of::channel& channel) noexcept {
    if (channel.primary_amps) return static_cast<double>(*channel.primary_amps);
    for (const Term& t : channel.cts) {
        if (!t.ref.resolved()) continue;
        const Ref& type = view.ct[static_cast<std::size_t>(t.ref.at)].type;
        if (!type.resolved()) continue;
        if (const auto amps = view.ct_type[static_cast<std::size_t>(type.at)].primary_amps)
            return static_cast<double>(*amps);
    }
    return 0;
}

LeastAmps least_amps(const Policy& policy, double rating) noexcept {
    LeastAmps out{policy[live_at::load_amps], LeastBy::floor};
    const auto raise = [&](double amps, LeastBy by) {
        if (amps > out.amps) out = {amps, by};
    };
    raise(policy[live_at::load_percent] / 100 * rating, LeastBy::rating);
    raise(policy[live_at::noise_times] * policy[live_at::noise_percent] / 100 * rating, LeastBy::noise);
    return out;
}

}  // namespace bln
