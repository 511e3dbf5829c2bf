#include "site/units.hpp"

#include <algorithm>
#include <array>

namespace bln {
namespace {

struct UnitWord {
    std::string_view word;
    char quantity;  // the same for all units of one quantity
};

constexpr UnitWord unit_words[] = {
    {"amps", 'A'},     {"amp", 'A'},        {"amperes", 'A'},   {"a", 'A'},         {"milliamps", 'A'}, {"ma", 'A'},
    {"kiloamps", 'A'}, {"ka", 'A'},         {"microamps", 'A'}, {"ua", 'A'},        {"volts", 'V'},     {"volt", 'V'},
    {"v", 'V'},        {"millivolts", 'V'}, {"mv", 'V'},        {"kilovolts", 'V'}, {"kv", 'V'},        {"hz", 'f'},
    {"hertz", 'f'},    {"khz", 'f'},        {"rpm", 'f'},       {"percent", '%'},   {"pct", '%'},       {"ppm", '%'},
    {"fraction", '%'}, {"permille", '%'},   {"m2", 'm'},        {"sqm", 'm'},       {"ft2", 'm'},       {"sqft", 'm'},
    {"cm2", 'm'},
};

char quantity_of(std::string_view word) noexcept {
    for (const UnitWord& u : unit_words)
        if (std::equal(u.word.begin(), u.word.end(), word.begin(), word.end(),
                       [](char a, char b) { return a == (b >= 'A' && b <= 'Z' ? b + 32 : b); }))
            return u.quantity;
    return 0;
}

/// Takes the part up to the next underscore off the front.
std::string_view next_part(std::string_view& rest) noexcept {
    const std::string_view part = rest.substr(0, rest.find('_'));
    rest.remove_prefix(std::min(rest.size(), part.size() + 1));
    return part;
}

/// Equal part by part, where two units of one quantity count as equal.
bool same_but_for_unit(std::string_view a, std::string_view b) noexcept {
    bool unit = false;
    while (!a.empty() && !b.empty()) {
        const std::string_view x = next_part(a);
        const std::string_view y = next_part(b);
        const char quantity = quantity_of(x);
        if (quantity != 0 && quantity == quantity_of(y))
            unit = true;
        else if (x != y)
            return false;
    }
    return unit && a.empty() && b.empty();
}

}  // namespace

const FieldInfo* other_unit_of(const KindInfo& kind, std::string_view name) noexcept {
    for (std::size_t i = 0; i < kind.field_count; ++i)
        if (same_but_for_unit(kind.fields[i].name, name)) return &kind.fields[i];
    return nullptr;
}

bool number_with_unit(std::string_view text) noexcept {
    std::size_t i = 0;
    const auto digits = [&] {
        const std::size_t from = i;
        while (i < text.size() && text[i] >= '0' && text[i] <= '9') ++i;
        return i > from;
    };
    if (i < text.size() && (text[i] == '-' || text[i] == '+')) ++i;
    if (!digits()) return false;
    if (i < text.size() && (text[i] == '.' || text[i] == ',')) {
        ++i;
        if (!digits()) return false;
    }
    while (i < text.size() && text[i] == ' ') ++i;
    const std::string_view unit = text.substr(i);
    if (unit.empty() || unit.size() > 12) return false;
    // Letters, %, degree and micro signs (any byte beyond ASCII), and powers such as m2 or m^2.
    const auto starts_unit = [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '%' || static_cast<unsigned char>(c) >= 0x80;
    };
    return starts_unit(unit[0]) && std::all_of(unit.begin(), unit.end(), [&](char c) {
               return starts_unit(c) || (c >= '0' && c <= '9') || c == '/' || c == '^' || c == '.';
           });
}

}  // namespace bln
