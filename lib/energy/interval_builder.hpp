// Lays rows out as a dense matrix while they arrive, in any order, without keeping them.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "energy/intervals.hpp"

namespace bln {

/// Rows as they are handed on: column after column, only what is used.
struct RowBlock {
    std::vector<std::uint32_t> channel;
    std::vector<Instant> at;                                      ///< starts of intervals, or times of readings
    std::vector<Quantities> given;                                ///< which quantities the row has
    std::vector<std::uint8_t> quality;                            ///< code; no_quality where the row names none
    std::vector<std::uint64_t> line;                              ///< line of the text, or row of the columns, from 1
    std::array<std::vector<std::int64_t>, quantity_count> value;  ///< empty for a quantity that no row has
    [[nodiscard]] std::size_t size() const noexcept { return channel.size(); }
    void clear(Quantities used) noexcept;
    void reserve(std::size_t rows, Quantities used);
};
inline constexpr std::uint8_t no_quality = 255;

/// The grid that the starts of intervals lie on: that of the first row.
class StartGrid {
public:
    explicit StartGrid(const IntervalRule& rule) noexcept : duration_(rule.duration), end_stamped_(rule.end_stamped) {}
    /// What is wrong with the time of a row, or null. Turns ends into starts.
    const char* place(Instant& at) noexcept;
    [[nodiscard]] Instant anchor() const noexcept { return anchor_; }

private:
    std::int64_t duration_;
    bool end_stamped_, begun_ = false;
    Instant anchor_ = 0, last_ = 0;
};

/// Collects rows of energy that lie on one grid.
class IntervalBuilder {
public:
    IntervalBuilder(const IntervalRule& rule, Quantities used);
    /// Throws BLN_E_SIZE when the rows span far more intervals than there are rows.
    void add(const RowBlock& rows);
    [[nodiscard]] Intervals build(std::vector<std::string> channels);

private:
    /// Items of one channel from interval `base` on, which may be negative: late rows come before the first.
    template <class T>
    struct Lane {
        std::int64_t base = 0;
        std::vector<T> items;
    };
    struct Counts {
        Lane<std::int64_t> value;
        Lane<std::uint8_t> state;
    };
    template <class T>
    T& item(Lane<T>& lane, std::int64_t t, T fill);
    void lay(std::uint32_t channel, std::int64_t t, std::size_t slot, Quantity q, std::int64_t value, bool& again,
             bool& differs);
    [[noreturn]] void too_wide() const;

    Intervals out_;
    std::vector<Quantity> used_;
    std::vector<Counts> lanes_;  // channel after channel, `used_` for each
    std::vector<Lane<std::uint8_t>> quality_;
    std::vector<std::int64_t> conflict_at_;  // interval of each conflict, counted from the anchor
    std::vector<Instant> before_;            // start of the latest row of each channel
    std::uint64_t rows_ = 0, cells_ = 0;
    bool begun_ = false, any_quality_ = false;
    Instant anchor_ = 0, last_at_ = 0;
    std::int64_t last_t_ = 0, low_ = 0, high_ = 0;
};

}  // namespace bln
