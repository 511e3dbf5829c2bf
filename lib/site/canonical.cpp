#include "site/canonical.hpp"

#include <algorithm>
#include <vector>

#include "site/json_text.hpp"

namespace bln {
namespace {

// UTF-8 bytes sort like code points. UTF-16 puts the characters past U+FFFF, which begin with a
// surrogate (U+D800...), before U+E000 to U+FFFF; in UTF-8 these begin with F0...F4 and EE, EF.
constexpr unsigned rank(char c) noexcept {
    const auto byte = static_cast<unsigned char>(c);
    if (byte < 0xEE) return byte;
    return byte >= 0xF0 ? byte - 2U : byte + 5U;
}

}  // namespace

bool canonical_less(std::string_view a, std::string_view b) noexcept {
    return std::lexicographical_compare(a.begin(), a.end(), b.begin(), b.end(),
                                        [](char x, char y) { return rank(x) < rank(y); });
}

void append_canonical(std::string& to, const Json& value) {
    switch (value.kind) {
        case Json::Kind::null:
        case Json::Kind::boolean:
        case Json::Kind::string:
            append_json(to, value);
            break;
        case Json::Kind::number:
            append_json_number(to, value.real());
            break;
        case Json::Kind::array:
            to += '[';
            for (std::size_t i = 0; i < value.items.size(); ++i) {
                if (i > 0) to += ',';
                append_canonical(to, value.items[i]);
            }
            to += ']';
            break;
        case Json::Kind::object: {
            std::vector<std::size_t> order(value.keys.size());
            for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
            std::sort(order.begin(), order.end(),
                      [&value](std::size_t x, std::size_t y) { return canonical_less(value.keys[x], value.keys[y]); });
            to += '{';
            for (std::size_t i = 0; i < order.size(); ++i) {
                if (i > 0) to += ',';
                append_json_string(to, value.keys[order[i]]);
                to += ':';
                append_canonical(to, value.items[order[i]]);
            }
            to += '}';
        }
    }
}

std::string canonical(const Json& value) {
    std::string out;
    append_canonical(out, value);
    return out;
}

}  // namespace bln
