// Limits of an accuracy class at a load.
#pragma once

#include <optional>
#include <string_view>

#include "power/accuracy_table.hpp"

namespace bln {

/// Greatest errors that a class allows at a load. What a class does not state is absent.
struct AccuracyLimits {
    std::optional<double> ratio_percent;  ///< of current
    std::optional<double> phase_minutes;  ///< of current, in minutes of arc
    std::optional<double> power_percent;  ///< of active power; of reactive power for a reactive meter
    bool from_memory = false;
    const AccuracyClass* of = nullptr;
};

/// BLN_E_NAME when the table has no such class.
[[nodiscard]] const AccuracyClass& accuracy_class(AccuracyOf of, std::string_view name);

/// @param percent        current in percent of the rated current
/// @param angle_degrees  load angle, voltage minus current: -180 to 180; the direction of power does not matter
/// BLN_E_NAME, BLN_E_NOT_FINITE, BLN_E_RANGE (a current below 0), BLN_E_ABSENT where the class states nothing
/// for this current or angle.
[[nodiscard]] AccuracyLimits accuracy_limits(AccuracyOf of, std::string_view name, double percent,
                                             double angle_degrees);

}  // namespace bln
