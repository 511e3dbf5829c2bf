// Which entities a changed one can reach: whose verdict may be another one now.
#pragma once

#include <cstdint>

#include "rules/context.hpp"
#include "rules/scope.hpp"

namespace bln::rules {

/// Collects, over the record as the context sees it. What a rule reads of its neighbours is at most: a circuit its
/// panel, service, feeders, points, CTs and their channels; a point its circuits, channels, devices, CTs, premises and
/// the other points of its channels; a channel its device, profile, CTs and their circuits. Reach follows these
/// backward.
class Reach {
public:
    explicit Reach(const Context& context) : c_(context), v_(context.view) {}

    /// An entity of which one field changed.
    void changed(Kind kind, std::uint32_t at, std::size_t field);
    /// What a reference that is about to be written leads to.
    void named(Kind by, Kind target, std::uint32_t at);
    /// Adds the points that share a channel with one that is reached, and puts everything in order.
    [[nodiscard]] Some finish();
    /// So much hangs on the change that checking everything anew is simpler.
    [[nodiscard]] bool everything() const noexcept { return everything_; }

private:
    void add(Kind kind, std::uint32_t at) { out_[static_cast<std::size_t>(kind)].push_back(at); }
    void circuit(std::uint32_t at);
    void point(std::uint32_t at);
    void channel(std::uint32_t at);
    void ct(std::uint32_t at);
    void device(std::uint32_t at);
    void panel(std::uint32_t at);
    void sums();
    void behind(std::uint32_t circuit);

    const Context& c_;
    const View& v_;
    Some out_;
    bool sums_ = false;
    bool everything_ = false;
};

}  // namespace bln::rules
