// Energy of every point and roll-up, exact, and how it agrees with the mains.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "energy/intervals.hpp"
#include "energy/ledger.hpp"
#include "power/progress.hpp"
#include "site/finding.hpp"
#include "site/policy.hpp"

namespace bln {

struct StatementRow {
    RowKind kind = RowKind::point;
    std::string id;
    std::string premises;
    std::int64_t net = 0, import_p = 0, export_p = 0, net_q = 0;  ///< counts of the quantum
    std::uint64_t missing = 0, mixed = 0;                         ///< intervals
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

struct Statement {
    std::shared_ptr<const Intervals> intervals;
    Rational quantum{1};  ///< Wh of one count
    std::vector<StatementRow> rows;
    Series net, net_q;  ///< net_q has no counts when no reactive energy was given
    std::vector<Reconciliation> reconciliations;
    std::vector<Suspicion> suspicions;
    Report report;

    [[nodiscard]] std::size_t count() const noexcept { return intervals->count(); }
    [[nodiscard]] std::span<const std::int64_t> net_of(std::size_t row) const noexcept {
        return std::span(net.counts).subspan(row * count(), count());
    }
    [[nodiscard]] std::span<const std::uint8_t> complete_of(std::size_t row) const noexcept {
        return std::span(net.complete).subspan(row * count(), count());
    }
};

/// Throws BLN_E_OVERFLOW, BLN_E_CANCELLED, std::bad_alloc.
[[nodiscard]] Statement roll_up(const std::shared_ptr<const Model>& model, Instant known,
                                std::shared_ptr<const Intervals> intervals, const Policy& policy,
                                const Progress& progress = {});

[[nodiscard]] std::string statement_json(const Statement& statement);

/// English texts of the findings of this room.
[[nodiscard]] std::span<const Message> energy_messages() noexcept;

/// Keys of the domain BLN_POLICY_ENERGY.
[[nodiscard]] std::span<const PolicyKey> energy_policy() noexcept;

}  // namespace bln
