#include "site/topology.hpp"

#include <numbers>

namespace bln {
namespace {

Conductor conductor(Phase p) noexcept {
    return p == Phase::unknown ? Conductor::none : static_cast<Conductor>(static_cast<std::int8_t>(p));
}

ServicePhases phases_of(std::initializer_list<Conductor> list) noexcept {
    ServicePhases out;
    for (const Conductor c : list) out.phase[out.count++] = c;
    return out;
}

}  // namespace

std::string_view word_of(Gap gap) noexcept {
    switch (gap) {
        case Gap::none:
            return "none";
        case Gap::panel_absent:
            return "panel-absent";
        case Gap::panel_dangling:
            return "panel-dangling";
        case Gap::service_absent:
            return "service-absent";
        case Gap::service_dangling:
            return "service-dangling";
        case Gap::kind_absent:
            return "kind-absent";
        case Gap::poles_absent:
            return "poles-absent";
        case Gap::poles_count:
            return "poles-count";
        case Gap::phases_length:
            return "phases-length";
        case Gap::space_beyond:
            return "space-beyond";
        case Gap::phase_not_served:
            return "phase-not-served";
    }
    return "none";
}

ServicePhases service_phases(const as_of::service& service) noexcept {
    using enum Conductor;
    switch (service.kind) {
        case ServiceKind::single_phase_two_wire:
            return phases_of({A});
        case ServiceKind::single_phase_three_wire:
        case ServiceKind::two_legs_of_wye:
            if (service.legs == Legs::BC) return phases_of({B, C});
            if (service.legs == Legs::CA) return phases_of({A, C});
            return phases_of({A, B});
        case ServiceKind::four_wire_wye:
        case ServiceKind::three_wire_delta:
        case ServiceKind::high_leg_delta:
        case ServiceKind::corner_grounded_delta:
            return phases_of({A, B, C});
        case ServiceKind::unknown:
            break;
    }
    return {};
}

bool has_neutral(const as_of::service& service) noexcept {
    switch (service.kind) {
        case ServiceKind::single_phase_two_wire:
        case ServiceKind::single_phase_three_wire:
        case ServiceKind::two_legs_of_wye:
        case ServiceKind::four_wire_wye:
        case ServiceKind::high_leg_delta:
            return true;
        case ServiceKind::three_wire_delta:
        case ServiceKind::corner_grounded_delta:
        case ServiceKind::unknown:
            break;
    }
    return false;
}

Conductor high_leg(const as_of::service& service) noexcept {
    if (service.kind != ServiceKind::high_leg_delta) return Conductor::none;
    return service.high_leg == Phase::unknown ? Conductor::B : conductor(service.high_leg);
}

Conductor grounded_phase(const as_of::service& service) noexcept {
    if (service.kind != ServiceKind::corner_grounded_delta) return Conductor::none;
    return service.grounded_phase == Phase::unknown ? Conductor::B : conductor(service.grounded_phase);
}

Bonding bonding(const as_of::service& service) noexcept {
    Bonding out;
    const ServicePhases phases = service_phases(service);
    if (phases.count == 0) return out;
    std::int8_t next = 0;
    for (std::uint8_t i = 0; i < phases.count; ++i) out.node[index_of(phases.phase[i])] = next++;
    std::int8_t& ground = out.node[index_of(Conductor::G)];
    if (has_neutral(service)) {
        ground = out.node[index_of(Conductor::N)] = next;
    } else if (const Conductor corner = grounded_phase(service); corner != Conductor::none) {
        ground = out.node[index_of(corner)];
    } else {
        ground = next;
    }
    return out;
}

Supply supply_of(const as_of::service& service) noexcept {
    Supply out;
    switch (service.kind) {
        case ServiceKind::single_phase_two_wire:
            out.nominal = NominalKind::single;
            break;
        case ServiceKind::single_phase_three_wire:
            out.nominal = NominalKind::centre_tap;
            break;
        case ServiceKind::two_legs_of_wye:
        case ServiceKind::four_wire_wye:
            out.nominal = NominalKind::wye;
            break;
        case ServiceKind::three_wire_delta:
        case ServiceKind::corner_grounded_delta:
            out.nominal = NominalKind::delta;
            break;
        case ServiceKind::high_leg_delta:
            out.nominal = NominalKind::high_leg;
            break;
        case ServiceKind::unknown:
            break;
    }
    out.acb = service.rotation == Rotation::ACB;
    out.high_leg = high_leg(service);
    out.reference = has_neutral(service) ? Conductor::N : grounded_phase(service);
    out.bonding = bonding(service);
    return out;
}

double unit_volts(const as_of::service& service) noexcept {
    if (service.volts_ln) return *service.volts_ln;
    if (!service.volts_ll) return 0;
    const bool halved =
        service.kind == ServiceKind::single_phase_three_wire || service.kind == ServiceKind::high_leg_delta;
    return *service.volts_ll / (halved ? 2.0 : std::numbers::sqrt3);
}

ServiceOf service_of_panel(const View& view, std::int32_t panel) noexcept {
    const Ref& service = view.panel[static_cast<std::size_t>(panel)].service;
    if (!service.given()) return {-1, Gap::service_absent};
    if (!service.resolved()) return {-1, Gap::service_dangling};
    return {service.at, Gap::none};
}

ServiceOf service_of(const View& view, std::int32_t circuit) noexcept {
    const Ref& panel = view.circuit[static_cast<std::size_t>(circuit)].panel;
    if (!panel.given()) return {-1, Gap::panel_absent};
    if (!panel.resolved()) return {-1, Gap::panel_dangling};
    return service_of_panel(view, panel.at);
}

PolePhase space_phase(const View& view, std::int32_t panel, std::int64_t space) noexcept {
    const as_of::panel& p = view.panel[static_cast<std::size_t>(panel)];
    if (space < 1 || (p.spaces && space > *p.spaces)) return {Conductor::none, Gap::space_beyond};
    const ServiceOf service = service_of_panel(view, panel);
    if (!service.known()) return {Conductor::none, service.gap};
    const ServicePhases served = service_phases(view.service[static_cast<std::size_t>(service.at)]);
    if (served.count == 0) return {Conductor::none, Gap::kind_absent};

    const bool patterned = !p.bus.empty();
    const auto period = static_cast<std::int64_t>(patterned ? p.bus.size() : served.count);
    const bool columns = p.numbering != Numbering::one_column && p.numbering != Numbering::ways;
    // Position along the bus, from 0. Within a way the spaces follow the pattern like one column.
    const std::int64_t position = columns ? (space - 1) / 2 : space - 1;
    const auto at = static_cast<std::size_t>(position % period);
    if (!patterned) return {served.phase[at], Gap::none};
    const Conductor phase = conductor_of(p.bus.substr(at, 1));
    return {phase, served.has(phase) ? Gap::none : Gap::phase_not_served};
}

std::size_t pole_count(const as_of::circuit& circuit) noexcept {
    return circuit.spaces.empty() ? circuit.phases.size() : circuit.spaces.size();
}

PolePhases pole_phases(const View& view, std::int32_t circuit) noexcept {
    const as_of::circuit& c = view.circuit[static_cast<std::size_t>(circuit)];
    PolePhases out;
    const std::size_t poles = pole_count(c);
    if (poles == 0) {
        out.gap = Gap::poles_absent;
        return out;
    }
    if (poles > out.pole.size()) {
        out.gap = Gap::poles_count;
        return out;
    }
    out.count = static_cast<std::uint8_t>(poles);

    const bool stated = !c.phases.empty();
    ServiceOf service = service_of(view, circuit);
    if (service.known() && view.service[static_cast<std::size_t>(service.at)].kind == ServiceKind::unknown)
        service = {-1, Gap::kind_absent};
    for (std::size_t i = 0; i < poles; ++i) {
        PolePhase& pole = out.pole[i];
        if (stated && c.phases.size() != poles) {
            pole.gap = Gap::phases_length;
        } else if (stated) {
            pole.phase = conductor_of(c.phases.substr(i, 1));
            // A stated phase stands on its own; a known service may still contradict it.
            if (service.known() && !service_phases(view.service[static_cast<std::size_t>(service.at)]).has(pole.phase))
                pole.gap = Gap::phase_not_served;
        } else if (!c.panel.resolved()) {
            pole.gap = c.panel.given() ? Gap::panel_dangling : Gap::panel_absent;
        } else {
            pole = space_phase(view, c.panel.at, c.spaces[i]);
        }
        if (out.gap == Gap::none) out.gap = pole.gap;
    }
    return out;
}

Answer neutral_of(const View& view, std::int32_t circuit) noexcept {
    const as_of::circuit& c = view.circuit[static_cast<std::size_t>(circuit)];
    if (c.neutral) return *c.neutral ? Answer::yes : Answer::no;
    const ServiceOf service = service_of(view, circuit);
    if (!service.known()) return Answer::unknown;
    const as_of::service& s = view.service[static_cast<std::size_t>(service.at)];
    if (s.kind == ServiceKind::unknown) return Answer::unknown;
    if (!has_neutral(s)) return Answer::no;
    return pole_count(c) == 1 ? Answer::yes : Answer::unknown;
}

}  // namespace bln
