#include "rules/gaps.hpp"

#include "rules/context.hpp"
#include "rules/verdicts.hpp"

namespace bln::rules {
namespace {

void tell_circuit(const View& v, std::size_t circuit, Gap gap, Verdicts& out) {
    const Ref panel = v.circuit[circuit].panel;
    const auto at = static_cast<std::size_t>(panel.at);
    switch (gap) {
        case Gap::panel_absent:
            return out.lacks(Kind::circuit, circuit, field_of::circuit::panel);
        case Gap::service_absent:
            return out.lacks(Kind::panel, at, field_of::panel::service);
        case Gap::kind_absent:
            return out.lacks(Kind::service, static_cast<std::size_t>(v.panel[at].service.at), field_of::service::kind);
        case Gap::poles_absent:
            return out.lacks(Kind::circuit, circuit, field_of::circuit::spaces);
        default:
            return out.skip();
    }
}

void tell_direction(const View& v, std::size_t ct, Verdicts& out) {
    const Ref type = v.ct[ct].type;
    if (!type.given()) return out.lacks(Kind::ct, ct, field_of::ct::type);
    if (v.ct[ct].mark_faces == Side::unknown) out.lacks(Kind::ct, ct, field_of::ct::mark_faces);
    if (type.resolved() && v.ct_type[static_cast<std::size_t>(type.at)].mark_faces == Side::unknown)
        out.lacks(Kind::ct_type, static_cast<std::size_t>(type.at), field_of::ct_type::mark_faces);
}

void tell_ratio(const View& v, std::size_t at, Verdicts& out) {
    const auto& channel = v.channel[at];
    if (!channel.primary_amps) out.lacks(Kind::channel, at, field_of::channel::primary_amps);
    if (!channel.secondary) out.lacks(Kind::channel, at, field_of::channel::secondary);
    for (const Term& t : channel.cts) {
        if (!t.ref.resolved()) continue;
        const Ref type = v.ct[static_cast<std::size_t>(t.ref.at)].type;
        if (!type.given()) out.lacks(Kind::ct, static_cast<std::size_t>(t.ref.at), field_of::ct::type);
        if (!type.resolved()) continue;
        const auto type_at = static_cast<std::size_t>(type.at);
        if (!v.ct_type[type_at].primary_amps) out.lacks(Kind::ct_type, type_at, field_of::ct_type::primary_amps);
        if (!v.ct_type[type_at].secondary) out.lacks(Kind::ct_type, type_at, field_of::ct_type::secondary);
    }
}

}  // namespace

void tell_gap(const Context& context, const FormNote& note, Verdicts& out) {
    const View& v = context.view;
    const std::int32_t found = v.model().find(note.kind, note.id);
    if (found < 0) return out.skip();
    const auto at = static_cast<std::size_t>(found);
    switch (note.code) {
        case FormNoteCode::service_unknown:
        case FormNoteCode::phase_unknown:
            return tell_circuit(v, at, note.gap, out);
        case FormNoteCode::ct_direction_assumed:
            return tell_direction(v, at, out);
        case FormNoteCode::ratio_assumed:
            return tell_ratio(v, at, out);
        case FormNoteCode::no_circuits:
            return out.lacks(Kind::point, at, field_of::point::circuits);
        case FormNoteCode::no_elements:
            return out.lacks(Kind::point, at, field_of::point::elements);
        case FormNoteCode::neutral_assumed:
            return out.lacks(Kind::circuit, at, field_of::circuit::neutral);
        case FormNoteCode::device_unknown:
            if (v.channel[at].device.given()) return out.skip();
            return out.lacks(Kind::channel, at, field_of::channel::device);
        case FormNoteCode::device_service_unknown:
        case FormNoteCode::device_service_assumed:
            if (v.device[at].service.given()) return out.skip();
            return out.lacks(Kind::device, at, field_of::device::service);
        case FormNoteCode::reference_unknown:
            return out.lacks(Kind::channel, at, field_of::channel::reference);
        case FormNoteCode::cts_unknown:
            return out.lacks(Kind::channel, at, field_of::channel::cts);
        case FormNoteCode::passes_unknown:
        case FormNoteCode::pass_pole_unknown:
            return out.lacks(Kind::ct, at, field_of::ct::passes);
        default:
            return out.skip();
    }
}

}  // namespace bln::rules
