// Who is billed for what.
#include <algorithm>

#include "rules/context.hpp"
#include "rules/describe.hpp"
#include "rules/rules.hpp"
#include "rules/verdicts.hpp"

namespace bln::rules {
namespace {

/// Whether each of these points has a channel of its own on the circuit.
bool each_with_its_own_channel(const Context& c, std::size_t circuit, const std::vector<std::uint32_t>& points) {
    std::vector<std::uint32_t> channels;
    for (const std::uint32_t p : points) {
        const std::size_t before = channels.size();
        for (const Through& t : c.circuit_cts[circuit])
            for (const Wired& w : c.ct_channels[t.ct])
                for (const Use& u : c.channel_uses[w.channel])
                    if (u.point == p && channels.size() == before) channels.push_back(w.channel);
        if (channels.size() == before) return false;
    }
    std::sort(channels.begin(), channels.end());
    return std::adjacent_find(channels.begin(), channels.end()) == channels.end();
}

}  // namespace

// The metering's own consumption belongs to nobody's premises unless they are common or the owner's.
void meter_supply_billed(const Context& c, Verdicts& out) {
    const Lists<std::uint32_t>& feeds = c.circuit_devices;
    for (const std::uint32_t i : out.over(Kind::circuit)) {
        const auto& circuit = c.view.circuit[i];
        if (circuit.role != Role::meter_supply && feeds[i].empty()) continue;
        bool good = true;
        for (const std::uint32_t p : c.circuit_points[i]) {
            const auto& point = c.view.point[p];
            if (!c.bills(p) || !point.premises.resolved()) continue;
            const auto at = static_cast<std::size_t>(point.premises.at);
            const Occupancy who = c.view.premises[at].occupancy;
            if (who == Occupancy::common || who == Occupancy::owner || who == Occupancy::vacant) continue;
            if (who == Occupancy::unknown && circuit.role != Role::meter_supply) {
                good = false;
                out.lacks(Kind::premises, at, field_of::premises::occupancy);
                continue;
            }
            good = false;
            Finding& f = out.wrong();
            f.about(Kind::circuit, circuit.id).about(Kind::point, point.id).about(Kind::premises, point.premises.id);
            std::vector<std::string> devices;
            for (const std::uint32_t d : feeds[i]) devices.emplace_back(c.view.device[d].id);
            f.word("feeds", devices.empty()       ? "the metering"
                            : devices.size() == 1 ? "device " + listed(devices)
                                                  : "devices " + listed(devices));
            f.at(pointer_to(Kind::point, point.id, "circuits"));
        }
        if (good) out.right();
    }
}

void point_without_premises(const Context& c, Verdicts& out) {
    for (const std::uint32_t p : out.over(Kind::point)) {
        if (!c.bills(p)) continue;
        const auto& point = c.view.point[p];
        // A reference that leads nowhere is the finding of another rule.
        if (point.premises.given()) {
            out.right();
            continue;
        }
        out.wrong().about(Kind::point, point.id).at(pointer_to(Kind::point, point.id));
    }
}

// One circuit in two billing points bills its energy twice, unless the points divide it.
void circuit_in_two_points(const Context& c, Verdicts& out) {
    for (const std::uint32_t i : out.over(Kind::circuit)) {
        Parts parts;
        for (const std::uint32_t p : c.circuit_points[i]) {
            if (!c.bills(p)) continue;
            parts.points.push_back(p);
            if (parts.total) parts.total = sum(*parts.total, c.share_of(p));
        }
        if (parts.points.empty()) continue;
        // Two CTs on one pole: that is another rule's finding, and says it better.
        if (parts.whole() || each_with_its_own_channel(c, i, parts.points)) {
            out.right();
            continue;
        }
        Finding& f = parts.total ? out.wrong() : out.undecided();
        f.about(Kind::circuit, c.view.circuit[i].id);
        say_parts(c, parts, f);
        f.at(pointer_to(Kind::point, c.view.point[parts.points.back()].id, "circuits"));
    }
}

// What all share is paid by the owner or divided by a rule that everybody knows, not metered into one bill.
void common_billed_to_tenant(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t i : out.over(Kind::circuit)) {
        if (v.circuit[i].role != Role::common) continue;
        bool good = true;
        for (const std::uint32_t p : c.circuit_points[i]) {
            const Ref& premises = v.point[p].premises;
            if (!c.bills(p) || !premises.resolved()) continue;
            const auto at = static_cast<std::size_t>(premises.at);
            if (v.premises[at].occupancy == Occupancy::unknown)
                out.lacks(Kind::premises, at, field_of::premises::occupancy);
            if (v.premises[at].occupancy != Occupancy::tenant) continue;
            good = false;
            out.wrong()
                .about(Kind::circuit, v.circuit[i].id)
                .about(Kind::point, v.point[p].id)
                .about(Kind::premises, premises.id)
                .at(pointer_to(Kind::point, v.point[p].id, "premises"));
        }
        if (good && !c.circuit_points[i].empty()) out.right();
    }
}

void premises_without_point(const Context& c, Verdicts& out) {
    for (const std::uint32_t i : out.over(Kind::premises)) {
        if (c.view.premises[i].occupancy != Occupancy::tenant) continue;
        const auto points = c.premises_points[i];
        if (std::any_of(points.begin(), points.end(), [&](std::uint32_t p) { return c.bills(p); })) {
            out.right();
            continue;
        }
        out.wrong().about(Kind::premises, c.view.premises[i].id).at(pointer_to(Kind::premises, c.view.premises[i].id));
    }
}

}  // namespace bln::rules
