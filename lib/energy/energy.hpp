// Energy of every point and roll-up, exact, and how it agrees with the mains.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "energy/intervals.hpp"
#include "energy/ledger.hpp"
#include "energy/quality.hpp"
#include "power/progress.hpp"
#include "site/finding.hpp"
#include "site/policy.hpp"

namespace bln {

/// Which time is rolled up, as far as was known when, and in which counts.
struct Period {
    Instant from = begin_of_time, to = end_of_time;  ///< half-open; the ends of time: as far as the intervals go
    Instant known = end_of_time;
    Rational quantum = 0;  ///< Wh of one count handed out; 0: the greatest that makes every energy whole
};

struct StatementRow {
    RowKind kind = RowKind::point;
    std::string id;
    std::string premises;
    std::int64_t net = 0, import_p = 0, export_p = 0;           ///< counts of the quantum
    std::int64_t net_q = 0, import_q = 0, export_q = 0;         ///< likewise, in varh
    std::int64_t apparent = 0;                                  ///< likewise, in VAh: of the intervals in `both`
    double power_factor = 0;                                    ///< of the period; 0 where it cannot be stated
    ApparentBar bar = ApparentBar::none;                        ///< why apparent energy is not stated
    std::uint64_t both = 0;                                     ///< intervals in which P and Q are complete
    std::uint64_t missing = 0, mixed = 0;                       ///< intervals
    std::uint64_t measured = 0, flagged = 0;                    ///< intervals; with `missing` they are all
    std::int64_t flagged_net = 0;                               ///< counts, of the flagged intervals
    std::array<std::uint64_t, quality_codes.size()> quality{};  ///< intervals by place in quality_codes
};

/// The energy of one point while one holder paid for it: those of a row add up to the row.
struct Tenure {
    std::size_t row = 0;   ///< of the statement
    std::string premises;  ///< empty: nobody's
    Occupancy occupancy = Occupancy::unknown;
    std::string occupant;
    Instant from = 0, to = 0;
    std::int64_t net = 0, import_p = 0, export_p = 0;  ///< as those of a row
    std::int64_t net_q = 0, import_q = 0, export_q = 0;
    std::int64_t apparent = 0;
    std::uint64_t both = 0;
    double power_factor = 0;
    std::uint64_t measured = 0, flagged = 0, missing = 0;  ///< whole intervals
    std::uint64_t divided = 0;                             ///< intervals shared with the tenure before or after
    std::int64_t flagged_net = 0;  ///< of the flagged intervals, and of its part of divided ones
};

/// Row after row, interval after interval.
struct Series {
    std::vector<std::int64_t> counts;
    std::vector<std::uint8_t> complete;
};

struct Reconciliation {
    std::string rollup, main;
    Verdict verdict = Verdict::not_checked;
    std::int64_t main_net = 0, sum_net = 0;
    std::uint64_t intervals = 0, left_out = 0;
    double difference_percent = 0, tolerance_percent = 0;
};

struct Suspicion {
    std::string rollup, point, channel;
    const char* hypothesis = "";
    double missing_wh = 0;
    double explained = 0;
};

/// A stretch of the period over which the record says the same about the energy.
struct Version {
    Instant from = 0, to = 0;
};

struct Statement {
    std::shared_ptr<const Intervals> intervals;  ///< over the period; null when they came as a stream
    std::shared_ptr<const Model> model;
    Period period;              ///< from and to filled in
    Instant first = 0;          ///< start of the first interval: the period can begin within it
    std::int64_t duration = 0;  ///< microseconds
    std::size_t interval_count = 0;
    std::vector<Version> versions;
    Rational quantum{1};  ///< Wh of one count
    std::vector<StatementRow> rows;
    std::vector<Tenure> tenures;        ///< in the order of the rows and of time
    Series net, net_q;                  ///< empty after a stream; net_q also when no reactive energy was given
    std::vector<std::uint8_t> quality;  ///< codes, laid out as a series; empty when none were given
    std::vector<Reconciliation> reconciliations;
    std::vector<Suspicion> suspicions;
    std::string stream_digest;  ///< of what came as a stream, where that was asked for
    Report report;

    [[nodiscard]] std::size_t count() const noexcept { return interval_count; }
    [[nodiscard]] Instant start(std::size_t interval) const noexcept {
        return first + static_cast<Instant>(interval) * duration;
    }
    [[nodiscard]] std::span<const std::int64_t> net_of(std::size_t row) const noexcept {
        return std::span(net.counts).subspan(row * count(), count());
    }
    [[nodiscard]] std::span<const std::int64_t> net_q_of(std::size_t row) const noexcept {
        return std::span(net_q.counts).subspan(row * count(), count());
    }
    [[nodiscard]] std::span<const std::uint8_t> complete_of(std::size_t row) const noexcept {
        return std::span(net.complete).subspan(row * count(), count());
    }
};

/// Throws BLN_E_OVERFLOW, BLN_E_RANGE (period), BLN_E_SIZE, BLN_E_CANCELLED, std::bad_alloc.
[[nodiscard]] Statement roll_up(const std::shared_ptr<const Model>& model, const Period& period,
                                std::shared_ptr<const Intervals> intervals, const Policy& policy,
                                const Progress& progress = {});
/// The whole time of the intervals, exactly.
[[nodiscard]] Statement roll_up(const std::shared_ptr<const Model>& model, Instant known,
                                std::shared_ptr<const Intervals> intervals, const Policy& policy,
                                const Progress& progress = {});

[[nodiscard]] std::string statement_json(const Statement& statement);
[[nodiscard]] std::string statement_csv(const Statement& statement);
[[nodiscard]] std::string tenures_csv(const Statement& statement);
/// SHA-256 of the intervals that went in: a canonical text of rule, channels and counts; of a stream, what it was
/// told to keep. Empty where there is none.
[[nodiscard]] std::string input_digest(const Statement& statement);
[[nodiscard]] std::string_view word_of(RowKind kind) noexcept;
[[nodiscard]] std::string_view word_of(ApparentBar bar) noexcept;

/// English texts of the findings of this room.
[[nodiscard]] std::span<const Message> energy_messages() noexcept;

/// Keys of the domain BLN_POLICY_ENERGY.
[[nodiscard]] std::span<const PolicyKey> energy_policy() noexcept;

}  // namespace bln
