// Energy of channels in equal intervals: a dense matrix of exact counts with a bit for what is there.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "power/rational.hpp"
#include "site/choices.hpp"
#include "site/column.hpp"
#include "site/value.hpp"

namespace bln {

/// What a count counts. The order is that of the words in intervals.cpp.
enum class Quantity : std::uint8_t { net_p, net_q, import_p, export_p, import_q, export_q, q1, q2, q3, q4, apparent };
inline constexpr std::size_t quantity_count = 11;
[[nodiscard]] std::string_view word_of(Quantity q) noexcept;
/// Whether it cannot be negative: all but the two net ones.
[[nodiscard]] constexpr bool one_way(Quantity q) noexcept { return q != Quantity::net_p && q != Quantity::net_q; }
/// Set of quantities, bit q for quantity q.
using Quantities = std::uint16_t;
[[nodiscard]] constexpr Quantities bit_of(Quantity q) noexcept {
    return static_cast<Quantities>(1U << static_cast<unsigned>(q));
}

/// What holds for every row.
struct IntervalRule {
    std::int64_t duration = 0;  ///< microseconds
    Rational wh_per_count;
    bool end_stamped = false;
    /// Where the counts were read: whatever the record says is scaled up to there has been scaled already. A record
    /// that names nobody, and `none`, are as they are without it.
    ScaledBy read_from = ScaledBy::device;
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

/// Numbers as in the C API. What became of a step between two readings of a register, where it was not simply their
/// difference.
enum class StepKind : std::uint8_t {
    rollover = 20,   ///< the register passed its last count; added
    jitter = 30,     ///< it read a little less than before; counted as unchanged until it is more again
    exchange = 40,   ///< it was exchanged or reset, and last and first reading were handed in; added
    gap = 50,        ///< readings between are missing: the energy is known, the intervals it belongs to are not
    backwards = 60,  ///< it read less and nothing explains it for certain: left out
    too_fast = 70,   ///< it read more than its channel can have carried: left out
    too_long = 80    ///< time enough to pass its last count more than once: left out
};
struct RegisterStep {
    std::uint32_t channel = 0;
    Quantity quantity = Quantity::import_p;
    StepKind kind = StepKind::gap;
    Instant from = 0, to = 0;            ///< of the two readings
    std::int64_t before = 0, after = 0;  ///< the two readings
    std::int64_t energy = 0;             ///< counts between them; 0 where they are left out
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
    std::vector<std::uint8_t> present;  ///< one byte an item, 0 or 1: read in hot loops
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
    /// Quality code (quality.hpp) of every channel and interval, channel after channel; empty when no row named one.
    /// Where a row gives no code, and where there is no row, the code is 0, valid. Rows that repeat one another count
    /// with the worse code; an interval between two readings of a register has the worse code of the two.
    [[nodiscard]] std::span<const std::uint8_t> quality() const noexcept { return quality_; }
    /// The intervals that [from, to) touches; where there are no rows, nothing is there.
    /// Throws BLN_E_RANGE, BLN_E_SIZE.
    [[nodiscard]] Intervals over(Instant from, Instant to) const;
    [[nodiscard]] std::span<const Conflict> conflicts() const noexcept { return conflicts_; }
    [[nodiscard]] std::span<const Arrival> arrivals() const noexcept { return arrivals_; }
    /// What was not plain in cumulative registers; empty for energy of intervals.
    [[nodiscard]] std::span<const RegisterStep> steps() const noexcept { return steps_; }
    /// Whether the text that it came from ended within a line.
    [[nodiscard]] bool cut_off() const noexcept { return cut_off_; }

private:
    friend class IntervalBuilder;
    friend class RegisterBuilder;
    friend class IntervalCollector;
    IntervalRule rule_;
    std::vector<std::string> channels_;
    Instant first_ = 0;
    std::size_t count_ = 0;
    std::array<CountMatrix, quantity_count> matrix_;
    std::vector<std::uint8_t> quality_;
    std::vector<Conflict> conflicts_;
    std::vector<Arrival> arrivals_;
    std::vector<RegisterStep> steps_;
    bool cut_off_ = false;
};

/// Long-form columns, as the C API hands them over.
struct IntervalColumns {
    Column channel, at;
    std::array<Column, quantity_count> quantity;
    Column quality;
};

/// Throws BLN_E_VALUE, BLN_E_DUPLICATE, BLN_E_TYPE, BLN_E_OVERFLOW, BLN_E_SIZE.
/// @param registers  JSON of a register rule (registers.hpp): the counts are readings of registers; empty: they are
///                   energy of intervals
[[nodiscard]] Intervals intervals_from_columns(const IntervalRule& rule, std::span<const std::string_view> ids,
                                               std::size_t rows, const IntervalColumns& columns,
                                               std::string_view registers = {});
/// Wide columns: one instant a row, one column a channel. Throws what intervals_from_columns() throws.
[[nodiscard]] Intervals intervals_from_wide(const IntervalRule& rule, std::span<const std::string_view> ids,
                                            std::size_t rows, const Column& at, Quantity quantity,
                                            std::span<const Column> counts, std::span<const Column> quality);
/// Throws what CsvStream, ColumnMap and intervals_from_columns() throw, BLN_E_FIELD, BLN_E_UNIT.
/// @param map  JSON of a column map (column_map.hpp); empty: the columns have our names
[[nodiscard]] Intervals intervals_from_csv(const IntervalRule& rule, std::string_view csv, std::uint64_t max_bytes,
                                           std::string_view map = {});

}  // namespace bln
