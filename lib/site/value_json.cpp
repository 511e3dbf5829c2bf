#include "site/value_json.hpp"

#include <charconv>

#include "site/instant.hpp"
#include "site/json_text.hpp"

namespace bln {
namespace {

void append_integer(std::string& to, std::int64_t value) {
    char text[24];
    to.append(text, std::to_chars(text, text + sizeof text, value).ptr);
}

template <class Items, class Append>
void append_list(std::string& to, char open, char close, const Items& items, Append append) {
    to += open;
    bool first = true;
    for (const auto& item : items) {
        if (!first) to += ',';
        first = false;
        append(item);
    }
    to += close;
}

}  // namespace

void append_ratio_json(std::string& to, const Rational& ratio) {
    // Readers of JSON may hold numbers as doubles, which count exactly up to 2^53.
    constexpr std::int64_t exact = (std::int64_t{1} << 53U) - 1;
    if (ratio.den() == 1 && ratio.num() <= exact && ratio.num() >= -exact) {
        append_integer(to, ratio.num());
        return;
    }
    to += '"';
    append_integer(to, ratio.num());
    to += '/';
    append_integer(to, ratio.den());
    to += '"';
}

void append_value_json(std::string& to, const FieldInfo& field, const Value& value) {
    switch (field.type) {
        case Type::text:
        case Type::ref:
            append_json_string(to, value.text);
            break;
        case Type::choice:
            append_json_string(to, field.choices->words[value.integer].word);
            break;
        case Type::boolean:
            to += value.integer != 0 ? "true" : "false";
            break;
        case Type::integer:
            append_integer(to, value.integer);
            break;
        case Type::real:
            append_json_number(to, value.real);
            break;
        case Type::rational:
            append_ratio_json(to, value.rational);
            break;
        case Type::instant:
            to += '"';
            append_instant(to, value.integer);
            to += '"';
            break;
        case Type::integers:
            append_list(to, '[', ']', value.integers, [&](std::int64_t i) { append_integer(to, i); });
            break;
        case Type::texts:
        case Type::refs:
            append_list(to, '[', ']', value.texts, [&](std::string_view t) { append_json_string(to, t); });
            break;
        case Type::terms:
        case Type::passes:
            append_list(to, '{', '}', value.terms, [&](const TermText& t) {
                append_json_string(to, t.key);
                to += ':';
                append_ratio_json(to, t.weight);
            });
            break;
    }
}

}  // namespace bln
