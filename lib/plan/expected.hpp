// What every channel should read once power is on, from the record as it is built: said before, so that it can be held
// against what is read.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "site/live_policy.hpp"
#include "site/view.hpp"

namespace bln {

enum class Expectation : std::uint8_t {
    known = 10,
    zero_volts = 20,  ///< its reference lies between conductors of one potential: 0 V, 0 W
    no_current = 30,  ///< the currents through its CT cancel whatever the load takes
    unknown = 40,     ///< the record lacks a fact
};

/// What was assumed, and what is peculiar. Bits.
namespace expected_flag {
enum : std::uint32_t {
    rotation_assumed = 1,    ///< the sequence is not recorded and matters: taken as ABC
    direction_assumed = 2,   ///< which way the CT faces is not recorded: taken as right
    ratio_assumed = 4,       ///< configured ratio or rating is not recorded: taken as equal
    neutral_assumed = 8,     ///< whether a neutral goes to the load is not recorded: taken as present
    class_unknown = 16,      ///< the CT's accuracy class is not recorded, or not in the table
    class_silent = 32,       ///< the class promises nothing of the phase displacement
    beyond_breaker = 64,     ///< the least load exceeds the rating of the breaker
    beyond_heater = 128,     ///< the least load exceeds what a portable heater takes
    service_assumed = 256,   ///< the service of the device is not recorded: taken as the only one
    terminals_assumed = 512  ///< the device's voltage terminals are not recorded: taken as named
};
}

struct ExpectedRow {
    Expectation state = Expectation::unknown;
    std::string channel, device, circuit, point;  ///< circuit: the first whose conductor its CT holds
    std::int64_t input = 0;                       ///< 0: not recorded
    std::string conductors;                       ///< those through its CTs, such as "A" or "A-B"
    std::string_view reference;                   ///< as configured, such as "A-N"
    Load load = Load::unknown;
    std::string why;  ///< of `unknown`: the missing fact; else empty
    std::uint32_t flags = 0;
    int sign = 0;  ///< of the active power: 1, -1; 0: either
    // Of `known` alone.
    double offset_low_deg = 0, offset_high_deg = 0;  ///< what reference and arrangement add to the load's own angle
    double angle_low_deg = 0, angle_high_deg = 0;    ///< voltage minus current, as the channel reads it
    double heater_low_deg = 0, heater_high_deg = 0;  ///< the same with a heater
    double volts = 0, volts_low = 0, volts_high = 0;
    LeastBy least_by = LeastBy::floor;
    double gate_amps = 0;   ///< least current in the conductor at which a live check judges the channel
    double least_amps = 0;  ///< the same, and the class of the CT stands behind the angle
    double load_volts = 0;  ///< voltage of the load that needs least: to neutral, or between phases
    int load_phases = 1;    ///< 3: only a three-phase load will do
    double least_watts = 0;
};

/// One row for each channel, in the order of the record. @p policy is that of the live check, so that the bands here
/// are those that readings are held to later. Throws std::bad_alloc only.
[[nodiscard]] std::vector<ExpectedRow> expected_readings(const View& view, const Policy& policy);

/// For people, by device and input, with cautions.
[[nodiscard]] std::string expected_text(const View& view, const std::vector<ExpectedRow>& rows);
/// RFC 4180, with a header.
[[nodiscard]] std::string expected_csv(const std::vector<ExpectedRow>& rows);

}  // namespace bln
