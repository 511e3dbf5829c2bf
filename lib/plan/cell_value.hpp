// The text of one cell of a schedule -> one value of a field.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "plan/schedule_map.hpp"
#include "site/value_reader.hpp"

namespace bln::plan {

/// A value with what it borrows from.
struct CellValue {
    Value value;
    std::string text;
    std::vector<std::int64_t> integers;
    std::vector<std::string> keys;  ///< of texts, refs, terms, passes
    std::vector<Rational> weights;  ///< of terms, passes
    [[nodiscard]] static bool is_list(Type type) noexcept {
        return type == Type::integers || type == Type::texts || type == Type::refs || type == Type::terms ||
               type == Type::passes;
    }
};

/// Reads a cell that is not empty. Items of terms and passes are "key" or "key=weight".
[[nodiscard]] Trouble read_cell(const ScheduleMap& map, const Target& target, std::string_view cell, CellValue& out);

}  // namespace bln::plan
