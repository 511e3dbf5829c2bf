// The typed setters: one field of one entity, refused for the same reasons as in a file.
#include <cmath>
#include <vector>

#include "capi/lookup.hpp"
#include "site/value_reader.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

/// Stores a value that replaces the history (when NULL) or is added to it.
void store(Model& model, const Spot& spot, const Value& value, const bln_when* when) {
    if (std::string why = objection(spot.row(), value); !why.empty()) throw spot.failure(BLN_E_VALUE, std::move(why));
    if (when == nullptr) {
        model.set(spot.kind, spot.at, spot.field, value);
        return;
    }
    const bln_when given = take(when, "when");
    if (given.size < sizeof(bln_when)) throw Failure(BLN_E_ARGUMENT, "when->size is too small");
    if (given.reserved != 0) throw Failure(BLN_E_ARGUMENT, "when->reserved is not 0");
    Assignment a;
    a.from = given.from;
    a.to = given.to;
    a.recorded_at = given.recorded_at;
    if (given.reason != nullptr) a.reason = required_text(given.reason, "when->reason");
    if (given.evidence != nullptr) a.evidence = required_text(given.evidence, "when->evidence");
    a.value = value;
    located(spot, [&] { model.assign(spot.kind, spot.at, spot.field, a); });
}

Rational ratio(const Spot& spot, std::int64_t num, std::int64_t den) {
    if (den == 0) throw spot.failure(BLN_E_VALUE, "the ratio " + std::to_string(num) + "/0 divides by zero");
    try {
        return {num, den};
    } catch (const Failure&) {
        throw spot.failure(BLN_E_VALUE, "the ratio needs more than 64 bits");
    }
}

template <class T>
std::span<const T> items(const T* data, std::size_t n, const char* name) {
    if (n == 0) return {};
    return {&required(data, name), n};
}

/// The texts of a list, each checked; they are borrowed for the call.
std::vector<std::string_view> texts(const char* const* data, std::size_t n, const char* name) {
    std::vector<std::string_view> out;
    out.reserve(n);
    for (const char* text : items(data, n, name)) out.push_back(required_text(text, name));
    return out;
}

}  // namespace

extern "C" {

bln_status bln_draft_set_text(bln_draft* draft, bln_kind kind, const char* id, const char* field, const char* value,
                              const bln_when* when, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        Model& model = *required(draft, "draft").model;
        const Spot spot = find_spot(model, kind, id, field);
        spot.require({Type::text, Type::ref, Type::choice});
        Value v;
        v.text = required_text(value, "value");
        if (spot.row().type == Type::choice) {
            v.integer = spot.row().choices->find(v.text);
            if (v.integer < 0)
                throw spot.failure(BLN_E_VALUE, "\"" + std::string(v.text) + "\" is not " + expected(spot.row()));
            v.text = {};
        }
        store(model, spot, v, when);
    });
}

bln_status bln_draft_set_integer(bln_draft* draft, bln_kind kind, const char* id, const char* field, int64_t value,
                                 const bln_when* when, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        Model& model = *required(draft, "draft").model;
        const Spot spot = find_spot(model, kind, id, field);
        spot.require({Type::integer, Type::boolean, Type::instant});
        Value v;
        v.integer = value;
        store(model, spot, v, when);
    });
}

bln_status bln_draft_set_real(bln_draft* draft, bln_kind kind, const char* id, const char* field, double value,
                              const bln_when* when, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        Model& model = *required(draft, "draft").model;
        const Spot spot = find_spot(model, kind, id, field);
        spot.require({Type::real});
        if (!std::isfinite(value)) throw spot.failure(BLN_E_NOT_FINITE, "the value is not a finite number");
        Value v;
        v.real = value;
        store(model, spot, v, when);
    });
}

bln_status bln_draft_set_ratio(bln_draft* draft, bln_kind kind, const char* id, const char* field, int64_t num,
                               int64_t den, const bln_when* when, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        Model& model = *required(draft, "draft").model;
        const Spot spot = find_spot(model, kind, id, field);
        spot.require({Type::rational});
        Value v;
        v.rational = ratio(spot, num, den);
        store(model, spot, v, when);
    });
}

bln_status bln_draft_set_integers(bln_draft* draft, bln_kind kind, const char* id, const char* field,
                                  const int64_t* values, size_t n, const bln_when* when, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        Model& model = *required(draft, "draft").model;
        const Spot spot = find_spot(model, kind, id, field);
        spot.require({Type::integers});
        Value v;
        v.integers = items(values, n, "values");
        store(model, spot, v, when);
    });
}

bln_status bln_draft_set_texts(bln_draft* draft, bln_kind kind, const char* id, const char* field,
                               const char* const* values, size_t n, const bln_when* when,
                               bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        Model& model = *required(draft, "draft").model;
        const Spot spot = find_spot(model, kind, id, field);
        spot.require({Type::texts, Type::refs});
        const std::vector<std::string_view> list = texts(values, n, "values");
        Value v;
        v.texts = list;
        store(model, spot, v, when);
    });
}

bln_status bln_draft_set_terms(bln_draft* draft, bln_kind kind, const char* id, const char* field,
                               const char* const* keys, const int64_t* nums, const int64_t* dens, size_t n,
                               const bln_when* when, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        Model& model = *required(draft, "draft").model;
        const Spot spot = find_spot(model, kind, id, field);
        spot.require({Type::terms, Type::passes});
        const std::vector<std::string_view> names = texts(keys, n, "keys");
        const std::span<const int64_t> above = items(nums, n, "nums");
        std::vector<TermText> terms(n);
        for (std::size_t i = 0; i < n; ++i) terms[i] = {names[i], ratio(spot, above[i], dens == nullptr ? 1 : dens[i])};
        Value v;
        v.terms = terms;
        store(model, spot, v, when);
    });
}

}  // extern "C"
