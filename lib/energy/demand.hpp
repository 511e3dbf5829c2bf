// Block and rolling demand: the average power of windows that stand on a grid of local time.
#pragma once

#include <string>
#include <vector>

#include "energy/bins.hpp"
#include "energy/equal_series.hpp"
#include "energy/zone.hpp"
#include "power/rational.hpp"

namespace bln::energy {

struct DemandRule {
    std::int64_t window = 0;  ///< microseconds
    std::int64_t step = 0;    ///< from one window to the next: the window itself (block), or a divisor of it (rolling)
    Rational quantum{1};      ///< Wh of one count
    const Zone* zone = nullptr;  ///< the grid begins at its midnights; null: at those of UTC
};

struct DemandWindow {
    Instant from = 0, to = 0;
    std::int64_t p = 0, q = 0;  ///< energy in counts: active, reactive
    bool complete = false;      ///< every interval of it is there, and it is as long as the rule says
    bool complete_q = false;    ///< reactive energy too
};

enum class DemandKind : std::uint8_t { active = 10, apparent = 20 };

struct Peak {
    bool any = false;  ///< whether any window is billable
    std::size_t at = 0;
    std::uint64_t billable = 0, left_out = 0;  ///< windows
    std::uint64_t straddling = 0;              ///< windows of more than one bin, where a bin was asked for
};

/// Immutable.
class Demand {
public:
    /// @p q has no columns where there is no reactive energy; otherwise it lies as @p p does.
    /// Throws BLN_E_RANGE (window, step; intervals longer than a step or across its edges), BLN_E_OVERFLOW,
    /// BLN_E_ABSENT (zone), and what EqualSeries::check() throws.
    Demand(const DemandRule& rule, const EqualSeries& p, const Column& q);

    [[nodiscard]] const std::vector<DemandWindow>& windows() const noexcept { return windows_; }
    [[nodiscard]] bool reactive() const noexcept { return reactive_; }
    /// Watts of one count in a window: exact.
    [[nodiscard]] Rational scale() const noexcept { return scale_; }
    /// W, or VA by the vector definition: the root of P squared plus Q squared of the window.
    [[nodiscard]] double power(const DemandWindow& w, DemandKind kind) const noexcept;
    /// The largest among the windows that lie in [from, to); the earliest of equals.
    [[nodiscard]] Peak peak(DemandKind kind, Instant from, Instant to) const;
    /// The largest among those that lie wholly in one bin of a table. Throws BLN_E_ABSENT where table or zone say
    /// nothing.
    [[nodiscard]] Peak peak_in_bin(DemandKind kind, Instant from, Instant to, const TimeOfUse& table, const Zone& zone,
                                   std::size_t bin) const;
    /// Position of the window that begins at @p from, or -1.
    [[nodiscard]] std::int64_t find(Instant from) const noexcept;
    [[nodiscard]] std::string json(Instant from, Instant to) const;

private:
    template <class Counts>
    [[nodiscard]] Peak peak_of(DemandKind kind, Instant from, Instant to, const Counts& counts) const;
    std::int64_t window_, step_;
    Rational quantum_, scale_;
    bool reactive_ = false;
    std::string zone_, zone_version_, zone_digest_;
    std::vector<DemandWindow> windows_;
};

}  // namespace bln::energy
