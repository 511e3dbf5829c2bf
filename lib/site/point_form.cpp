#include "site/point_form.hpp"

#include "power/failure.hpp"

namespace bln {
namespace {

constexpr FormNoteInfo note_table[] = {
#define BLN_FORM_NOTE_ROW(name, slug, stops, doc) {slug, stops, doc},
    BLN_FORM_NOTES(BLN_FORM_NOTE_ROW)
#undef BLN_FORM_NOTE_ROW
};

/// Floating commons are shared by the channels of one device that use the same terminal.
struct Floating {
    std::int32_t device;
    std::string_view label;
    std::size_t terminal;
};

class Builder {
public:
    Builder(const View& view, const as_of::point& point, bool neutral_if_unknown)
        : view_(view), point_(point), neutral_if_unknown_(neutral_if_unknown) {}

    PointForm run() {
        if (point_.circuits.empty()) note(FormNoteCode::no_circuits, Kind::point, point_.id);
        if (!point_.has(field_of::point::elements)) note(FormNoteCode::no_elements, Kind::point, point_.id);
        for (const Ref& c : point_.circuits) {
            if (c.resolved())
                add_circuit(c.at, true);
            else
                note(FormNoteCode::circuit_dangling, Kind::circuit, c.id);
        }
        find_other_circuits();
        if (!stopped_) {
            try {
                add_conductors();
                for (const Term& t : point_.elements) add_element(t);
            } catch (const Failure&) {
                note(FormNoteCode::too_complex, Kind::point, point_.id);
            }
        }
        out_.built = !stopped_;
        return std::move(out_);
    }

private:
    struct Terminal {
        Conductor on = Conductor::none;
        bool open = false;  ///< on nothing
    };

    void note(FormNoteCode code, Kind kind, std::string_view id, Gap gap = Gap::none) {
        for (const FormNote& n : out_.notes)
            if (n.code == code && n.kind == kind && n.id == id) return;
        out_.notes.push_back({code, kind, id, gap});
        stopped_ = stopped_ || info(code).stops;
    }

    [[nodiscard]] const as_of::circuit& circuit(std::int32_t at) const {
        return view_.circuit[static_cast<std::size_t>(at)];
    }

    void add_circuit(std::int32_t at, bool counted) {
        for (const std::int32_t c : out_.circuit)
            if (c == at) return;
        out_.circuit.push_back(at);
        counted_.push_back(counted ? 1 : 0);
        const std::string_view id = circuit(at).id;
        const ServiceOf service = service_of(view_, at);
        if (!service.known()) {
            note(FormNoteCode::service_unknown, Kind::circuit, id, service.gap);
        } else if (view_.service[static_cast<std::size_t>(service.at)].kind == ServiceKind::unknown) {
            note(FormNoteCode::service_unknown, Kind::circuit, id, Gap::kind_absent);
        } else if (out_.service < 0) {
            out_.service = service.at;
        } else if (out_.service != service.at) {
            note(FormNoteCode::services_differ, Kind::circuit, id);
        }
        if (const PolePhases poles = pole_phases(view_, at); !poles.known())
            note(FormNoteCode::phase_unknown, Kind::circuit, id, poles.gap);
    }

    /// Circuits that are not the point's but whose conductors reach its CTs.
    void find_other_circuits() {
        for (const Term& element : point_.elements) {
            if (!element.ref.resolved()) continue;
            for (const Term& ct : view_.channel[static_cast<std::size_t>(element.ref.at)].cts) {
                if (!ct.ref.resolved()) continue;
                for (const Pass& pass : view_.ct[static_cast<std::size_t>(ct.ref.at)].passes) {
                    if (!pass.circuit.resolved()) {
                        note(FormNoteCode::pass_circuit_dangling, Kind::ct, ct.ref.id);
                        continue;
                    }
                    const std::size_t before = out_.circuit.size();
                    add_circuit(pass.circuit.at, false);
                    if (out_.circuit.size() != before)
                        note(FormNoteCode::other_circuit, Kind::circuit, circuit(pass.circuit.at).id);
                }
            }
        }
    }

    void add_conductor(Conductor on, std::int32_t circuit, int pole) {
        out_.form.add_conductor(on);
        out_.origin.push_back({circuit, pole});
    }

    void add_conductors() {
        const as_of::service& service = view_.service[static_cast<std::size_t>(out_.service)];
        out_.form = Form(supply_of(service));
        for (std::size_t load = 0; load < out_.circuit.size(); ++load) {
            const std::int32_t at = out_.circuit[load];
            out_.form.add_load(counted_[load] != 0);
            const PolePhases poles = pole_phases(view_, at);
            for (std::uint8_t p = 0; p < poles.count; ++p) add_conductor(poles.pole[p].phase, at, p + 1);
            Answer neutral = neutral_of(view_, at);
            if (neutral == Answer::unknown) {
                note(FormNoteCode::neutral_assumed, Kind::circuit, circuit(at).id);
                neutral = neutral_if_unknown_ ? Answer::yes : Answer::no;
            }
            if (neutral == Answer::yes && !has_neutral(service)) {
                note(FormNoteCode::neutral_not_served, Kind::circuit, circuit(at).id);
            } else if (neutral == Answer::yes) {
                add_conductor(Conductor::N, at, 0);
            } else if (poles.count == 1) {
                if (const Conductor corner = grounded_phase(service); corner != Conductor::none) {
                    note(FormNoteCode::return_grounded_phase, Kind::circuit, circuit(at).id);
                    add_conductor(corner, at, -1);
                } else {
                    note(FormNoteCode::return_unknown, Kind::circuit, circuit(at).id);
                }
            }
        }
    }

    void add_element(const Term& term) {
        if (!term.ref.resolved()) return note(FormNoteCode::channel_dangling, Kind::channel, term.ref.id);
        const as_of::channel& channel = view_.channel[static_cast<std::size_t>(term.ref.at)];
        VoltageRow volts{};
        voltages(channel, volts);
        amps_.clear();
        amps_.resize(out_.form.conductors().size());
        currents(channel);
        if (stopped_) return;
        Rational weight = term.weight;
        if (channel.multiplier) weight *= *channel.multiplier;
        out_.form.add_element(volts, amps_.span(), weight);
        out_.channel.push_back(term.ref.at);
    }

    // ---- voltage row -------------------------------------------------------------------------

    void voltages(const as_of::channel& channel, VoltageRow& row) {
        if (!channel.device.resolved()) return note(FormNoteCode::device_unknown, Kind::channel, channel.id);
        const as_of::device& device = view_.device[static_cast<std::size_t>(channel.device.at)];
        if (device.service.resolved()) {
            if (device.service.at != out_.service)
                return note(FormNoteCode::foreign_reference, Kind::channel, channel.id);
        } else if (!device.service.given() && view_.service.size() == 1) {
            note(FormNoteCode::device_service_assumed, Kind::device, device.id);
        } else {
            return note(FormNoteCode::device_service_unknown, Kind::device, device.id);
        }
        if (channel.reference == Reference::unknown)
            return note(FormNoteCode::reference_unknown, Kind::channel, channel.id);
        const std::string_view word = word_of(channel.reference);
        const std::string_view plus = word.substr(0, 1);
        const std::string_view minus = word.substr(2);
        const Terminal from = terminal(channel, device, plus);
        if (minus == "star") return star(channel, device, from, plus, row);
        const Terminal to = terminal(channel, device, minus);
        if (stopped_) return;
        if (from.open) return note(FormNoteCode::terminal_not_landed, Kind::device, device.id);
        row[index_of(from.on)] += Rational(1);
        row[to.open ? floating(channel.device.at, minus, device) : index_of(to.on)] -= Rational(1);
    }

    /// The star point lies at the mean of what the three terminals stand on.
    void star(const as_of::channel& channel, const as_of::device& device, const Terminal& from, std::string_view plus,
              VoltageRow& row);

    Terminal terminal(const as_of::channel& channel, const as_of::device& device, std::string_view label) {
        const Bonding& bonding = out_.form.supply().bonding;
        std::span<const std::string_view> labels;
        if (device.profile.resolved()) labels = view_.profile[static_cast<std::size_t>(device.profile.at)].references;
        if (labels.empty()) note(FormNoteCode::terminals_assumed, Kind::device, device.id);
        const bool stated = device.has(field_of::device::landed);
        if (stated && !labels.empty() && device.landed.size() != labels.size()) {
            note(FormNoteCode::landed_length, Kind::device, device.id);
            return {};
        }
        std::size_t i = 0;
        while (i < labels.size() && labels[i] != label) ++i;
        if (!labels.empty() && i == labels.size()) {
            note(FormNoteCode::terminal_unknown, Kind::channel, channel.id);
            return {};
        }
        if (stated && !labels.empty()) {
            const std::string_view landed = device.landed[i];
            if (landed == "none") return {Conductor::none, true};
            const Conductor on = conductor_of(landed);
            if (on == Conductor::none)
                note(FormNoteCode::landed_unknown, Kind::device, device.id);
            else if (!bonding.has(on))
                note(FormNoteCode::landed_not_served, Kind::device, device.id);
            return {on, false};
        }
        const Conductor on = conductor_of(label);
        if (bonding.has(on)) return {on, false};
        // A neutral terminal finds nothing to stand on where the service has no neutral.
        if (on == Conductor::N) return {Conductor::none, true};
        note(FormNoteCode::landed_not_served, Kind::device, device.id);
        return {};
    }

    std::size_t floating(std::int32_t at, std::string_view label, const as_of::device& device) {
        note(FormNoteCode::common_floats, Kind::device, device.id);
        for (const Floating& f : floating_)
            if (f.device == at && f.label == label) return f.terminal;
        floating_.push_back({at, label, out_.form.add_floating()});
        return floating_[floating_.size() - 1].terminal;
    }

    // ---- current row -------------------------------------------------------------------------

    void currents(const as_of::channel& channel) {
        if (!channel.has(field_of::channel::cts)) return note(FormNoteCode::cts_unknown, Kind::channel, channel.id);
        const Rational polarity(channel.polarity == Polarity::inverted ? -1 : 1);
        for (const Term& t : channel.cts) {
            if (!t.ref.resolved()) {
                note(FormNoteCode::ct_dangling, Kind::ct, t.ref.id);
                continue;
            }
            const as_of::ct& ct = view_.ct[static_cast<std::size_t>(t.ref.at)];
            if (!ct.has(field_of::ct::passes)) {
                note(FormNoteCode::passes_unknown, Kind::ct, ct.id);
                continue;
            }
            const as_of::ct_type* type =
                ct.type.resolved() ? &view_.ct_type[static_cast<std::size_t>(ct.type.at)] : nullptr;
            const Rational factor = t.weight * polarity * direction(ct, type) * scale(channel, type);
            for (const Pass& pass : ct.passes) add_pass(ct, pass, factor);
        }
    }

    Rational direction(const as_of::ct& ct, const as_of::ct_type* type) {
        if (type == nullptr || ct.mark_faces == Side::unknown || type->mark_faces == Side::unknown) {
            note(FormNoteCode::ct_direction_assumed, Kind::ct, ct.id);
            return Rational(1);
        }
        return Rational(ct.mark_faces == type->mark_faces ? 1 : -1);
    }

    /// Output of the CT per ampere, times the amperes per output that the device was told.
    Rational scale(const as_of::channel& channel, const as_of::ct_type* type) {
        const auto ratio = [&](const std::optional<std::int64_t>& over, const std::optional<std::int64_t>& under) {
            if (over && under) return Rational(*over, *under);
            note(FormNoteCode::ratio_assumed, Kind::channel, channel.id);
            return Rational(1);
        };
        const std::optional<std::int64_t> rated = type == nullptr ? std::nullopt : type->primary_amps;
        const std::optional<std::int64_t> output = type == nullptr ? std::nullopt : type->secondary;
        return ratio(channel.primary_amps, rated) * ratio(output, channel.secondary);
    }

    void add_pass(const as_of::ct& ct, const Pass& pass, const Rational& factor) {
        const std::size_t poles = pole_count(circuit(pass.circuit.at));
        const int pole = pass.pole < 0 && poles == 1 ? 1 : pass.pole;
        for (std::size_t k = 0; k < out_.origin.size(); ++k) {
            if (out_.origin[k].circuit != pass.circuit.at || out_.origin[k].pole != pole || pole < 0) continue;
            amps_[k] += factor * pass.turns;
            return;
        }
        note(pole == 0 ? FormNoteCode::pass_neutral_absent : FormNoteCode::pass_pole_unknown, Kind::ct, ct.id);
    }

    const View& view_;
    const as_of::point& point_;
    bool neutral_if_unknown_;
    bool stopped_ = false;
    PointForm out_;
    Small<std::uint8_t, 4> counted_;
    Small<Rational, 8> amps_;
    Small<Floating, 3> floating_;
};

void Builder::star(const as_of::channel& channel, const as_of::device& device, const Terminal& from,
                   std::string_view plus, VoltageRow& row) {
    Terminal three[3];
    constexpr std::string_view labels[] = {"A", "B", "C"};
    for (std::size_t i = 0; i < 3; ++i) three[i] = labels[i] == plus ? from : terminal(channel, device, labels[i]);
    if (stopped_) return;
    for (const Terminal& t : three)
        if (t.open) return note(FormNoteCode::terminal_not_landed, Kind::device, device.id);
    row[index_of(from.on)] += Rational(1);
    for (const Terminal& t : three) row[index_of(t.on)] -= Rational(1, 3);
}

}  // namespace

const FormNoteInfo& info(FormNoteCode code) noexcept { return note_table[static_cast<std::size_t>(code)]; }

bool PointForm::has(FormNoteCode code) const noexcept {
    for (const FormNote& n : notes)
        if (n.code == code) return true;
    return false;
}

PointForm point_form(const View& view, std::int32_t point, bool neutral_if_unknown) {
    return Builder(view, view.point[static_cast<std::size_t>(point)], neutral_if_unknown).run();
}

PointForm channel_form(const View& view, std::int32_t channel, bool neutral_if_unknown) {
    const as_of::channel& c = view.channel[static_cast<std::size_t>(channel)];
    Small<Ref, 4> circuits;
    for (const Term& t : c.cts) {
        if (!t.ref.resolved()) continue;
        for (const Pass& pass : view.ct[static_cast<std::size_t>(t.ref.at)].passes)
            if (pass.circuit.given()) circuits.push_back(pass.circuit);
    }
    PointForm out;
    if (circuits.size() == 0) {
        // Nothing to build on: say which of the two facts is missing.
        const Term* first = c.cts.empty() ? nullptr : &c.cts.front();
        const bool hangs = first != nullptr && first->ref.resolved();
        out.notes.push_back({first == nullptr ? FormNoteCode::cts_unknown
                             : hangs          ? FormNoteCode::passes_unknown
                                              : FormNoteCode::ct_dangling,
                             first == nullptr ? Kind::channel : Kind::ct, first == nullptr ? c.id : first->ref.id});
        return out;
    }
    const Term element{Ref{channel, c.id}, Rational(1)};
    as_of::point alone;
    alone.id = c.id;
    alone.given = std::uint64_t{1} << static_cast<unsigned>(field_of::point::elements);
    alone.circuits = circuits.span();
    alone.elements = std::span(&element, 1);
    return Builder(view, alone, neutral_if_unknown).run();
}

}  // namespace bln
