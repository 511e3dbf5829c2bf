// Every conductor and every voltage belongs to one service.

#include <algorithm>

#include "rules/context.hpp"
#include "rules/rules.hpp"
#include "rules/verdicts.hpp"
#include "site/topology.hpp"

namespace bln::rules {
namespace {

bool serves(const as_of::service& service, Conductor conductor) {
    if (conductor == Conductor::G) return true;
    if (conductor == Conductor::N) return has_neutral(service);
    return service_phases(service).has(conductor);
}

/// "A", "A and B", "A, B and C", with N where there is one.
std::string conductors_of(const as_of::service& service) {
    std::vector<std::string> words;
    const ServicePhases phases = service_phases(service);
    for (std::uint8_t i = 0; i < phases.count; ++i) words.emplace_back(word_of(phases.phase[i]));
    if (has_neutral(service)) words.emplace_back("N");
    return listed(words);
}

const as_of::service* known_service(const View& v, const Ref& ref, Verdicts& out) {
    if (!ref.resolved()) return nullptr;
    const auto at = static_cast<std::size_t>(ref.at);
    if (v.service[at].kind != ServiceKind::unknown) return &v.service[at];
    out.lacks(Kind::service, at, field_of::service::kind);
    return nullptr;
}

void say(Verdicts& out, Kind kind, std::string_view id, std::string_view field, const as_of::service& service,
         std::string_view what, std::string_view conductor) {
    Finding& f = out.wrong();
    f.about(kind, id).about(Kind::service, service.id);
    f.discriminator = std::string(field);
    f.word("kind", info(kind).name).word("what", what).word("conductor", conductor);
    f.word("service_kind", word_of(service.kind)).word("conductors", conductors_of(service));
    f.at(pointer_to(kind, id, field));
}

void look_at_pattern(Verdicts& out, Kind kind, std::string_view id, std::string_view field, std::string_view pattern,
                     const as_of::service& service) {
    for (const char& letter : pattern) {
        if (service_phases(service).has(conductor_of({&letter, 1}))) continue;
        say(out, kind, id, field, service, pattern, {&letter, 1});
        return;
    }
    out.right();
}

void look_at_channel(const View& v, std::size_t at, Verdicts& out) {
    const auto& channel = v.channel[at];
    if (!channel.device.resolved()) return;
    const auto device_at = static_cast<std::size_t>(channel.device.at);
    const auto& device = v.device[device_at];
    if (!device.service.given()) {
        out.lacks(Kind::device, device_at, field_of::device::service);
        return;
    }
    const as_of::service* service = known_service(v, device.service, out);
    if (service == nullptr) return;
    if (channel.reference == Reference::unknown) {
        out.lacks(Kind::channel, at, field_of::channel::reference);
        return;
    }
    const std::string_view reference = word_of(channel.reference);
    for (const std::string_view label : {reference.substr(0, 1), reference.substr(2)}) {
        if (label == "star") continue;
        const std::string_view conductor = landed_on(v, device, label);
        if (conductor == "none" || serves(*service, conductor_of(conductor))) continue;
        say(out, Kind::channel, channel.id, "reference", *service, reference,
            conductor == label ? std::string(label)
                               : std::string(label) + " (landed on " + std::string(conductor) + ")");
        return;
    }
    out.right();
}

}  // namespace

void phase_not_in_service(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t i : out.over(Kind::panel)) {
        if (v.panel[i].bus.empty()) continue;
        if (const as_of::service* s = known_service(v, v.panel[i].service, out))
            look_at_pattern(out, Kind::panel, v.panel[i].id, "bus", v.panel[i].bus, *s);
    }
    for (const std::uint32_t i : out.over(Kind::circuit)) {
        if (v.circuit[i].phases.empty()) continue;
        const ServiceOf service = service_of(v, static_cast<std::int32_t>(i));
        if (!service.known()) continue;
        const auto& s = v.service[static_cast<std::size_t>(service.at)];
        if (s.kind == ServiceKind::unknown)
            out.lacks(Kind::service, static_cast<std::size_t>(service.at), field_of::service::kind);
        else
            look_at_pattern(out, Kind::circuit, v.circuit[i].id, "phases", v.circuit[i].phases, s);
    }
    for (const std::uint32_t i : out.over(Kind::circuit)) {
        if (!v.circuit[i].neutral || !*v.circuit[i].neutral) continue;
        const ServiceOf service = service_of(v, static_cast<std::int32_t>(i));
        if (!service.known()) continue;
        const auto& s = v.service[static_cast<std::size_t>(service.at)];
        if (s.kind == ServiceKind::unknown) continue;
        if (has_neutral(s))
            out.right();
        else
            say(out, Kind::circuit, v.circuit[i].id, "neutral", s, "a neutral", "N");
    }
    for (const std::uint32_t i : out.over(Kind::channel))
        if (!c.channel_uses[i].empty()) look_at_channel(v, i, out);
}

void terminal_not_landed(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t i : out.over(Kind::channel)) {
        const auto& channel = v.channel[i];
        if (!channel.device.resolved() || channel.reference == Reference::unknown || c.channel_uses[i].empty())
            continue;
        const auto& device = v.device[static_cast<std::size_t>(channel.device.at)];
        const std::string_view label = word_of(channel.reference).substr(0, 1);
        if (landed_on(v, device, label) != "none") {
            out.right();
            continue;
        }
        out.wrong()
            .about(Kind::channel, channel.id)
            .about(Kind::device, device.id)
            .word("reference", word_of(channel.reference))
            .word("terminal", label)
            .at(pointer_to(Kind::device, device.id, "landed"));
    }
}

void landing_contradiction(const Context& c, Verdicts& out) {
    const View& v = c.view;
    const auto labels_of = [&](const as_of::device& d) {
        return d.profile.resolved() ? v.profile[static_cast<std::size_t>(d.profile.at)].references
                                    : std::span<const std::string_view>{};
    };
    const auto wrong = [&](Kind kind, std::string_view id, std::string_view field, std::string_view why,
                           std::string_view what) {
        Finding& f = out.wrong();
        f.about(kind, id);
        f.discriminator = std::string(why);
        f.word("kind", info(kind).name).word("why", why).word("what", what).at(pointer_to(kind, id, field));
    };
    for (const std::uint32_t at : out.over(Kind::device)) {
        const as_of::device& d = v.device[at];
        if (d.landed.empty()) continue;
        const auto labels = labels_of(d);
        const auto odd = std::find_if(d.landed.begin(), d.landed.end(), [](std::string_view word) {
            return word != "none" && conductor_of(word) == Conductor::none;
        });
        if (odd != d.landed.end())
            wrong(Kind::device, d.id, "landed", "no conductor has this name", *odd);
        else if (!labels.empty() && labels.size() != d.landed.size())
            wrong(Kind::device, d.id, "landed", "not one entry for each voltage terminal of the profile",
                  std::to_string(d.landed.size()) + " entries, " + std::to_string(labels.size()) + " terminals");
        else
            out.right();
    }
    for (const std::uint32_t i : out.over(Kind::channel)) {
        const auto& channel = v.channel[i];
        if (!channel.device.resolved() || channel.reference == Reference::unknown) continue;
        const auto labels = labels_of(v.device[static_cast<std::size_t>(channel.device.at)]);
        if (labels.empty()) continue;
        const std::string_view word = word_of(channel.reference);
        std::string_view absent;
        for (const std::string_view label : {word.substr(0, 1), word.substr(2)})
            if (label != "star" && std::find(labels.begin(), labels.end(), label) == labels.end()) absent = label;
        if (absent.empty())
            out.right();
        else
            wrong(Kind::channel, channel.id, "reference", "the device has no such voltage terminal", absent);
    }
}

// A voltage of one service times a current of another is not a power.
void reference_from_another_service(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t i : out.over(Kind::channel)) {
        const auto& channel = v.channel[i];
        if (!channel.device.resolved()) continue;
        const auto& device = v.device[static_cast<std::size_t>(channel.device.at)];
        if (!device.service.resolved()) {
            if (!device.service.given() && !channel.cts.empty())
                out.lacks(Kind::device, static_cast<std::size_t>(channel.device.at), field_of::device::service);
            continue;
        }
        bool seen = false;
        bool good = true;
        for (const Term& t : channel.cts) {
            if (!t.ref.resolved() || !good) continue;
            for (const Pass& p : v.ct[static_cast<std::size_t>(t.ref.at)].passes) {
                if (!p.circuit.resolved()) continue;
                const ServiceOf service = service_of(v, p.circuit.at);
                if (service.gap == Gap::panel_absent)
                    out.lacks(Kind::circuit, static_cast<std::size_t>(p.circuit.at), field_of::circuit::panel);
                if (service.gap == Gap::service_absent)
                    out.lacks(Kind::panel,
                              static_cast<std::size_t>(v.circuit[static_cast<std::size_t>(p.circuit.at)].panel.at),
                              field_of::panel::service);
                if (!service.known()) continue;
                seen = true;
                if (service.at == device.service.at) continue;
                good = false;
                out.wrong()
                    .about(Kind::channel, channel.id)
                    .about(Kind::device, device.id)
                    .about(Kind::circuit, p.circuit.id)
                    .word("measured", device.service.id)
                    .word("expected", v.service[static_cast<std::size_t>(service.at)].id)
                    .at(pointer_to(Kind::device, device.id, "service"));
                break;
            }
        }
        if (seen && good) out.right();
    }
}

}  // namespace bln::rules
