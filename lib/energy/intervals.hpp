// Energy of channels in equal intervals: a dense matrix of exact counts with a bit for what is there.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "power/rational.hpp"
#include "site/column.hpp"
#include "site/value.hpp"

namespace bln {

/// What a count counts.
enum class Quantity : std::uint8_t { net_p, net_q, import_p, export_p };
inline constexpr std::size_t quantity_count = 4;
[[nodiscard]] std::string_view word_of(Quantity q) noexcept;

/// What holds for every row.
struct IntervalRule {
    std::int64_t duration = 0;  ///< microseconds
    Rational wh_per_count;
    bool end_stamped = false;
    /// Throws BLN_E_RANGE.
    static IntervalRule of(const bln_interval_rule& rule);
};

/// Two rows of one channel and interval that say different things; neither counts.
struct Conflict {
    std::uint32_t channel = 0;
    std::uint32_t interval = 0;
    Quantity quantity = Quantity::net_p;
    std::int64_t first = 0, second = 0;
};

/// How the rows of one channel came.
struct Arrival {
    std::uint64_t rows = 0;
    std::uint64_t repeated = 0;      ///< rows that say again what another one said
    std::uint64_t out_of_order = 0;  ///< rows earlier than the channel's row before
};

/// One column of the matrix: a quantity of every channel, channel after channel.
struct CountMatrix {
    std::vector<std::int64_t> counts;   ///< 0 where nothing is there
    std::vector<std::uint8_t> present;  ///< one byte an item: read in hot loops
    [[nodiscard]] bool given() const noexcept { return !counts.empty(); }
};

class Intervals {
public:
    [[nodiscard]] const IntervalRule& rule() const noexcept { return rule_; }
    [[nodiscard]] std::span<const std::string> channels() const noexcept { return channels_; }
    [[nodiscard]] std::size_t count() const noexcept { return count_; }
    [[nodiscard]] Instant first() const noexcept { return first_; }
    [[nodiscard]] Instant start(std::size_t interval) const noexcept {
        return first_ + static_cast<Instant>(interval) * rule_.duration;
    }
    [[nodiscard]] const CountMatrix& of(Quantity q) const noexcept { return matrix_[static_cast<std::size_t>(q)]; }
    /// Quality code (quality.hpp) of every channel and interval, channel after channel; empty when none was given.
    [[nodiscard]] std::span<const std::uint8_t> quality() const noexcept { return quality_; }
    /// The intervals that [from, to) touches; where there are no rows, nothing is there.
    /// Throws BLN_E_RANGE, BLN_E_SIZE.
    [[nodiscard]] Intervals over(Instant from, Instant to) const;
    [[nodiscard]] std::span<const Conflict> conflicts() const noexcept { return conflicts_; }
    [[nodiscard]] std::span<const Arrival> arrivals() const noexcept { return arrivals_; }

private:
    friend class IntervalBuilder;
    IntervalRule rule_;
    std::vector<std::string> channels_;
    Instant first_ = 0;
    std::size_t count_ = 0;
    std::array<CountMatrix, quantity_count> matrix_;
    std::vector<std::uint8_t> quality_;
    std::vector<Conflict> conflicts_;
    std::vector<Arrival> arrivals_;
};

/// Long-form columns, as the C API hands them over.
struct IntervalColumns {
    Column channel, at;
    std::array<Column, quantity_count> quantity;
};

/// Throws BLN_E_VALUE, BLN_E_DUPLICATE, BLN_E_TYPE, BLN_E_OVERFLOW, BLN_E_SIZE.
[[nodiscard]] Intervals intervals_from_columns(const IntervalRule& rule, std::span<const std::string_view> ids,
                                               std::size_t rows, const IntervalColumns& columns);
/// Throws what CsvScanner and intervals_from_columns() throw, BLN_E_FIELD, BLN_E_UNIT.
[[nodiscard]] Intervals intervals_from_csv(const IntervalRule& rule, std::string_view csv, std::uint64_t max_bytes);

}  // namespace bln
