#include "rules/reach.hpp"

#include <algorithm>

namespace bln::rules {
namespace {

std::uint32_t index(const Ref& r) noexcept { return static_cast<std::uint32_t>(r.at); }

}  // namespace

void Reach::circuit(std::uint32_t at) {
    add(Kind::circuit, at);
    if (v_.circuit[at].panel.resolved()) add(Kind::panel, index(v_.circuit[at].panel));
    for (const std::uint32_t p : c_.circuit_points[at]) point(p);
    for (const Through& t : c_.circuit_cts[at]) {
        add(Kind::ct, t.ct);
        for (const Wired& w : c_.ct_channels[t.ct]) {
            add(Kind::channel, w.channel);
            for (const Use& u : c_.channel_uses[w.channel]) add(Kind::point, u.point);
        }
    }
    behind(at);
}

/// Breakers and sums behind a feeder look upstream.
void Reach::behind(std::uint32_t circuit) {
    for (const std::uint32_t p : c_.circuit_panels[circuit]) {
        add(Kind::panel, p);
        for (const std::uint32_t i : c_.panel_circuits[p]) add(Kind::circuit, i);
    }
}

void Reach::point(std::uint32_t at) {
    add(Kind::point, at);
    const as_of::point& p = v_.point[at];
    if (p.premises.resolved()) add(Kind::premises, index(p.premises));
    for (const Ref& i : p.circuits)
        if (i.resolved()) {
            add(Kind::circuit, index(i));
            behind(index(i));
        }
    for (const std::uint32_t k : c_.channels_of(at)) {
        add(Kind::channel, k);
        if (v_.channel[k].device.resolved()) add(Kind::device, index(v_.channel[k].device));
        for (const Term& t : v_.channel[k].cts) {
            if (!t.ref.resolved()) continue;
            add(Kind::ct, index(t.ref));
            for (const Pass& pass : v_.ct[static_cast<std::size_t>(t.ref.at)].passes)
                if (pass.circuit.resolved()) add(Kind::circuit, index(pass.circuit));
        }
    }
}

void Reach::channel(std::uint32_t at) {
    add(Kind::channel, at);
    const as_of::channel& x = v_.channel[at];
    if (x.device.resolved()) add(Kind::device, index(x.device));
    for (const Term& t : x.cts) {
        if (!t.ref.resolved()) continue;
        add(Kind::ct, index(t.ref));
        for (const Pass& pass : v_.ct[static_cast<std::size_t>(t.ref.at)].passes) {
            if (!pass.circuit.resolved()) continue;
            add(Kind::circuit, index(pass.circuit));
            for (const std::uint32_t p : c_.circuit_points[static_cast<std::size_t>(pass.circuit.at)])
                add(Kind::point, p);
        }
    }
    for (const Use& u : c_.channel_uses[at]) point(u.point);
}

void Reach::ct(std::uint32_t at) {
    add(Kind::ct, at);
    for (const Wired& w : c_.ct_channels[at]) channel(w.channel);
    for (const Pass& pass : v_.ct[at].passes) {
        if (!pass.circuit.resolved()) continue;
        add(Kind::circuit, index(pass.circuit));
        for (const std::uint32_t p : c_.circuit_points[static_cast<std::size_t>(pass.circuit.at)]) add(Kind::point, p);
    }
}

void Reach::device(std::uint32_t at) {
    add(Kind::device, at);
    if (v_.device[at].supply.resolved()) add(Kind::circuit, index(v_.device[at].supply));
    for (const std::uint32_t k : c_.device_channels[at]) channel(k);
}

void Reach::panel(std::uint32_t at) {
    add(Kind::panel, at);
    for (const std::uint32_t i : c_.panel_circuits[at]) circuit(i);
}

void Reach::sums() {
    if (sums_) return;
    sums_ = true;
    for (std::uint32_t r = 0; r < v_.rollup.size(); ++r) add(Kind::rollup, r);
}

void Reach::changed(Kind kind, std::uint32_t at, std::size_t field) {
    add(kind, at);
    const auto is = [&](auto f) { return field == static_cast<std::size_t>(f); };
    // Equal serial numbers stand anywhere.
    const auto serials = [&](const auto& all) {
        for (std::uint32_t i = 0; i < all.size(); ++i)
            if (!all[i].serial.empty() && all[i].serial == all[at].serial) add(kind, i);
    };
    switch (kind) {
        case Kind::circuit:
            circuit(at);
            if (is(field_of::circuit::panel) || is(field_of::circuit::load)) sums();
            everything_ = everything_ || (is(field_of::circuit::panel) && !c_.circuit_panels[at].empty());
            break;
        case Kind::point:
            point(at);
            if (is(field_of::point::circuits) || is(field_of::point::elements) || is(field_of::point::use)) sums();
            break;
        case Kind::channel:
            channel(at);
            break;
        case Kind::ct:
            ct(at);
            serials(v_.ct);
            break;
        case Kind::device:
            device(at);
            serials(v_.device);
            break;
        case Kind::panel:
            panel(at);
            everything_ = everything_ || is(field_of::panel::fed_from) || is(field_of::panel::service);
            break;
        case Kind::ct_type:
            for (std::uint32_t i = 0; i < v_.ct.size(); ++i)
                if (v_.ct[i].type.at == static_cast<std::int32_t>(at)) ct(i);
            break;
        case Kind::profile:
            for (std::uint32_t i = 0; i < v_.device.size(); ++i)
                if (v_.device[i].profile.at == static_cast<std::int32_t>(at)) device(i);
            break;
        case Kind::premises:
            for (const std::uint32_t p : c_.premises_points[at]) point(p);
            break;
        case Kind::rollup:
            sums();
            for (const Term& t : v_.rollup[at].points)
                if (t.ref.resolved()) add(Kind::point, index(t.ref));
            everything_ = everything_ || is(field_of::rollup::rollups);
            break;
        case Kind::service:
            everything_ = everything_ || !is(field_of::service::name);
            break;
        case Kind::site:
        case Kind::evidence:
        case Kind::waiver:
            break;
    }
}

void Reach::named(Kind by, Kind target, std::uint32_t at) {
    switch (target) {
        case Kind::circuit:
            circuit(at);
            break;
        case Kind::channel:
            channel(at);
            break;
        case Kind::ct:
            ct(at);
            break;
        case Kind::point:
            if (by == Kind::rollup)
                add(Kind::point, at);
            else
                point(at);
            break;
        default:  // its own members do not change by being named by one more
            add(target, at);
            break;
    }
}

Some Reach::finish() {
    const auto order = [](std::vector<std::uint32_t>& list) {
        std::sort(list.begin(), list.end());
        list.erase(std::unique(list.begin(), list.end()), list.end());
    };
    std::vector<std::uint32_t>& points = out_[static_cast<std::size_t>(Kind::point)];
    order(points);
    for (bool more = true; more;) {
        const std::size_t before = points.size();
        for (std::size_t i = 0; i < before; ++i)
            for (const Term& t : v_.point[points[i]].elements) {
                if (!t.ref.resolved()) continue;
                const auto uses = c_.channel_uses[static_cast<std::size_t>(t.ref.at)];
                if (uses.size() > 1)
                    for (const Use& u : uses) points.push_back(u.point);
            }
        order(points);
        more = points.size() != before;
    }
    for (std::vector<std::uint32_t>& list : out_) order(list);
    return std::move(out_);
}

}  // namespace bln::rules
