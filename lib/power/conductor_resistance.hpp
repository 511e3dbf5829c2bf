// Resistance of copper conductors by cross-section and by gauge.
#pragma once

#include <array>
#include <string_view>

namespace bln {

/// Greatest d.c. resistance at 20 degrees Celsius of a plain copper conductor of class 1 or 2.
struct ConductorSize {
    double mm2;
    double ohms_per_km;
    bool from_memory;
};

// IEC 60228, tables 1 and 2; sizes from 1.5 on as they stand in several public programs, the others from memory.
inline constexpr std::array conductor_sizes{
    ConductorSize{0.5, 36.0, true},  ConductorSize{0.75, 24.5, true}, ConductorSize{1, 18.1, true},
    ConductorSize{1.5, 12.1, false}, ConductorSize{2.5, 7.41, false}, ConductorSize{4, 4.61, false},
    ConductorSize{6, 3.08, false},   ConductorSize{10, 1.83, false},  ConductorSize{16, 1.15, false},
    ConductorSize{25, 0.727, false}, ConductorSize{35, 0.524, false}, ConductorSize{50, 0.387, false},
};
inline constexpr std::string_view conductor_source =
    "IEC 60228 tables 1 and 2, plain copper, class 1 or 2, at 20 degrees Celsius; up to 1 mm2 from memory";

/// Change of the resistance of copper, relative to 20 degrees Celsius, for each degree (IEC 60028, from memory).
inline constexpr double copper_per_degree = 0.00393;

/// Ohms of one metre of one copper conductor. Between the sizes of the table the resistance of the next smaller size is
/// scaled by area; below and beyond, that of the nearest. BLN_E_NOT_FINITE; BLN_E_RANGE for a cross-section that is not
/// positive or a temperature outside -100 to 300 degrees.
[[nodiscard]] double copper_ohms_per_m(double mm2, double celsius = 20);

/// Area in mm2 of a wire of an American wire gauge: d = 0.005 in x 92^((36 - n) / 39) (ASTM B258; the formula and the
/// diameters of the table in T. R. Kuphaldt, Lessons in Electric Circuits, vol. I).
/// @param gauge "4/0" to "1/0", or "1" to "40". BLN_E_NAME.
[[nodiscard]] double gauge_mm2(std::string_view gauge);

}  // namespace bln
