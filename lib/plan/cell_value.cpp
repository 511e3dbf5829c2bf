#include "plan/cell_value.hpp"

#include <algorithm>

namespace bln::plan {
namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }

/// A number as JSON writes it; zeros in front are taken off, as in "07".
bool number_text(std::string_view cell, char decimal, std::string& out) {
    out.clear();
    std::size_t i = 0;
    if (i < cell.size() && cell[i] == '-') out += cell[i++];
    while (i + 1 < cell.size() && cell[i] == '0' && is_digit(cell[i + 1])) ++i;
    const std::size_t digits = i;
    while (i < cell.size() && is_digit(cell[i])) out += cell[i++];
    if (i == digits) return false;
    if (i < cell.size() && cell[i] == decimal) {
        out += '.';
        const std::size_t fraction = ++i;
        while (i < cell.size() && is_digit(cell[i])) out += cell[i++];
        if (i == fraction) return false;
    }
    return i == cell.size();
}

Trouble read_boolean(std::string_view cell, Value& out) {
    for (const std::string_view yes : {"true", "yes", "1"})
        if (cell == yes) return out.integer = 1, Trouble{};
    for (const std::string_view no : {"false", "no", "0"})
        if (cell == no) return out.integer = 0, Trouble{};
    return {BLN_E_TYPE,
            "\"" + std::string(cell) + "\" is none of true, false, yes, no, 1, 0; \"words\" can say which it is"};
}

Trouble read_scalar(const ScheduleMap& map, const FieldInfo& field, CellValue& out) {
    if (field.type == Type::boolean) return read_boolean(out.text, out.value);
    const bool numeric = field.type == Type::integer || field.type == Type::real || field.type == Type::rational;
    if (std::string number; numeric && number_text(out.text, map.decimal, number)) {
        // 20,0 is a whole number where the comma is the decimal sign.
        if (field.type != Type::real)
            if (const std::size_t dot = number.find('.');
                dot != std::string::npos && number.find_first_not_of('0', dot + 1) == std::string::npos)
                number.resize(dot);
        return take_scalar(field, {Scalar::Kind::number, false, number}, out.value);
    }
    return take_scalar(field, {Scalar::Kind::string, false, out.text}, out.value);
}

Trouble add_item(const ScheduleMap& map, const FieldInfo& field, std::string_view item, CellValue& out) {
    if (field.type == Type::integers) {
        std::string number;
        std::int64_t n = 0;
        if (!number_text(item, map.decimal, number))
            return {BLN_E_TYPE, "\"" + std::string(item) + "\" is not a whole number"};
        const Trouble trouble = take_integer(field, {Scalar::Kind::number, false, number}, n);
        out.integers.push_back(n);
        return trouble;
    }
    const std::size_t sign =
        field.type == Type::terms || field.type == Type::passes ? item.find('=') : std::string::npos;
    out.keys.emplace_back(item.substr(0, sign));
    Rational weight(1);
    if (sign != std::string::npos) {
        const std::string_view text = item.substr(sign + 1);
        std::string number;
        const bool plain = number_text(text, map.decimal, number);
        const Trouble trouble = take_ratio(
            {plain ? Scalar::Kind::number : Scalar::Kind::string, false, plain ? std::string_view(number) : text},
            weight);
        if (trouble) return trouble;
    }
    out.weights.push_back(weight);
    return {};
}

}  // namespace

Trouble read_cell(const ScheduleMap& map, const Target& target, std::string_view cell, CellValue& out) {
    const FieldInfo& field = *target.info();
    out.text = cell;
    for (const WordList& list : map.words)
        if (list.target == target)
            for (const auto& [from, to] : list.words)
                if (from == cell) out.text = to;
    if (!CellValue::is_list(field.type)) return read_scalar(map, field, out);
    // An id may hold a hyphen and no other of the signs that part a list; a list of texts is parted by semicolons.
    std::string parts = map.list;
    if (field.type != Type::integers && parts.size() > 1) parts = field.type == Type::texts ? ";" : " ;";
    if (field.type == Type::integers && parts.size() > 1) parts += ',';
    std::string_view rest = out.text;
    while (!rest.empty()) {
        const std::size_t end = std::min(rest.find_first_of(parts), rest.size());
        std::string_view item = rest.substr(0, end);
        rest.remove_prefix(std::min(end + 1, rest.size()));
        while (!item.empty() && item.front() == ' ') item.remove_prefix(1);
        while (!item.empty() && item.back() == ' ') item.remove_suffix(1);
        if (item.empty()) continue;
        if (Trouble trouble = add_item(map, field, item, out)) return trouble;
    }
    return {};
}

}  // namespace bln::plan
