// Live readings against the record: does every channel read as a correct one would?
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "power/progress.hpp"
#include "proof/readings.hpp"
#include "site/finding.hpp"
#include "site/live_policy.hpp"
#include "site/view.hpp"

namespace bln {

/// The weaker, the smaller.
enum class Proof : std::uint8_t { wrong = 10, undecided = 20, not_proven = 30, likely = 35, right = 40 };

struct LiveChannel {
    std::string channel, point;
    std::string reads_as;
    Proof proof = Proof::not_proven;
    std::int64_t row = -1;
    bool loaded = false;
    bool has_watts = false, has_vars = false, has_angle = false, has_band = false;
    double watts = 0, vars = 0, angle_deg = 0, band_low_deg = 0, band_high_deg = 0;
};

struct LivePoint {
    std::string point;
    Proof proof = Proof::not_proven;
    std::uint32_t channels = 0, read = 0, loaded = 0;
    double watts = 0, vars = 0;
};

struct LiveSum {
    std::string main, phase;
    Verdict verdict = Verdict::not_checked;
    double main_watts = 0, branch_watts = 0, tolerance_watts = 0;
    std::uint32_t circuits = 0, unread = 0;
};

struct Live {
    std::vector<LiveChannel> channels;  ///< positions equal to those of the record
    std::vector<LivePoint> points;
    std::vector<LiveSum> sums;
    Report report;
};

/// Throws BLN_E_CANCELLED, std::bad_alloc.
[[nodiscard]] Live live_check(const View& view, const Readings& readings, const Policy& policy,
                              const Progress& progress = {});

/// English texts of the findings of this room.
[[nodiscard]] std::span<const Message> live_messages() noexcept;

}  // namespace bln
