// Who takes how much of which channel, as the record held over time: the coefficients of a statement.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "energy/intervals.hpp"
#include "power/progress.hpp"
#include "site/view.hpp"

namespace bln {

enum class RowKind : std::uint8_t { point = 10, check = 20, rollup = 30, unallocated = 40 };

/// Part of one channel in a row: energy in Wh of one count of it.
struct LedgerTerm {
    std::uint32_t channel = 0;  ///< position in the intervals
    Rational wh;
    friend bool operator==(const LedgerTerm&, const LedgerTerm&) = default;
};

/// Part of a roll-up: an entry of the ledger that it adds.
struct LedgerChild {
    std::uint32_t entry = 0;
    Rational weight;
    friend bool operator==(const LedgerChild&, const LedgerChild&) = default;
};

/// Why no apparent energy can be stated for a row.
enum class ApparentBar : std::uint8_t {
    none,
    reweighted,      ///< a channel with a multiplier or a share: P is right, volt-amperes are not
    summed_current,  ///< a channel whose input adds the currents of several conductors
    of_a_part        ///< a roll-up that contains such a point, or takes a fraction of one
};

/// Who pays for a point at one time.
struct Holder {
    std::string premises;                      ///< id, as the point names it; empty: nobody
    Occupancy occupancy = Occupancy::unknown;  ///< of the premises
    std::string occupant;
    friend bool operator==(const Holder&, const Holder&) = default;
};

/// A row at one time.
struct LedgerEntry {
    std::vector<LedgerTerm> terms;      ///< ascending by channel
    std::vector<LedgerChild> children;  ///< of a roll-up that has a sum
    ApparentBar bar = ApparentBar::none;
    bool lacking = false;       ///< something of it has no intervals at all, or it has no elements
    bool circular = false;      ///< a roll-up that adds itself: it has no sum
    std::int32_t against = -1;  ///< position of the main point that a roll-up must agree with
    std::uint32_t holder = 0;   ///< of a point: position among the holders of the ledger
    friend bool operator==(const LedgerEntry&, const LedgerEntry&) = default;
};

/// Equal intervals of channels, and the period of which energy is wanted: it may begin or end within one.
struct Grid {
    std::span<const std::string> channels;
    IntervalRule rule;
    Instant first = 0;
    std::size_t count = 0;
    Instant from = 0, to = 0;
    [[nodiscard]] Instant start(std::size_t interval) const noexcept {
        return first + static_cast<Instant>(interval) * rule.duration;
    }
};

/// Coefficients that hold over a stretch of time.
struct LedgerPart {
    Instant from = 0, to = 0;
    bool outside = false;                ///< of the period, in an interval that its border cuts
    std::vector<LedgerEntry> entries;    ///< points, roll-ups, channels: in this order
    std::vector<std::uint32_t> order;    ///< entries of roll-ups, each after those that it adds
    std::vector<Rational> wh_per_count;  ///< of each channel
    std::shared_ptr<const View> view;    ///< the record at `from`
};

/// How the energy of a channel came to be scaled.
enum class Scaling : std::uint8_t { registers_primary, ratio_applied, ratio_unknown };

struct Ledger {
    std::size_t points = 0, rollups = 0;   ///< entries begin with these
    std::vector<RowKind> kinds;            ///< of each entry
    std::vector<std::int32_t> channel_at;  ///< position of each channel in the record, or -1
    std::vector<Scaling> scaling;          ///< of each channel, the last that held
    std::vector<LedgerPart> parts;         ///< in time order, without gaps; at least one
    std::vector<Holder> holders;           ///< each once; the first is nobody
    std::shared_ptr<const View> view;      ///< the record as it held last in the period
    /// Of each point and roll-up: whether it has parts at any time. Before its first, it took nothing.
    std::vector<bool> ever;
    [[nodiscard]] std::size_t channel_entry(std::size_t channel) const noexcept { return points + rollups + channel; }
};

/// Walks the record over the time of the intervals. Parts between which nothing changes are joined, save in an
/// interval that the period cuts: what the next period sees of it must be divided alike.
/// Throws BLN_E_OVERFLOW when a coefficient does not fit, BLN_E_CANCELLED.
[[nodiscard]] Ledger make_ledger(const std::shared_ptr<const Model>& model, Instant known, const Grid& grid,
                                 const Progress& progress);

}  // namespace bln
