// The record as of one instant: one getter per type of field.
#include "capi/lookup.hpp"
#include "site/value_json.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

struct Found {
    Spot spot;
    const Value& value;
};

/// The value that holds. Throws BLN_E_TYPE unless the field has one of @p types (none given: any), then
/// BLN_E_ABSENT.
Found find(const bln_view* view, bln_kind kind, const char* id, const char* field, std::initializer_list<Type> types) {
    const View& v = *required(view, "view").view;
    const Spot spot = find_spot(v.model(), kind, id, field);
    if (types.size() > 0) spot.require(types);
    const Cell* cell = spot.entity(v.model()).find(spot.field);
    const Assignment* a = cell == nullptr ? nullptr : bln::holding(*cell, v.valid(), v.known());
    if (a == nullptr) throw spot.failure(BLN_E_ABSENT, std::string(spot.row().name) + " has no value at this instant");
    return {spot, a->value};
}

std::size_t size_of(const Found& f) noexcept {
    switch (f.spot.row().type) {
        case Type::integers:
            return f.value.integers.size();
        case Type::texts:
        case Type::refs:
            return f.value.texts.size();
        default:
            return f.value.terms.size();
    }
}

const char* shown(std::string_view text) noexcept { return text.empty() ? "" : text.data(); }

}  // namespace

extern "C" {

bln_status bln_view_new(const bln_site* site, bln_instant valid, bln_instant known, bln_view** out,
                        bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        auto view = std::make_unique<bln_view>();
        view->view = std::make_shared<const View>(required(site, "site").model, valid, known);
        return view;
    });
}

void bln_view_free(bln_view* view) BLN_NOEXCEPT { delete view; }

bln_status bln_view_text(const bln_view* view, bln_kind kind, const char* id, const char* field, const char** out,
                         bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const char*& target = required(out, "out");
        const Found f = find(view, kind, id, field, {Type::text, Type::ref, Type::choice});
        const FieldInfo& row = f.spot.row();
        target = row.type == Type::choice ? row.choices->words[f.value.integer].word.data() : shown(f.value.text);
    });
}

bln_status bln_view_integer(const bln_view* view, bln_kind kind, const char* id, const char* field, int64_t* out,
                            bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        std::int64_t& target = required(out, "out");
        target = find(view, kind, id, field, {Type::integer, Type::boolean, Type::instant}).value.integer;
    });
}

bln_status bln_view_real(const bln_view* view, bln_kind kind, const char* id, const char* field, double* out,
                         bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        double& target = required(out, "out");
        target = find(view, kind, id, field, {Type::real}).value.real;
    });
}

bln_status bln_view_ratio(const bln_view* view, bln_kind kind, const char* id, const char* field, int64_t* num,
                          int64_t* den, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        std::int64_t& above = required(num, "num");
        std::int64_t& below = required(den, "den");
        const Rational r = find(view, kind, id, field, {Type::rational}).value.rational;
        above = r.num();
        below = r.den();
    });
}

bln_status bln_view_size(const bln_view* view, bln_kind kind, const char* id, const char* field, size_t* out,
                         bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        std::size_t& target = required(out, "out");
        target =
            size_of(find(view, kind, id, field, {Type::integers, Type::texts, Type::refs, Type::terms, Type::passes}));
    });
}

bln_status bln_view_item_integer(const bln_view* view, bln_kind kind, const char* id, const char* field, size_t i,
                                 int64_t* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        std::int64_t& target = required(out, "out");
        target = item_at(find(view, kind, id, field, {Type::integers}).value.integers, i, "item");
    });
}

bln_status bln_view_item_text(const bln_view* view, bln_kind kind, const char* id, const char* field, size_t i,
                              const char** out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const char*& target = required(out, "out");
        target = shown(item_at(find(view, kind, id, field, {Type::texts, Type::refs}).value.texts, i, "item"));
    });
}

bln_status bln_view_item_term(const bln_view* view, bln_kind kind, const char* id, const char* field, size_t i,
                              const char** key, int64_t* num, int64_t* den, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const char*& name = required(key, "key");
        std::int64_t& above = required(num, "num");
        std::int64_t& below = required(den, "den");
        const TermText& term = item_at(find(view, kind, id, field, {Type::terms, Type::passes}).value.terms, i, "item");
        name = shown(term.key);
        above = term.weight.num();
        below = term.weight.den();
    });
}

bln_status bln_view_json(const bln_view* view, bln_kind kind, const char* id, const char* field, bln_text** out,
                         bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const Found f = find(view, kind, id, field, {});
        auto text = text_of({});
        append_value_json(text->data, f.spot.row(), f.value);
        return text;
    });
}

}  // extern "C"
