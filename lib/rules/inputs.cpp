// Channels against the devices whose inputs they are.
#include <algorithm>
#include <cmath>

#include "rules/context.hpp"
#include "rules/policy.hpp"
#include "rules/rules.hpp"
#include "rules/verdicts.hpp"

namespace bln::rules {
namespace {

/// The profile of a channel's device; tells what is missing on the way.
const as_of::profile* known_profile(const View& v, std::uint32_t channel, Verdicts& out) {
    const auto& x = v.channel[channel];
    if (!x.device.resolved()) {
        if (!x.device.given()) out.lacks(Kind::channel, channel, field_of::channel::device);
        return nullptr;
    }
    const auto device = static_cast<std::size_t>(x.device.at);
    if (!v.device[device].profile.given()) out.lacks(Kind::device, device, field_of::device::profile);
    return profile_of(v, x);
}
std::size_t profile_at(const View& v, const as_of::profile* p) {
    return static_cast<std::size_t>(p - v.profile.data());
}

/// Connector group of an input, from 0; nothing when it is beyond the last.
std::optional<std::size_t> group_of(const as_of::profile& p, std::int64_t input) {
    std::int64_t last = 0;
    for (std::size_t g = 0; g < p.groups.size(); ++g) {
        last += p.groups[g];
        if (input <= last) return g;
    }
    return std::nullopt;
}

}  // namespace

void input_beyond_device(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t i : out.over(Kind::channel)) {
        if (!v.channel[i].input) continue;
        const as_of::profile* p = known_profile(v, i, out);
        if (p == nullptr) continue;
        if (!p->inputs) {
            out.lacks(Kind::profile, profile_at(v, p), field_of::profile::inputs);
            continue;
        }
        if (*v.channel[i].input <= *p->inputs) {
            out.right();
            continue;
        }
        out.wrong()
            .about(Kind::channel, v.channel[i].id)
            .about(Kind::device, v.channel[i].device.id)
            .number("measured", static_cast<double>(*v.channel[i].input), "")
            .number("limit", static_cast<double>(*p->inputs), "")
            .at(pointer_to(Kind::channel, v.channel[i].id, "input"));
    }
}

void groups_contradict(const Context& c, Verdicts& out) {
    for (const std::uint32_t i : out.over(Kind::profile)) {
        const as_of::profile& p = c.view.profile[i];
        if (p.groups.empty()) continue;
        if (!p.inputs) {
            out.lacks(Kind::profile, i, field_of::profile::inputs);
            continue;
        }
        std::int64_t sum = 0;
        for (const std::int64_t n : p.groups) sum += n;
        if (sum == *p.inputs) {
            out.right();
            continue;
        }
        out.wrong()
            .about(Kind::profile, p.id)
            .number("measured", static_cast<double>(sum), "")
            .number("expected", static_cast<double>(*p.inputs), "")
            .at(pointer_to(Kind::profile, p.id, "groups"));
    }
}

void output_not_for_input(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t i : out.over(Kind::channel)) {
        const auto& x = v.channel[i];
        if (x.cts.empty()) continue;
        const as_of::profile* p = known_profile(v, i, out);
        if (p == nullptr) continue;
        if (p->input_kind == Output::unknown) {
            out.lacks(Kind::profile, profile_at(v, p), field_of::profile::input_kind);
            continue;
        }
        for (const Term& t : x.cts) {
            if (!t.ref.resolved()) continue;
            const as_of::ct& ct = v.ct[static_cast<std::size_t>(t.ref.at)];
            const as_of::ct_type* type = type_of(v, ct);
            if (type == nullptr) {
                if (!ct.type.given()) out.lacks(Kind::ct, static_cast<std::size_t>(t.ref.at), field_of::ct::type);
                continue;
            }
            if (type->output == Output::unknown) {
                out.lacks(Kind::ct_type, static_cast<std::size_t>(ct.type.at), field_of::ct_type::output);
                continue;
            }
            if (type->output == p->input_kind) {
                out.right();
                continue;
            }
            out.wrong()
                .about(Kind::channel, x.id)
                .about(Kind::ct, ct.id)
                .about(Kind::device, x.device.id)
                .word("measured", word_of(type->output))
                .word("expected", word_of(p->input_kind))
                .at(pointer_to(Kind::channel, x.id, "cts"));
        }
    }
}

// What the CTs give when the breaker carries its rated current, against the greatest input of the device. Several CTs
// on one input add up.
void full_scale_exceeded(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t i : out.over(Kind::channel)) {
        const auto& x = v.channel[i];
        const as_of::profile* p = x.cts.empty() ? nullptr : profile_of(v, x);
        if (p == nullptr) continue;
        if (!p->full_scale) {
            out.lacks(Kind::profile, profile_at(v, p), field_of::profile::full_scale);
            continue;
        }
        double sum = 0;
        bool known = true;
        for (const Term& t : x.cts) {
            const as_of::ct* ct = t.ref.resolved() ? &v.ct[static_cast<std::size_t>(t.ref.at)] : nullptr;
            const as_of::ct_type* type = ct == nullptr ? nullptr : type_of(v, *ct);
            if (type == nullptr || type->output != p->input_kind || !type->primary_amps || !type->secondary) {
                known = false;
                break;
            }
            double amps = 0;
            for (const Pass& pass : ct->passes) {
                if (!pass.circuit.resolved()) continue;
                const auto at = static_cast<std::size_t>(pass.circuit.at);
                if (!v.circuit[at].breaker_amps) {
                    out.lacks(Kind::circuit, at, field_of::circuit::breaker_amps);
                    known = false;
                    break;
                }
                amps = std::max(amps, *v.circuit[at].breaker_amps * std::abs(pass.turns.real()));
            }
            sum += amps * static_cast<double>(*type->secondary) / static_cast<double>(*type->primary_amps);
        }
        if (!known) {
            out.skip();
            continue;
        }
        if (sum <= *p->full_scale * (1 + 1e-9)) {
            out.right();
            continue;
        }
        const std::string_view kind = p->input_kind == Output::amps        ? "A"
                                      : p->input_kind == Output::milliamps ? "mA"
                                                                           : "mV";
        out.wrong()
            .about(Kind::channel, x.id)
            .about(Kind::device, x.device.id)
            .number("measured", sum, kind)
            .number("limit", *p->full_scale, kind)
            .at(pointer_to(Kind::channel, x.id, "cts"));
    }
}

// Devices sample at their own instants: what belongs together is measured by one.
void point_over_devices(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t p : out.over(Kind::point)) {
        std::vector<std::string> devices;
        for (const std::uint32_t i : c.channels_of(p))
            if (v.channel[i].device.resolved() &&
                std::find(devices.begin(), devices.end(), v.channel[i].device.id) == devices.end())
                devices.emplace_back(v.channel[i].device.id);
        if (devices.empty()) continue;
        if (devices.size() == 1) {
            out.right();
            continue;
        }
        out.wrong()
            .about(Kind::point, v.point[p].id)
            .word("devices", listed(devices))
            .at(pointer_to(Kind::point, v.point[p].id, "elements"));
    }
}

void point_over_groups(const Context& c, Verdicts& out) {
    if (c.policy[groups_whole] < 0.5) return;
    const View& v = c.view;
    for (const std::uint32_t p : out.over(Kind::point)) {
        std::vector<std::pair<std::int32_t, std::size_t>> seen;
        bool crosses = false;
        for (const std::uint32_t i : c.channels_of(p)) {
            const as_of::profile* profile = profile_of(v, v.channel[i]);
            if (profile == nullptr || profile->groups.empty() || !v.channel[i].input) continue;
            const auto group = group_of(*profile, *v.channel[i].input);
            if (!group) continue;
            for (const auto& [device, other] : seen)
                crosses = crosses || (device == v.channel[i].device.at && other != *group);
            seen.emplace_back(v.channel[i].device.at, *group);
        }
        if (seen.empty()) continue;
        if (!crosses) {
            out.right();
            continue;
        }
        out.wrong().about(Kind::point, v.point[p].id).at(pointer_to(Kind::point, v.point[p].id, "elements"));
    }
}

void too_few_spares(const Context& c, Verdicts& out) {
    const double wanted = c.policy[spare_percent];
    if (wanted <= 0) return;
    const View& v = c.view;
    for (const std::uint32_t d : out.over(Kind::device)) {
        const Ref& ref = v.device[d].profile;
        if (!ref.resolved() || !v.profile[static_cast<std::size_t>(ref.at)].inputs) {
            out.skip();
            continue;
        }
        const auto inputs = static_cast<double>(*v.profile[static_cast<std::size_t>(ref.at)].inputs);
        double used = 0;
        for (const std::uint32_t i : c.device_channels[d])
            used += c.channel_uses[i].empty() && v.channel[i].cts.empty() ? 0 : 1;
        const double spare = std::max(0.0, inputs - used);
        if (spare >= wanted / 100 * inputs) {
            out.right();
            continue;
        }
        Finding& f = out.wrong();
        f.about(Kind::device, v.device[d].id);
        f.number("measured", spare, "").number("of", inputs, "").number("limit", wanted, "%");
        f.source = "policy";
        f.at(pointer_to(Kind::device, v.device[d].id, "profile"));
    }
}

// A CT that is wired to a channel of no point costs money and bills nobody.
void channel_in_no_point(const Context& c, Verdicts& out) {
    for (const std::uint32_t i : out.over(Kind::channel)) {
        if (c.view.channel[i].cts.empty()) continue;
        if (!c.channel_uses[i].empty()) {
            out.right();
            continue;
        }
        out.wrong().about(Kind::channel, c.view.channel[i].id).at(pointer_to(Kind::channel, c.view.channel[i].id));
    }
}

void ct_on_no_channel(const Context& c, Verdicts& out) {
    for (const std::uint32_t i : out.over(Kind::ct)) {
        if (c.view.ct[i].passes.empty()) continue;
        if (!c.ct_channels[i].empty()) {
            out.right();
            continue;
        }
        const as_of::ct_type* type = type_of(c.view, c.view.ct[i]);
        out.wrong()
            .about(Kind::ct, c.view.ct[i].id)
            .word("output", type == nullptr ? "unknown" : word_of(type->output))
            .at(pointer_to(Kind::ct, c.view.ct[i].id));
    }
}

}  // namespace bln::rules
