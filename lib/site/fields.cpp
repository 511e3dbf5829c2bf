#include "site/fields.hpp"

namespace bln {
namespace {

constexpr Kind target_none = Kind::site;
#define BLN_TARGET(kind, key, number, doc) [[maybe_unused]] constexpr Kind target_##kind = Kind::kind;
BLN_KINDS(BLN_TARGET)
#undef BLN_TARGET
#define BLN_NO_TARGET(name) constexpr Kind target_##name = Kind::site;
BLN_ALL_CHOICES(BLN_NO_TARGET)
#undef BLN_NO_TARGET

// Every argument of the table names either a kind or a choice list; the other one is "nothing".
constexpr const ChoiceList* list_none = nullptr;
#define BLN_NO_LIST(kind, key, number, doc) [[maybe_unused]] constexpr const ChoiceList* list_##kind = nullptr;
BLN_KINDS(BLN_NO_LIST)
#undef BLN_NO_LIST
#define BLN_LIST(name) constexpr const ChoiceList* list_##name = &choices_##name;
BLN_ALL_CHOICES(BLN_LIST)
#undef BLN_LIST

constexpr bool is_once = false;
constexpr bool is_dated = true;

#define BLN_ROW(name, type, argument, dated, layer, unit, low, high, doc) \
    FieldInfo{#name, Type::type, target_##argument, list_##argument, is_##dated, Layer::layer, unit, low, high, doc},
#define BLN_TABLE(kind, key, number, doc) constexpr FieldInfo rows_##kind[] = {BLN_FIELDS_##kind(BLN_ROW)};
BLN_KINDS(BLN_TABLE)
#undef BLN_TABLE
#undef BLN_ROW

#define BLN_KIND_ROW(kind, key, number, doc) \
    KindInfo{#kind, key, number, doc, rows_##kind, sizeof rows_##kind / sizeof(FieldInfo)},
constexpr KindInfo kinds[] = {BLN_KINDS(BLN_KIND_ROW)};
#undef BLN_KIND_ROW

}  // namespace

int KindInfo::find(std::string_view field) const noexcept {
    for (std::size_t i = 0; i < field_count; ++i)
        if (fields[i].name == field) return static_cast<int>(i);
    return -1;
}

const KindInfo& info(Kind kind) noexcept { return kinds[static_cast<std::size_t>(kind)]; }

int find_collection(std::string_view key) noexcept {
    for (std::size_t i = 0; i < kind_count; ++i)
        if (!kinds[i].collection.empty() && kinds[i].collection == key) return static_cast<int>(i);
    return -1;
}

int find_kind(std::string_view name) noexcept {
    for (std::size_t i = 0; i < kind_count; ++i)
        if (kinds[i].name == name) return static_cast<int>(i);
    return -1;
}

int kind_by_number(int number) noexcept {
    for (std::size_t i = 0; i < kind_count; ++i)
        if (kinds[i].number == number) return static_cast<int>(i);
    return -1;
}

}  // namespace bln
