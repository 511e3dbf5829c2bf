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
    Context(const View& view, const Policy& policy);
    /// Works out the form of every point, which is most of the work: hence the progress. What is not worked out
    /// here is when it is first asked for.
    void diagnose_all(const Progress& progress) const;

    const View& view;
    const Policy& policy;
    Lists<Use> channel_uses;              ///< of each channel, in all points
    Lists<Wired> ct_channels;             ///< of each CT
    Lists<Through> circuit_cts;           ///< of each circuit
    Lists<std::uint32_t> circuit_points;  ///< of each circuit: the points that list it

    Lists<std::uint32_t> circuit_panels;   ///< of each circuit: the panels that it feeds
    Lists<std::uint32_t> circuit_devices;  ///< of each circuit: the devices that it feeds
    Lists<std::uint32_t> panel_circuits;   ///< of each panel: the circuits in it
    Lists<std::uint32_t> device_channels;  ///< of each device: its channels
    Lists<std::uint32_t> point_rollups;    ///< of each point: the roll-ups that add it themselves
    Lists<std::uint32_t> premises_points;  ///< of each premises: the points that name it

    std::vector<std::int32_t> feeders;  ///< of each circuit; see feeder()

    /// Why the form of a point is not exact, where it is not. One thread at a time.
    [[nodiscard]] const Diagnosis& diagnosis(std::size_t point) const;
    /// Forgets the diagnosis of a point, because something that it rests on has changed.
    void forget(std::size_t point) noexcept { diagnosed_[point] = 0; }
    /// The circuit that stands upstream of a circuit, from the record as it is now.
    [[nodiscard]] std::int32_t feeder_now(std::size_t circuit) const noexcept;

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
    /// Channels of the elements of a point, each once and resolved.
    [[nodiscard]] std::vector<std::uint32_t> channels_of(std::size_t point) const;
    /// Greatest share that the elements of a point take of their channels; 1 for none.
    [[nodiscard]] Rational share_of(std::size_t point) const noexcept;

private:
    mutable std::vector<Diagnosis> diagnoses_;
    mutable std::vector<char> diagnosed_;
};

/// Panels stand behind one another at most so many times; longer chains are circles or nonsense, and walks end.
inline constexpr int most_levels = 64;

/// The type of a CT, or null when it is not known.
[[nodiscard]] const as_of::ct_type* type_of(const View& view, const as_of::ct& ct) noexcept;
/// The profile of the device of a channel, or null when it is not known.
[[nodiscard]] const as_of::profile* profile_of(const View& view, const as_of::channel& channel) noexcept;
/// Conductor on which the voltage terminal @p label of a device is landed; as labelled unless the record says
/// otherwise.
[[nodiscard]] std::string_view landed_on(const View& view, const as_of::device& device,
                                         std::string_view label) noexcept;
/// "A, B and C".
[[nodiscard]] std::string listed(const std::vector<std::string>& words);
/// a + b, or nothing when it does not fit.
[[nodiscard]] std::optional<Rational> sum(const Rational& a, const Rational& b) noexcept;

}  // namespace bln::rules
