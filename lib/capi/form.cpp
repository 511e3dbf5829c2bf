// The metering form: arrangements, forms of points, what they prove.
#include "capi/form.hpp"

#include <initializer_list>
#include <utility>

#include "power/arrangement.hpp"
#include "power/form_words.hpp"
#include "power/nominal.hpp"
#include "power/realise.hpp"

using namespace bln;
using namespace bln::capi;

namespace bln::capi {

const Form& built(const bln_form* form) {
    const PointForm& p = required(form, "form").point;
    if (p.built) return p.form;
    for (const FormNote& n : p.notes)
        if (info(n.code).stops) throw Failure(BLN_E_STATE, std::string(info(n.code).doc), std::string(n.id));
    throw Failure(BLN_E_STATE, "the form is not built");
}

std::string_view circuit_of(const bln_form& form, std::size_t k) noexcept {
    if (!form.view) return "";
    return form.view->circuit[static_cast<std::size_t>(form.point.origin[k].circuit)].id;
}
std::string_view channel_of(const bln_form& form, std::size_t e) noexcept {
    if (!form.view) return "";
    return form.view->channel[static_cast<std::size_t>(form.point.channel[e])].id;
}

}  // namespace bln::capi

namespace {

template <class E>
void choose(E& field, const ChoiceList& list, std::string_view word) {
    const int i = list.find(word);
    if (i < 0) throw Failure(BLN_E_NAME, std::string(word) + " is not a word of " + list.name);
    field = static_cast<E>(i);
}

void put(const Rational& r, std::int64_t* num, std::int64_t* den, std::size_t i) noexcept {
    if (num != nullptr) num[i] = r.num();
    if (den != nullptr) den[i] = r.den();
}

Rational ratio(const std::int64_t* num, const std::int64_t* den, std::size_t i) {
    return {num[i], den == nullptr ? 1 : den[i]};
}

template <class T>
void give(T* to, const T& value) noexcept {
    if (to != nullptr) *to = value;
}

std::size_t at(std::size_t i, std::size_t count, const char* what) {
    if (i >= count)
        throw Failure(BLN_E_RANGE,
                      std::string(what) + " " + std::to_string(i) + ": there are " + std::to_string(count));
    return i;
}

}  // namespace

extern "C" {

bln_status bln_arrangement_new(const char* service, bln_arrangement** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        auto made = std::make_unique<bln_arrangement>();
        choose(made->service.kind, choices_ServiceKind, required_text(service, "service"));
        made->form = Form(supply_of(made->service));
        return made;
    });
}
bln_status bln_arrangement_set(bln_arrangement* arrangement, const char* field, const char* word,
                               bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        bln_arrangement& a = required(arrangement, "arrangement");
        const std::string_view name = required_text(field, "field");
        const std::string_view value = required_text(word, "word");
        if (a.form.loads() != 0) throw Failure(BLN_E_STATE, "the service is set before the first load");
        if (name == "legs")
            choose(a.service.legs, choices_Legs, value);
        else if (name == "high_leg")
            choose(a.service.high_leg, choices_Phase, value);
        else if (name == "grounded_phase")
            choose(a.service.grounded_phase, choices_Phase, value);
        else if (name == "rotation")
            choose(a.service.rotation, choices_Rotation, value);
        else
            throw Failure(BLN_E_NAME, "an arrangement has no field " + std::string(name));
        a.form = Form(supply_of(a.service));
    });
}
bln_status bln_arrangement_load(bln_arrangement* arrangement, const char* conductors, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        bln_arrangement& a = required(arrangement, "arrangement");
        const std::string_view letters = required_text(conductors, "conductors");
        if (letters.empty()) throw Failure(BLN_E_VALUE, "a load has at least one conductor");
        Form form = a.form;
        form.add_load();
        for (std::size_t i = 0; i < letters.size(); ++i) {
            const Conductor c = conductor_of(letters.substr(i, 1));
            if (c == Conductor::none) throw Failure(BLN_E_VALUE, "conductors are letters of A, B, C, N, G");
            form.add_conductor(c);
        }
        a.form = std::move(form);
    });
}
bln_status bln_arrangement_floating(bln_arrangement* arrangement, int32_t* terminal, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        bln_arrangement& a = required(arrangement, "arrangement");
        int32_t& out = required(terminal, "terminal");
        out = static_cast<int32_t>(a.form.add_floating());
    });
}
bln_status bln_arrangement_element(bln_arrangement* arrangement, const int64_t* volts_num, const int64_t* volts_den,
                                   const int64_t* amps_num, const int64_t* amps_den, size_t conductors,
                                   int64_t weight_num, int64_t weight_den, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        bln_arrangement& a = required(arrangement, "arrangement");
        (void)required(volts_num, "volts_num");
        (void)required(amps_num, "amps_num");
        if (conductors != a.form.conductors().size())
            throw Failure(BLN_E_ARGUMENT, "the arrangement has " + std::to_string(a.form.conductors().size()) +
                                              " conductors, the current row " + std::to_string(conductors));
        VoltageRow volts;
        for (std::size_t t = 0; t < terminal_count; ++t) volts[t] = ratio(volts_num, volts_den, t);
        Small<Rational, 8> amps;
        for (std::size_t k = 0; k < conductors; ++k) amps.push_back(ratio(amps_num, amps_den, k));
        a.form.add_element(volts, amps.span(), Rational(weight_num, weight_den));
    });
}
bln_status bln_arrangement_use(bln_arrangement* arrangement, const char* name, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        bln_arrangement& a = required(arrangement, "arrangement");
        Form form = a.form;
        add_arrangement(form, required_text(name, "name"));
        a.form = std::move(form);
    });
}
size_t bln_arrangement_name_count(void) BLN_NOEXCEPT { return arrangements().size(); }
bln_status bln_arrangement_name_at(size_t i, const char** name, const char** doc, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Arrangement& a = arrangements()[at(i, arrangements().size(), "arrangement")];
        give(name, a.name.data());  // literals, so NUL-terminated
        give(doc, a.doc.data());
    });
}
void bln_arrangement_free(bln_arrangement* arrangement) BLN_NOEXCEPT { delete arrangement; }

bln_status bln_form_of_arrangement(const bln_arrangement* arrangement, bln_form** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const bln_arrangement& a = required(arrangement, "arrangement");
        if (a.form.loads() == 0) throw Failure(BLN_E_STATE, "the arrangement has no load");
        auto made = std::make_unique<bln_form>();
        made->point.form = a.form;
        made->point.built = true;
        return made;
    });
}
bln_status bln_form_of_point(const bln_view* view, const char* point, int32_t neutral, bln_form** out,
                             bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        auto made = std::make_unique<bln_form>();
        made->view = required(view, "view").view;
        const std::string_view id = required_text(point, "point");
        if (neutral != 0 && neutral != 1) throw Failure(BLN_E_RANGE, "neutral is 0 or 1");
        const std::int32_t found = made->view->model().find(Kind::point, id);
        if (found < 0) throw Failure(BLN_E_NO_ENTITY, "no point has this id", std::string(id));
        made->point = point_form(*made->view, found, neutral == 1);
        for (const std::int32_t c : made->point.circuit)
            made->names.push_back(made->view->circuit[static_cast<std::size_t>(c)].id);
        return made;
    });
}
void bln_form_free(bln_form* form) BLN_NOEXCEPT { delete form; }

int32_t bln_form_built(const bln_form* form) BLN_NOEXCEPT { return form != nullptr && form->point.built ? 1 : 0; }
size_t bln_form_note_count(const bln_form* form) BLN_NOEXCEPT { return form == nullptr ? 0 : form->point.notes.size(); }
bln_status bln_form_note_at(const bln_form* form, size_t i, const char** code, int32_t* stops, bln_kind* kind,
                            const char** id, const char** doc, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const auto& notes = required(form, "form").point.notes;
        const FormNote& n = notes[at(i, notes.size(), "note")];
        give(code, info(n.code).slug.data());
        give(stops, int32_t{info(n.code).stops ? 1 : 0});
        give(kind, bln_kind{info(n.kind).number});
        give(id, n.id.data());  // ids of a record are NUL-terminated in its arena
        give(doc, info(n.code).doc.data());
    });
}

size_t bln_form_conductor_count(const bln_form* form) BLN_NOEXCEPT {
    return bln_form_built(form) != 0 ? form->point.form.conductors().size() : 0;
}
bln_status bln_form_conductor_at(const bln_form* form, size_t k, int32_t* terminal, size_t* load, int32_t* counted,
                                 const char** circuit, int32_t* pole, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Form& f = built(form);
        const LoadConductor& c = f.conductors()[at(k, f.conductors().size(), "conductor")];
        give(terminal, static_cast<int32_t>(index_of(c.on)));
        give(load, std::size_t{c.load});
        give(counted, int32_t{f.counted(c.load) ? 1 : 0});
        give(circuit, circuit_of(*form, k).data());
        std::size_t within = 0;
        for (std::size_t j = 0; j < k; ++j) within += f.conductors()[j].load == c.load ? 1 : 0;
        const bool neutral = c.on == Conductor::N || c.on == Conductor::G;
        give(pole, static_cast<int32_t>(form->view ? form->point.origin[k].pole
                                        : neutral  ? 0
                                                   : static_cast<int>(within + 1)));
    });
}
size_t bln_form_element_count(const bln_form* form) BLN_NOEXCEPT {
    return bln_form_built(form) != 0 ? form->point.form.elements().size() : 0;
}
bln_status bln_form_element_at(const bln_form* form, size_t e, int64_t* volts_num, int64_t* volts_den,
                               int64_t* amps_num, int64_t* amps_den, int64_t* weight_num, int64_t* weight_den,
                               const char** channel, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Form& f = built(form);
        const Element& element = f.elements()[at(e, f.elements().size(), "element")];
        for (std::size_t t = 0; t < terminal_count; ++t) put(element.volts[t], volts_num, volts_den, t);
        for (std::size_t k = 0; k < f.conductors().size(); ++k) put(f.amps(e)[k], amps_num, amps_den, k);
        put(element.weight, weight_num, weight_den, 0);
        give(channel, channel_of(*form, e).data());
    });
}

bln_status bln_form_exact(const bln_form* form, int32_t* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        int32_t& result = required(out, "out");
        result = built(form).exact() ? 1 : 0;
    });
}
bln_status bln_form_fewest_elements(const bln_form* form, size_t* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        size_t& result = required(out, "out");
        result = built(form).fewest_elements();
    });
}
bln_status bln_form_residual(const bln_form* form, size_t* rows, size_t* columns, int32_t* reference,
                             int32_t* row_terminal, size_t* column_conductor, int64_t* num, int64_t* den,
                             size_t capacity, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Residual r = built(form).residual();
        const std::size_t items = r.d.rows() * r.d.columns();
        if ((num != nullptr || den != nullptr) && capacity < items)
            throw Failure(BLN_E_RANGE, "the residual has " + std::to_string(items) + " items");
        give(rows, r.d.rows());
        give(columns, r.d.columns());
        give(reference, int32_t{r.reference});
        if (row_terminal != nullptr)
            for (std::size_t i = 0; i < r.d.rows(); ++i) row_terminal[i] = r.row_terminal[i];
        if (column_conductor != nullptr)
            for (std::size_t i = 0; i < r.d.columns(); ++i) column_conductor[i] = r.column_conductor[i];
        for (std::size_t i = 0; i < r.d.rows(); ++i)
            for (std::size_t j = 0; j < r.d.columns(); ++j) put(r.d.at(i, j), num, den, i * r.d.columns() + j);
    });
}
bln_status bln_form_words(const bln_form* form, int32_t what, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const Form& f = built(form);
        switch (what) {
            case BLN_FORM_REGISTERED:
                return text_of(registered_text(f, form->names));
            case BLN_FORM_ERROR:
                return text_of(error_text(f, form->names));
            case BLN_FORM_CONDITION:
                return text_of(condition_text(f, form->names));
            case BLN_FORM_VERDICT:
                return text_of(verdict_text(f));
            case BLN_FORM_CORRECTION:
                return text_of(correction_text(f));
            default:
                throw Failure(BLN_E_RANGE,
                              "what is one of BLN_FORM_REGISTERED, _ERROR, _CONDITION, _VERDICT, _CORRECTION");
        }
    });
}
bln_status bln_form_nominal(const bln_form* form, uint32_t* right, uint32_t* without, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        uint32_t& result = required(right, "right");
        const NominalOrders orders = nominal_orders(built(form));
        if (!orders.known) throw Failure(BLN_E_ABSENT, "the nominal voltages of the service are not known");
        result = orders.right;
        give(without, uint32_t{orders.without});
    });
}
bln_status bln_form_registration(const bln_form* form, size_t from, size_t to, double* re, double* im,
                                 bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        double& real = required(re, "re");
        double& imaginary = required(im, "im");
        const auto factor = registration(built(form), from, to);
        if (!factor)
            throw Failure(BLN_E_ABSENT, "no nominal voltage stands between these conductors, or one is not known");
        real = factor->value().real();
        imaginary = factor->value().imag();
    });
}
bln_status bln_form_realise(const bln_form* form, int64_t* num, int64_t* den, int32_t* found, int32_t* unique,
                            bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Form& f = built(form);
        int32_t& there = required(found, "found");
        if (!f.elements().empty()) {
            (void)required(num, "num");
            (void)required(den, "den");
        }
        const auto solution = realise(f);
        there = solution ? 1 : 0;
        give(unique, int32_t{solution && solution->unique ? 1 : 0});
        if (solution)
            for (std::size_t e = 0; e < solution->x.size(); ++e) put(solution->x[e], num, den, e);
    });
}

}  // extern "C"
