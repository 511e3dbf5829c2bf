// The field table, as C sees it.
#include "capi/lookup.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

// The numbers of the C API are the positions in the core's enums, spaced by ten.
constexpr int spaced(int position) noexcept { return (position + 1) * 10; }
static_assert(spaced(static_cast<int>(Type::text)) == BLN_FIELD_TEXT);
static_assert(spaced(static_cast<int>(Type::real)) == BLN_FIELD_REAL);
static_assert(spaced(static_cast<int>(Type::passes)) == BLN_FIELD_PASSES);
static_assert(spaced(static_cast<int>(Layer::plan)) == BLN_LAYER_PLAN);
static_assert(spaced(static_cast<int>(Layer::configured)) == BLN_LAYER_CONFIGURED);

bool names_kind(Type type) noexcept {
    return type == Type::ref || type == Type::refs || type == Type::terms || type == Type::passes;
}

}  // namespace

extern "C" {

size_t bln_kind_count(void) BLN_NOEXCEPT { return kind_count; }

bln_kind bln_kind_at(size_t i) BLN_NOEXCEPT { return i < kind_count ? info(static_cast<Kind>(i)).number : 0; }

const char* bln_kind_name(bln_kind kind) BLN_NOEXCEPT {
    const int k = kind_by_number(kind);
    return k < 0 ? "" : info(static_cast<Kind>(k)).name.data();
}

const char* bln_kind_collection(bln_kind kind) BLN_NOEXCEPT {
    const int k = kind_by_number(kind);
    return k < 0 ? "" : info(static_cast<Kind>(k)).collection.data();
}

size_t bln_field_count(bln_kind kind) BLN_NOEXCEPT {
    const int k = kind_by_number(kind);
    return k < 0 ? 0 : info(static_cast<Kind>(k)).field_count;
}

bln_status bln_field_at(bln_kind kind, size_t i, bln_field_info* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        (void)required(out, "out");
        const KindInfo& k = info(kind_of(kind));
        const FieldInfo& f = item_at(std::span(k.fields, k.field_count), i, "field");
        bln_field_info row{};
        row.type = spaced(static_cast<int>(f.type));
        row.name = f.name.data();
        row.unit = f.unit.data();
        row.doc = f.doc.data();
        row.layer = spaced(static_cast<int>(f.layer));
        row.dated = f.dated ? 1 : 0;
        row.target = names_kind(f.type) ? info(f.target).number : 0;
        row.choice_count = f.choices == nullptr ? 0 : static_cast<std::int32_t>(f.choices->size);
        row.low = f.low;
        row.high = f.high;
        hand_out(out, row, "out");
    });
}

bln_status bln_field_choice(bln_kind kind, const char* field, size_t i, const char** word, const char** doc,
                            bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const std::string_view name = required_text(field, "field");
        const KindInfo& k = info(kind_of(kind));
        const int f = k.find(name);
        if (f < 0 || k.fields[f].choices == nullptr)
            throw Failure(BLN_E_NAME, "a " + std::string(k.name) + " has no choice \"" + std::string(name) + "\"");
        const ChoiceList& list = *k.fields[f].choices;
        const ChoiceWord& found = item_at(std::span(list.words, list.size), i, "word");
        if (word != nullptr) *word = found.word.data();
        if (doc != nullptr) *doc = found.doc.data();
    });
}

}  // extern "C"
