#include "site/value_reader.hpp"

#include <algorithm>
#include <charconv>

#include "site/instant.hpp"
#include "site/json_scan.hpp"
#include "site/units.hpp"

namespace bln {
namespace {

constexpr std::string_view ratio_form = "a whole number, or a ratio such as \"1/2\"";

std::string_view found(Scalar::Kind kind) noexcept {
    switch (kind) {
        case Scalar::Kind::null:
            return "null";
        case Scalar::Kind::boolean:
            return "true or false";
        case Scalar::Kind::number:
            return "a number";
        case Scalar::Kind::string:
            return "a text";
    }
    return "";
}

Trouble wrong_type(std::string_view wanted, Scalar::Kind kind) {
    if (kind == Scalar::Kind::null) return {BLN_E_TYPE, "null is refused: leave out what is unknown"};
    std::string message("expected ");
    message.append(wanted).append(", found ").append(found(kind));
    return {BLN_E_TYPE, std::move(message)};
}

/// A text where a number belongs: perhaps one with its unit.
Trouble no_number(const FieldInfo& field, const Scalar& from) {
    if (from.kind == Scalar::Kind::string && number_with_unit(from.text)) {
        std::string message = "\"" + std::string(from.text) + "\": write the bare number";
        if (!field.unit.empty()) message.append(" in ").append(field.unit);
        return {BLN_E_UNIT, std::move(message)};
    }
    return wrong_type(expected(field), from.kind);
}

/// Digits without a leading zero. False also when they do not fit; @p grammar tells.
bool take_digits(std::string_view text, std::int64_t& out, bool& grammar) noexcept {
    const std::string_view digits = !text.empty() && text[0] == '-' ? text.substr(1) : text;
    grammar = !digits.empty() && digits[0] != '0' &&
              std::all_of(digits.begin(), digits.end(), [](char c) { return c >= '0' && c <= '9'; });
    if (!grammar) return false;
    const auto done = std::from_chars(text.data(), text.data() + text.size(), out);
    return done.ec == std::errc();
}

}  // namespace

std::string expected(const FieldInfo& field) {
    const auto with_unit = [&](std::string text) {
        if (!field.unit.empty()) text.append(" in ").append(field.unit);
        return text;
    };
    switch (field.type) {
        case Type::text:
            return "a text";
        case Type::ref:
            return "the id of a " + std::string(info(field.target).name);
        case Type::choice: {
            std::string out("one of");
            for (std::size_t i = 0; i < field.choices->size; ++i)
                out.append(i == 0 ? " \"" : ", \"").append(field.choices->words[i].word).append("\"");
            return out;
        }
        case Type::boolean:
            return "true or false";
        case Type::integer:
            return with_unit("a whole number");
        case Type::real:
            return with_unit("a number");
        case Type::rational:
            return std::string(ratio_form);
        case Type::instant:
            return "an instant such as \"2026-03-01T00:00:00Z\"";
        case Type::integers:
            return "a list of whole numbers";
        case Type::texts:
            return "a list of texts";
        case Type::refs:
            return "a list of ids of a " + std::string(info(field.target).name);
        case Type::terms:
            return "an object from the id of a " + std::string(info(field.target).name) + " to its weight";
        case Type::passes:
            return "an object from circuit, or circuit:pole, to its turns";
    }
    return {};
}

Trouble take_text(const Scalar& from, std::string_view& out) {
    if (from.kind != Scalar::Kind::string) return wrong_type("a text", from.kind);
    out = from.text;
    return {};
}

Trouble take_integer(const FieldInfo& field, const Scalar& from, std::int64_t& out) {
    if (from.kind != Scalar::Kind::number) return no_number(field, from);
    if (json_integer(from.text, out)) return {};
    if (!json_whole(from.text)) return {BLN_E_TYPE, std::string(from.text) + " is not a whole number"};
    return {BLN_E_VALUE, std::string(from.text.substr(0, 40)) + " needs more than 64 bits"};
}

Trouble take_ratio(const Scalar& from, Rational& out) {
    std::int64_t num = 0;
    if (from.kind == Scalar::Kind::number) {
        if (json_integer(from.text, num)) {
            out = Rational(num);
            return {};
        }
        if (!json_whole(from.text))
            return {BLN_E_TYPE, std::string(from.text) + " is no exact ratio: write a whole number, or \"p/q\""};
        return {BLN_E_VALUE, std::string(from.text.substr(0, 40)) + " needs more than 64 bits"};
    }
    if (from.kind != Scalar::Kind::string) return wrong_type(ratio_form, from.kind);
    std::int64_t den = 0;
    const std::size_t slash = from.text.find('/');
    if (slash == std::string_view::npos)
        return {BLN_E_VALUE, "\"" + std::string(from.text) + "\" is not " + std::string(ratio_form)};
    const std::string_view below = from.text.substr(slash + 1);
    if (below == "0") return {BLN_E_VALUE, "the ratio " + std::string(from.text) + " divides by zero"};
    bool above_good = false;
    bool below_good = false;
    const bool above_fits = take_digits(from.text.substr(0, slash), num, above_good);
    const bool below_fits = take_digits(below, den, below_good);
    if (!above_good || !below_good || den < 0)
        return {BLN_E_VALUE, "\"" + std::string(from.text) + "\" is not " + std::string(ratio_form)};
    if (!above_fits || !below_fits)
        return {BLN_E_VALUE, "the ratio " + std::string(from.text) + " needs more than 64 bits"};
    out = Rational(num, den);
    return {};
}

Trouble take_instant(const Scalar& from, Instant& out) {
    if (from.kind != Scalar::Kind::string) return wrong_type("an instant such as \"2026-03-01T00:00:00Z\"", from.kind);
    const std::string_view why = read_instant(from.text, out);
    if (why.empty()) return {};
    return {BLN_E_VALUE, "\"" + std::string(from.text) + "\": " + std::string(why)};
}

Trouble take_scalar(const FieldInfo& field, const Scalar& from, Value& out) {
    switch (field.type) {
        case Type::text:
        case Type::ref:
            if (from.kind != Scalar::Kind::string) return wrong_type(expected(field), from.kind);
            out.text = from.text;
            return {};
        case Type::choice:
            if (from.kind != Scalar::Kind::string) return wrong_type(expected(field), from.kind);
            out.integer = field.choices->find(from.text);
            if (out.integer < 0) return {BLN_E_VALUE, "\"" + std::string(from.text) + "\" is not " + expected(field)};
            return {};
        case Type::boolean:
            if (from.kind != Scalar::Kind::boolean) return wrong_type(expected(field), from.kind);
            out.integer = from.truth ? 1 : 0;
            return {};
        case Type::integer:
            return take_integer(field, from, out.integer);
        case Type::real:
            if (from.kind != Scalar::Kind::number) return no_number(field, from);
            if (!json_real(from.text, out.real)) return {BLN_E_NOT_FINITE, "the number is beyond a 64-bit double"};
            return {};
        case Type::rational:
            return take_ratio(from, out.rational);
        case Type::instant:
            return take_instant(from, out.integer);
        default:
            return wrong_type(expected(field), from.kind);
    }
}

}  // namespace bln
