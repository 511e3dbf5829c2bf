// What the readings of one element say: angles that explain them, how much current, how surely.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "proof/angle_density.hpp"
#include "proof/readings.hpp"
#include "proof/rows.hpp"
#include "site/policy.hpp"
#include "site/view.hpp"

namespace bln::infer {

/// One reading of one element.
struct Observation {
    static constexpr std::size_t most_angles = 12;
    bool loaded = false;  ///< enough current to say anything
    bool sized = false;   ///< its current is known
    bool exact = false;   ///< one angle alone explains it
    std::uint8_t angles = 0;
    std::int32_t snapshot = 0;
    std::int64_t row = -1;
    double log_amps = 0;                      ///< natural logarithm of the current in the terms of the configured ratio
    double log_error = 0;                     ///< its standard deviation
    double angle_error = 0;                   ///< standard deviation of the angles, radians
    std::array<double, most_angles> angle{};  ///< voltage minus current, radians
    std::array<double, most_angles> weight{};  ///< of sum 1

    [[nodiscard]] std::span<const double> each_angle() const noexcept { return std::span(angle).first(angles); }
    [[nodiscard]] std::span<const double> each_weight() const noexcept { return std::span(weight).first(angles); }
};

/// All readings of one element.
struct Sight {
    std::vector<Observation> seen;
    bool read = false;          ///< there is a row that counts
    bool telling = false;       ///< a row says something about the angle
    bool loaded = false;        ///< in one snapshot at least
    bool contradicted = false;  ///< a row contradicts itself or another
    bool dead_voltage = false;  ///< its voltage reference reads near 0 V
    double volts = 0;           ///< the last voltage read
    Circle one, similar;
};

struct ReadingContext {
    const View& view;
    const Readings& readings;
    const proof::SortedRows& rows;
    const Policy& policy;
};

/// @p reference_volts: nominal voltage of the element's reference, 0 where not stated.
/// @p load: kind, for what a power factor allows for distortion.
[[nodiscard]] Sight sight_of(const ReadingContext& in, std::int32_t channel, double reference_volts, Load load);

/// Numbers the snapshots of a point: rows within the policy's time are one. Their number.
std::size_t number_snapshots(const ReadingContext& in, std::span<Sight*> sights);

}  // namespace bln::infer
