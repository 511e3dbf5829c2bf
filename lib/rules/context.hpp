// What the rules share about one view, worked out once.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "power/progress.hpp"
#include "rules/diagnosis.hpp"
#include "rules/lists.hpp"
#include "site/policy.hpp"
#include "site/view.hpp"

namespace bln::rules {

/// A channel as an element of a point.
struct Use {
    std::uint32_t point;
    Rational share;
};

/// A CT on an input: the channel, and 1 or -1 for its leads.
struct Wired {
    std::uint32_t channel;
    Rational leads;
};

/// A conductor of a circuit through a CT.
struct Through {
    std::uint32_t ct;
    int pole;  ///< 1, 2, 3; 0 = neutral; -1 = not stated
    Rational turns;
};

/// Who bills a channel: points with a positive share. A negative share takes away what another point
/// measures downstream, so it is no part.
struct Parts {
    std::vector<std::uint32_t> points;
    std::optional<Rational> total{0};  ///< nothing: it does not fit
    /// One point, or several that make one whole.
    [[nodiscard]] bool whole() const noexcept { return points.size() < 2 || (total && *total == Rational(1)); }
};

class Context {
public:
    /// Works out the form of every point, which is most of the work: hence the progress.
    Context(const View& view, const Policy& policy, const Progress& progress);

    const View& view;
    const Policy& policy;
    Lists<Use> channel_uses;              ///< of each channel, in all points
    Lists<Wired> ct_channels;             ///< of each CT
    Lists<Through> circuit_cts;           ///< of each circuit
    Lists<std::uint32_t> circuit_points;  ///< of each circuit: the points that list it

    std::vector<std::int32_t> feeders;  ///< of each circuit; see feeder()
    std::vector<Diagnosis> diagnosis;   ///< of each point

    /// A point that bills somebody; a point that states no use does.
    [[nodiscard]] bool bills(std::size_t point) const noexcept {
        const PointUse use = view.point[point].use;
        return use == PointUse::billing || use == PointUse::unknown;
    }
    /// The circuit that feeds the panel of a circuit, or -1. A main that sits in the panel that it feeds has none.
    [[nodiscard]] std::int32_t feeder(std::size_t circuit) const noexcept { return feeders[circuit]; }
    /// Whether a point names a circuit as one of its own.
    [[nodiscard]] bool lists(std::uint32_t point, std::size_t circuit) const noexcept {
        for (const std::uint32_t p : circuit_points[circuit])
            if (p == point) return true;
        return false;
    }
    [[nodiscard]] Parts parts_of_channel(std::size_t channel) const;
    /// Greatest share that the elements of a point take of their channels; 1 for none.
    [[nodiscard]] Rational share_of(std::size_t point) const noexcept;
};

/// Panels stand behind one another at most so many times; longer chains are circles or nonsense, and walks end.
inline constexpr int most_levels = 64;

/// "A, B and C".
[[nodiscard]] std::string listed(const std::vector<std::string>& words);
/// a + b, or nothing when it does not fit.
[[nodiscard]] std::optional<Rational> sum(const Rational& a, const Rational& b) noexcept;

}  // namespace bln::rules
