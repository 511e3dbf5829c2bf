// Who scales, what protects, and whether voltages fit: the device as it was set up and connected.
#include <cmath>
#include <optional>

#include "rules/context.hpp"
#include "rules/rules.hpp"
#include "rules/verdicts.hpp"
#include "site/topology.hpp"

namespace bln::rules {
namespace {

struct Volts {
    std::optional<double> ln, ll;
};

/// Nominal voltages of a service; one follows from the other.
Volts volts_of(const as_of::service& s) {
    Volts out{s.volts_ln, s.volts_ll};
    double ratio = 0;
    switch (s.kind) {
        case ServiceKind::two_legs_of_wye:
        case ServiceKind::four_wire_wye:
            ratio = std::sqrt(3.0);
            break;
        case ServiceKind::single_phase_three_wire:
        case ServiceKind::high_leg_delta:
            ratio = 2;
            break;
        default:
            return out;
    }
    if (!out.ll && out.ln) out.ll = *out.ln * ratio;
    if (!out.ln && out.ll) out.ln = *out.ll / ratio;
    return out;
}

std::optional<double> nominal(const as_of::service& s, std::string_view plus, std::string_view minus) {
    const Volts volts = volts_of(s);
    const Conductor from = conductor_of(plus);
    if (minus == "star") {
        if (volts.ll) return *volts.ll / std::sqrt(3.0);
        return std::nullopt;
    }
    const Conductor to = conductor_of(minus);
    if (to == Conductor::N || (to == Conductor::G && has_neutral(s))) {
        if (!volts.ln) return std::nullopt;
        return from == high_leg(s) ? *volts.ln * std::sqrt(3.0) : *volts.ln;
    }
    if (to == Conductor::G) {
        const Conductor corner = grounded_phase(s);
        if (corner == Conductor::none) return std::nullopt;
        if (from == corner) return 0.0;
        return volts.ll;
    }
    if (from == Conductor::none || to == Conductor::none) return std::nullopt;
    return volts.ll;
}

}  // namespace

void service_voltages_contradict(const Context& c, Verdicts& out) {
    for (const std::uint32_t i : out.over(Kind::service)) {
        const as_of::service& s = c.view.service[i];
        double ratio = 0;
        if (s.kind == ServiceKind::two_legs_of_wye || s.kind == ServiceKind::four_wire_wye) ratio = std::sqrt(3.0);
        if (s.kind == ServiceKind::single_phase_three_wire || s.kind == ServiceKind::high_leg_delta) ratio = 2;
        if (ratio == 0 || !s.volts_ln || !s.volts_ll) continue;
        constexpr double rounded = 0.02;  // nominal voltages are rounded: 230/400, 347/600
        if (std::abs(*s.volts_ll / *s.volts_ln / ratio - 1) <= rounded) {
            out.right();
            continue;
        }
        out.wrong()
            .about(Kind::service, s.id)
            .number("measured", *s.volts_ll, "V")
            .number("expected", *s.volts_ln * ratio, "V")
            .number("volts_ln", *s.volts_ln, "V")
            .word("service_kind", word_of(s.kind))
            .at(pointer_to(Kind::service, s.id, "volts_ll"));
    }
}

void reference_out_of_range(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t i : out.over(Kind::channel)) {
        const as_of::channel& x = v.channel[i];
        const as_of::profile* p = profile_of(v, x);
        if (p == nullptr || x.reference == Reference::unknown) continue;
        const auto& device = v.device[static_cast<std::size_t>(x.device.at)];
        if (!device.service.resolved()) continue;
        const auto at = static_cast<std::size_t>(p - v.profile.data());
        if (!p->volts_ln_min || !p->volts_ln_max) {
            if (!p->volts_ln_min) out.lacks(Kind::profile, at, field_of::profile::volts_ln_min);
            if (!p->volts_ln_max) out.lacks(Kind::profile, at, field_of::profile::volts_ln_max);
            continue;
        }
        const std::string_view word = word_of(x.reference);
        const std::string_view minus = word.substr(2);
        const auto volts =
            nominal(v.service[static_cast<std::size_t>(device.service.at)], landed_on(v, device, word.substr(0, 1)),
                    minus == "star" ? minus : landed_on(v, device, minus));
        if (!volts || *volts == 0) {
            out.skip();
            continue;
        }
        if (*volts >= *p->volts_ln_min && *volts <= *p->volts_ln_max) {
            out.right();
            continue;
        }
        out.wrong()
            .about(Kind::channel, x.id)
            .about(Kind::device, device.id)
            .word("reference", word)
            .number("measured", *volts, "V")
            .number("least", *p->volts_ln_min, "V")
            .number("greatest", *p->volts_ln_max, "V")
            .at(pointer_to(Kind::channel, x.id, "reference"));
    }
}

// A ratio is applied once: by the device, or by whoever reads it.
void scaled_twice(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t i : out.over(Kind::channel)) {
        const as_of::channel& x = v.channel[i];
        if (!x.device.resolved() || c.channel_uses[i].empty()) continue;
        const auto at = static_cast<std::size_t>(x.device.at);
        const ScaledBy by = v.device[at].scaled_by;
        if (by == ScaledBy::unknown) {
            out.lacks(Kind::device, at, field_of::device::scaled_by);
            continue;
        }
        const bool outside = x.register_factor && !(*x.register_factor == Rational(1));
        if (by == ScaledBy::head_end || by == ScaledBy::billing) {
            if (!x.register_factor) {
                out.lacks(Kind::channel, i, field_of::channel::register_factor);
                continue;
            }
        }
        if (by != ScaledBy::device || !outside) {
            out.right();
            continue;
        }
        out.wrong()
            .about(Kind::channel, x.id)
            .about(Kind::device, v.device[at].id)
            .word("factor", x.register_factor->text())
            .at(pointer_to(Kind::channel, x.id, "register_factor"));
    }
}

void scaled_by_nobody(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t d : out.over(Kind::device)) {
        if (v.device[d].scaled_by == ScaledBy::unknown) continue;
        std::string_view point;
        for (const std::uint32_t i : c.device_channels[d])
            for (const Use& u : c.channel_uses[i])
                if (point.empty() && c.bills(u.point)) point = v.point[u.point].id;
        if (point.empty()) continue;
        if (v.device[d].scaled_by != ScaledBy::none) {
            out.right();
            continue;
        }
        out.wrong()
            .about(Kind::device, v.device[d].id)
            .about(Kind::point, point)
            .at(pointer_to(Kind::device, v.device[d].id, "scaled_by"));
    }
}

void voltage_leads_unprotected(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t d : out.over(Kind::device)) {
        if (c.device_channels[d].empty()) continue;
        if (!v.device[d].leads_protected)
            out.lacks(Kind::device, d, field_of::device::leads_protected);
        else if (*v.device[d].leads_protected)
            out.right();
        else
            out.wrong()
                .about(Kind::device, v.device[d].id)
                .at(pointer_to(Kind::device, v.device[d].id, "leads_protected"));
    }
}

}  // namespace bln::rules
