#include "rules/context.hpp"

#include <utility>

#include "power/failure.hpp"

namespace bln::rules {
namespace {

template <class T>
using Pairs = std::vector<std::pair<std::uint32_t, T>>;

std::uint32_t index(const Ref& r) noexcept { return static_cast<std::uint32_t>(r.at); }

Lists<Use> uses(const View& v) {
    Pairs<Use> pairs;
    for (std::uint32_t p = 0; p < v.point.size(); ++p)
        for (const Term& t : v.point[p].elements)
            if (t.ref.resolved()) pairs.push_back({index(t.ref), {p, t.weight}});
    return {v.channel.size(), pairs};
}

Lists<Wired> wired(const View& v) {
    Pairs<Wired> pairs;
    for (std::uint32_t c = 0; c < v.channel.size(); ++c)
        for (const Term& t : v.channel[c].cts)
            if (t.ref.resolved()) pairs.push_back({index(t.ref), {c, t.weight}});
    return {v.ct.size(), pairs};
}

Lists<Through> through(const View& v) {
    Pairs<Through> pairs;
    for (std::uint32_t c = 0; c < v.ct.size(); ++c)
        for (const Pass& p : v.ct[c].passes)
            if (p.circuit.resolved()) pairs.push_back({index(p.circuit), {c, p.pole, p.turns}});
    return {v.circuit.size(), pairs};
}

Lists<std::uint32_t> listing(const View& v) {
    Pairs<std::uint32_t> pairs;
    for (std::uint32_t p = 0; p < v.point.size(); ++p)
        for (const Ref& r : v.point[p].circuits)
            if (r.resolved()) pairs.push_back({index(r), p});
    return {v.circuit.size(), pairs};
}

/// For each entity of @p targets in number: the entities of @p from whose @p ref leads to it.
template <class Entity>
Lists<std::uint32_t> named_by(std::size_t targets, const std::vector<Entity>& from, Ref Entity::*ref) {
    Pairs<std::uint32_t> pairs;
    for (std::uint32_t i = 0; i < from.size(); ++i)
        if ((from[i].*ref).resolved()) pairs.push_back({index(from[i].*ref), i});
    return {targets, pairs};
}

Lists<std::uint32_t> rolled_up(const View& v) {
    Pairs<std::uint32_t> pairs;
    for (std::uint32_t r = 0; r < v.rollup.size(); ++r)
        for (const Term& t : v.rollup[r].points)
            if (t.ref.resolved()) pairs.push_back({index(t.ref), r});
    return {v.point.size(), pairs};
}

}  // namespace

Context::Context(const View& v, const Policy& p)
    : view(v),
      policy(p),
      channel_uses(uses(v)),
      ct_channels(wired(v)),
      circuit_cts(through(v)),
      circuit_points(listing(v)),
      circuit_panels(named_by(v.circuit.size(), v.panel, &as_of::panel::fed_from)),
      circuit_devices(named_by(v.circuit.size(), v.device, &as_of::device::supply)),
      panel_circuits(named_by(v.panel.size(), v.circuit, &as_of::circuit::panel)),
      device_channels(named_by(v.device.size(), v.channel, &as_of::channel::device)),
      point_rollups(rolled_up(v)),
      premises_points(named_by(v.premises.size(), v.point, &as_of::point::premises)),
      feeders(v.circuit.size(), -1),
      diagnoses_(v.point.size()),
      diagnosed_(v.point.size(), 0) {
    for (std::size_t i = 0; i < feeders.size(); ++i) feeders[i] = feeder_now(i);
}

std::int32_t Context::feeder_now(std::size_t circuit) const noexcept {
    const Ref& panel = view.circuit[circuit].panel;
    if (!panel.resolved()) return -1;
    const std::int32_t from = view.panel[static_cast<std::size_t>(panel.at)].fed_from.at;
    return from == static_cast<std::int32_t>(circuit) ? -1 : from;
}

void Context::diagnose_all(const Progress& progress) const {
    constexpr std::size_t often = 256;
    for (std::size_t i = 0; i < view.point.size(); ++i) {
        if (i % often == 0) progress.at(i, view.point.size());
        (void)diagnosis(i);
    }
}

const Diagnosis& Context::diagnosis(std::size_t point) const {
    if (diagnosed_[point] == 0) {
        diagnoses_[point] = diagnose(*this, static_cast<std::uint32_t>(point));
        diagnosed_[point] = 1;
    }
    return diagnoses_[point];
}

Parts Context::parts_of_channel(std::size_t channel) const {
    Parts out;
    for (const Use& u : channel_uses[channel]) {
        if (!bills(u.point) || !(Rational(0) < u.share)) continue;
        out.points.push_back(u.point);
        if (out.total) out.total = sum(*out.total, u.share);
    }
    return out;
}

std::vector<std::uint32_t> Context::channels_of(std::size_t point) const {
    std::vector<std::uint32_t> out;
    for (const Term& t : view.point[point].elements)
        if (t.ref.resolved()) out.push_back(index(t.ref));
    return out;
}

const as_of::ct_type* type_of(const View& view, const as_of::ct& ct) noexcept {
    return ct.type.resolved() ? &view.ct_type[static_cast<std::size_t>(ct.type.at)] : nullptr;
}

const as_of::profile* profile_of(const View& view, const as_of::channel& channel) noexcept {
    if (!channel.device.resolved()) return nullptr;
    const Ref& profile = view.device[static_cast<std::size_t>(channel.device.at)].profile;
    return profile.resolved() ? &view.profile[static_cast<std::size_t>(profile.at)] : nullptr;
}

Rational Context::share_of(std::size_t point) const noexcept {
    const auto elements = view.point[point].elements;
    if (elements.empty()) return 1;
    Rational most = elements.front().weight;
    for (const Term& t : elements)
        if (most < t.weight) most = t.weight;
    return most;
}

std::string_view landed_on(const View& v, const as_of::device& device, std::string_view label) noexcept {
    if (device.landed.empty() || !device.profile.resolved()) return label;
    const auto labels = v.profile[static_cast<std::size_t>(device.profile.at)].references;
    for (std::size_t i = 0; i < labels.size() && i < device.landed.size(); ++i)
        if (labels[i] == label) return device.landed[i];
    return label;
}

std::string listed(const std::vector<std::string>& words) {
    std::string out;
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (i > 0) out += i + 1 == words.size() ? " and " : ", ";
        out += words[i];
    }
    return out;
}

std::optional<Rational> sum(const Rational& a, const Rational& b) noexcept {
    try {
        return a + b;
    } catch (const Failure&) {
        return std::nullopt;
    }
}

}  // namespace bln::rules
