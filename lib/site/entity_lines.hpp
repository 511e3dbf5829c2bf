// The entities of one kind as a person wants to read them: a line each, in columns.
#pragma once

#include <string>
#include <vector>

#include "site/value.hpp"

namespace bln {

/// The cell of a field that has assignments, or null.
[[nodiscard]] inline const Cell* shown(const Entity& entity, std::size_t field) noexcept {
    const Cell* cell = entity.find(field);
    return cell == nullptr || cell->assignments.empty() ? nullptr : cell;
}

/// Appends the members of the object that holds @p entities, without its braces.
void append_entity_lines(std::string& to, Kind kind, const std::vector<Entity>& entities);

}  // namespace bln
