#include "site/merge.hpp"

#include <algorithm>
#include <string>

#include "site/error_list.hpp"
#include "site/finding.hpp"

namespace bln {
namespace {

bool same_cell(const FieldInfo& field, const Cell& a, const Cell& b) {
    return std::equal(a.assignments.begin(), a.assignments.end(), b.assignments.begin(), b.assignments.end(),
                      [&](const Assignment& x, const Assignment& y) {
                          return x.from == y.from && x.to == y.to && x.recorded_at == y.recorded_at &&
                                 x.reason == y.reason && x.evidence == y.evidence && same(field.type, x.value, y.value);
                      });
}

void merge_entity(Model& into, Kind kind, std::uint32_t at, const Entity& from, bool replace, ErrorList& errors) {
    const auto conflict = [&](std::string_view field) {
        errors.add({BLN_E_EXISTS,
                    std::string(info(kind).name) + (from.id.empty() ? "" : " ") + std::string(from.id) +
                        " has another " + std::string(field) + " already",
                    std::string(from.id), pointer_to(kind, from.id, field)});
    };
    for (const Cell& cell : from.cells) {
        if (cell.assignments.empty()) continue;
        const FieldInfo& field = info(kind).fields[cell.field];
        const Cell* there = into.entities(kind)[at].find(cell.field);
        if (there != nullptr && !there->assignments.empty()) {
            if (same_cell(field, *there, cell)) continue;
            if (!replace) {
                conflict(field.name);
                continue;
            }
            into.clear(kind, at, cell.field);
        }
        for (const Assignment& a : cell.assignments) {
            if (a.plain() && cell.assignments.size() == 1)
                into.set(kind, at, cell.field, a.value);
            else
                into.assign(kind, at, cell.field, a);
        }
    }
    const std::string_view ext = into.entities(kind)[at].ext;
    if (from.ext.empty() || from.ext == ext) return;
    if (!ext.empty() && !replace) return conflict("ext");
    into.set_ext(kind, at, from.ext);
}

}  // namespace

std::unique_ptr<Model> merged(const Model& into, const Model& from, bool replace) {
    std::unique_ptr<Model> out = into.clone();
    ErrorList errors;
    for (std::size_t k = 0; k < kind_count; ++k) {
        const auto kind = static_cast<Kind>(k);
        const std::vector<Entity>& entities = from.entities(kind);
        for (std::size_t i = 0; i < entities.size(); ++i) {
            // The site itself is one entity without an id.
            const std::int32_t found = kind == Kind::site ? 0 : out->find(kind, entities[i].id);
            const std::uint32_t at = found >= 0 ? static_cast<std::uint32_t>(found) : out->add(kind, entities[i].id);
            merge_entity(*out, kind, at, entities[i], replace, errors);
        }
    }
    errors.raise();
    return out;
}

}  // namespace bln
