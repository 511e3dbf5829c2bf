#include "power/conductor_resistance.hpp"

#include <charconv>
#include <cmath>
#include <numbers>
#include <string>

#include "power/failure.hpp"

namespace bln {

double copper_ohms_per_m(double mm2, double celsius) {
    if (!std::isfinite(mm2) || !std::isfinite(celsius))
        throw Failure(BLN_E_NOT_FINITE, "cross-section and temperature must be finite");
    if (mm2 <= 0) throw Failure(BLN_E_RANGE, "a cross-section is above 0 mm2");
    if (celsius < -100 || celsius > 300)
        throw Failure(BLN_E_RANGE, "the temperature lies between -100 and 300 degrees");
    const ConductorSize* at = conductor_sizes.data();
    for (const ConductorSize& s : conductor_sizes)
        if (s.mm2 <= mm2 * (1 + 1e-9)) at = &s;
    return at->ohms_per_km / 1000 * at->mm2 / mm2 * (1 + copper_per_degree * (celsius - 20));
}

double gauge_mm2(std::string_view gauge) {
    int n = 0;
    const char* end = gauge.data() + gauge.size();
    const auto [next, error] = std::from_chars(gauge.data(), end, n);
    const bool zeros = gauge.size() == 3 && gauge.substr(1) == "/0" && n >= 1 && n <= 4;
    if (error != std::errc() || (!zeros && (next != end || n < 1 || n > 40)))
        throw Failure(BLN_E_NAME, "a gauge is 4/0 to 1/0 or 1 to 40, not \"" + std::string(gauge) + "\"");
    if (zeros) n = 1 - n;  // 1/0 is number 0, 4/0 is number -3
    constexpr double mm_per_inch = 25.4;
    const double mm = 0.005 * std::pow(92.0, (36.0 - n) / 39.0) * mm_per_inch;
    return std::numbers::pi / 4 * mm * mm;
}

}  // namespace bln
