// Quality codes of interval values, and how those of parts combine.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace bln {

/// One code of the list, the best first. The numbers are those of QualityOfReading in the ESPI schema
/// (NAESB REQ.21, espi.xsd); the order is our choice, with what was checked by people before what came straight
/// from the meter, and that before what nobody measured.
struct QualityCode {
    std::uint8_t code;
    std::string_view word;
    bool measured;  ///< the value is what the meter registered; otherwise it is flagged
};
inline constexpr std::array<QualityCode, 11> quality_codes{{
    {19, "revenue_quality", true},
    {17, "validated", true},
    {0, "valid", true},
    {18, "verified", true},
    {14, "raw", true},
    {11, "derived", false},
    {7, "manually_edited", false},
    {9, "estimated_interpolated", false},
    {8, "estimated_reference_day", false},
    {13, "mixed", false},
    {10, "questionable", false},
}};

/// Position of a code in the list, best first; -1 for a number that is no code.
[[nodiscard]] constexpr int quality_rank(std::uint8_t code) noexcept {
    for (std::size_t i = 0; i < quality_codes.size(); ++i)
        if (quality_codes[i].code == code) return static_cast<int>(i);
    return -1;
}

/// A sum is as good as its worst part.
[[nodiscard]] constexpr std::uint8_t worse_quality(std::uint8_t a, std::uint8_t b) noexcept {
    return quality_rank(a) < quality_rank(b) ? b : a;
}

}  // namespace bln
