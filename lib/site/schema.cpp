#include "site/schema.hpp"

#include <fmt/format.h>

#include <string_view>

#include "blondel/blondel.h"
#include "site/fields.hpp"
#include "site/json_text.hpp"
#include "site/model.hpp"

namespace bln {
namespace {

// Forms that many fields share. The patterns are ECMA-262 without look-around or back-references, so
// that every validator understands them.
constexpr std::string_view shared_forms = R"(  "$defs": {
    "id": {"description": "letters, digits, dot, underscore and hyphen; unique in its kind, never reused", "type": "string", "pattern": "^[A-Za-z0-9._-]{1,64}$"},
    "pass": {"description": "a circuit, or one of its conductors: circuit:1, circuit:2, circuit:3 or circuit:N", "type": "string", "pattern": "^[A-Za-z0-9._-]{1,64}(:[123N])?$"},
    "text": {"type": "string", "pattern": "^[^\\u0000]*$"},
    "instant": {"description": "RFC 3339, with Z or an offset, at most microseconds", "type": "string", "format": "date-time", "pattern": "^[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])[Tt]([01][0-9]|2[0-3]):[0-5][0-9]:[0-5][0-9](\\.[0-9]{1,6})?([Zz]|[+-]([01][0-9]|2[0-3]):[0-5][0-9])$"},
    "fraction": {"description": "a ratio of two whole numbers, such as 1/2", "type": "string", "pattern": "^-?[1-9][0-9]{0,18}/[1-9][0-9]{0,18}$"},
    "phases": {"description": "one to three different phases", "type": "string", "enum": ["A", "B", "C", "AB", "AC", "BA", "BC", "CA", "CB", "ABC", "ACB", "BAC", "BCA", "CAB", "CBA"]},
    "assignment": {"description": "a value and when it holds: in the world from `from` until before `to`, known from `recorded_at` on", "type": "object", "properties": {
      "from": {"description": "first instant; absent: always before", "$ref": "#/$defs/instant"},
      "to": {"description": "instant at which it no longer holds; absent: open", "$ref": "#/$defs/instant"},
      "recorded_at": {"description": "when it was entered; absent: not stated", "$ref": "#/$defs/instant"},
      "reason": {"description": "why it changed, in words", "$ref": "#/$defs/text"},
      "evidence": {"description": "id of the evidence that it rests on", "$ref": "#/$defs/id"}
    }},
    "ext": {"description": "free for other programs; kept, never read", "type": "object"},
)";

constexpr std::string_view layer_name(Layer layer) noexcept {
    switch (layer) {
        case Layer::as_built:
            return "as built";
        case Layer::configured:
            return "configured";
        case Layer::plan:
            break;
    }
    return "plan";
}

std::string described(const FieldInfo& f) {
    std::string text(f.doc);
    if (!f.unit.empty()) text += fmt::format(" [{}]", f.unit);
    text += fmt::format("; layer: {}", layer_name(f.layer));
    return text;
}

std::string range(const FieldInfo& f) {
    if (f.low == 0 && f.high == 0) return {};
    return fmt::format(R"(, "minimum": {}, "maximum": {})", json_number(f.low), json_number(f.high));
}

/// The keywords of one value, without the braces around them.
std::string value_keywords(const FieldInfo& f) {
    switch (f.type) {
        case Type::text:
            return holds_phases(f) ? R"("$ref": "#/$defs/phases")" : R"("$ref": "#/$defs/text")";
        case Type::ref:
            return R"("$ref": "#/$defs/id")";
        case Type::choice:
            return fmt::format(R"("$ref": "#/$defs/{}")", f.choices->name);
        case Type::boolean:
            return R"("type": "boolean")";
        case Type::instant:
            return R"("$ref": "#/$defs/instant")";
        case Type::integer:
            return R"("type": "integer")" + range(f);
        case Type::real:
            return R"("type": "number")" + range(f);
        case Type::rational:
            return fmt::format(
                R"("oneOf": [{{"type": "integer"{}, "not": {{"const": 0}}}}, {{"$ref": "#/$defs/fraction"}}])",
                range(f));
        case Type::integers:
            return fmt::format(R"("type": "array", "items": {{"type": "integer"{}}})", range(f));
        case Type::texts:
            return R"("type": "array", "items": {"$ref": "#/$defs/text"})";
        case Type::refs:
            return R"("type": "array", "items": {"$ref": "#/$defs/id"}, "uniqueItems": true)";
        case Type::terms:
        case Type::passes:
            return fmt::format(
                R"("type": "object", "propertyNames": {{"$ref": "#/$defs/{}"}}, "additionalProperties": {{"oneOf": )"
                R"([{{"type": "integer"{}, "not": {{"const": 0}}}}, {{"$ref": "#/$defs/fraction"}}]}})",
                f.type == Type::passes ? "pass" : "id", range(f));
    }
    return {};
}

std::string field_schema(const FieldInfo& f) {
    const std::string value = value_keywords(f);
    const std::string doc = json_string(described(f));
    if (!f.dated) return fmt::format(R"({{"description": {}, {}}})", doc, value);
    return fmt::format(
        R"({{"description": {}, "anyOf": [{{{}}}, {{"type": "object", "properties": {{"dated": {{"type": "array", )"
        R"("minItems": 1, "items": {{"$ref": "#/$defs/assignment", "properties": {{"value": {{{}}}}}, "required": )"
        R"(["value"], "unevaluatedProperties": false}}}}}}, "required": ["dated"], "additionalProperties": false}}]}})",
        doc, value, value);
}

void append_properties(std::string& to, Kind kind, std::string_view indent) {
    const KindInfo& k = info(kind);
    for (std::size_t i = 0; i < k.field_count; ++i)
        to += fmt::format("{}\"{}\": {},\n", indent, k.fields[i].name, field_schema(k.fields[i]));
    to += fmt::format("{}\"ext\": {{\"$ref\": \"#/$defs/ext\"}}", indent);
}

void append_choices(std::string& to) {
    const auto append = [&to](const ChoiceList& list) {
        std::string words;
        std::string doc;
        for (std::size_t i = 0; i < list.size; ++i) {
            words += fmt::format("{}{}", i == 0 ? "" : ", ", json_string(list.words[i].word));
            doc += fmt::format("{}{}: {}", i == 0 ? "" : ". ", list.words[i].word, list.words[i].doc);
        }
        to += fmt::format("    \"{}\": {{\"description\": {}, \"type\": \"string\", \"enum\": [{}]}},\n", list.name,
                          json_string(doc), words);
    };
#define BLN_APPEND(name) append(choices_##name);
    BLN_ALL_CHOICES(BLN_APPEND)
#undef BLN_APPEND
}

}  // namespace

std::string site_schema() {
    std::string out = fmt::format(
        "{{\n"
        "  \"$schema\": \"https://json-schema.org/draft/2020-12/schema\",\n"
        "  \"$id\": \"urn:blondel:schema:site:{0}\",\n"
        "  \"title\": \"Site record, format {0}\",\n"
        "  \"description\": \"How the circuits of a building are metered. What is absent is unknown; null is never "
        "written.\",\n"
        "  \"type\": \"object\",\n"
        "  \"required\": [\"blondel\"],\n"
        "  \"additionalProperties\": false,\n"
        "  \"properties\": {{\n"
        "    \"blondel\": {{\"description\": \"version of the format\", \"const\": \"{0}\"}},\n",
        BLN_FORMAT_VERSION);
    for (std::size_t i = 1; i < kind_count; ++i) {
        const KindInfo& k = info(static_cast<Kind>(i));
        out += fmt::format(
            "    \"{}\": {{\"description\": {}, \"type\": \"object\", \"propertyNames\": {{\"$ref\": \"#/$defs/id\"}}, "
            "\"additionalProperties\": {{\"$ref\": \"#/$defs/{}\"}}}},\n",
            k.collection, json_string(fmt::format("by id: {}", k.doc)), k.name);
    }
    append_properties(out, Kind::site, "    ");
    out += "\n  },\n";
    out += shared_forms;
    append_choices(out);
    for (std::size_t i = 1; i < kind_count; ++i) {
        const KindInfo& k = info(static_cast<Kind>(i));
        out += fmt::format(
            "    \"{}\": {{\n      \"description\": {},\n      \"type\": \"object\",\n"
            "      \"additionalProperties\": false,\n      \"properties\": {{\n",
            k.name, json_string(k.doc));
        append_properties(out, static_cast<Kind>(i), "        ");
        out += fmt::format("\n      }}\n    }}{}\n", i + 1 == kind_count ? "" : ",");
    }
    out += "  }\n}\n";
    return out;
}

}  // namespace bln
