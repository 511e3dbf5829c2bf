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

std::vector<std::int32_t> feeders_of(const View& v) {
    std::vector<std::int32_t> out(v.circuit.size(), -1);
    for (std::size_t i = 0; i < out.size(); ++i) {
        const Ref& panel = v.circuit[i].panel;
        if (!panel.resolved()) continue;
        const std::int32_t from = v.panel[static_cast<std::size_t>(panel.at)].fed_from.at;
        if (from != static_cast<std::int32_t>(i)) out[i] = from;
    }
    return out;
}

}  // namespace

Context::Context(const View& v, const Policy& p, const Progress& progress)
    : view(v),
      policy(p),
      channel_uses(uses(v)),
      ct_channels(wired(v)),
      circuit_cts(through(v)),
      circuit_points(listing(v)),
      feeders(feeders_of(v)) {
    constexpr std::uint32_t often = 256;
    diagnosis.reserve(v.point.size());
    for (std::uint32_t i = 0; i < v.point.size(); ++i) {
        if (i % often == 0) progress.at(i, v.point.size());
        diagnosis.push_back(diagnose(*this, i));
    }
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

Rational Context::share_of(std::size_t point) const noexcept {
    const auto elements = view.point[point].elements;
    if (elements.empty()) return 1;
    Rational most = elements.front().weight;
    for (const Term& t : elements)
        if (most < t.weight) most = t.weight;
    return most;
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
