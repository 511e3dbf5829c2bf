#include "capi/lookup.hpp"

#include <cstddef>

#include "site/value_reader.hpp"

namespace bln::capi {

void Spot::require(std::initializer_list<Type> types) const {
    for (const Type t : types)
        if (row().type == t) return;
    throw failure(BLN_E_TYPE, std::string(row().name) + " of a " + std::string(info(kind).name) + " holds " +
                                  expected(row()) + "; this function is for another type of field");
}

std::uint32_t find_entity(const Model& model, Kind kind, std::string_view id) {
    const std::int32_t at = model.find(kind, id);
    if (at < 0)
        throw Failure(BLN_E_NO_ENTITY, "there is no " + std::string(info(kind).name) + " \"" + std::string(id) + "\"",
                      std::string(id), pointer_to(kind, id));
    return static_cast<std::uint32_t>(at);
}

Spot find_spot(const Model& model, bln_kind kind, const char* id, const char* field) {
    const std::string_view wanted = required_text(id, "id");
    const std::string_view name = required_text(field, "field");
    const Kind k = kind_of(kind);
    const std::uint32_t at = find_entity(model, k, wanted);
    const int f = info(k).find(name);
    if (f < 0)
        throw Failure(BLN_E_FIELD, "a " + std::string(info(k).name) + " has no field \"" + std::string(name) + "\"",
                      std::string(wanted), pointer_to(k, wanted, name));
    return {k, at, static_cast<std::size_t>(f), wanted};
}

JsonLimits json_limits(const bln_limits* limits) {
    JsonLimits out;
    if (limits == nullptr) return out;
    const bln_limits given = take(limits, "limits");
    // A caller that knows a shorter struct leaves the rest at the defaults.
    if (limits->size >= offsetof(bln_limits, max_depth) + sizeof given.max_depth) out.max_depth = given.max_depth;
    if (limits->size >= offsetof(bln_limits, max_bytes) + sizeof given.max_bytes) out.max_bytes = given.max_bytes;
    if (out.max_depth < 1 || out.max_depth > json_depth_ceiling)
        throw Failure(BLN_E_RANGE, "limits->max_depth runs from 1 to " + std::to_string(json_depth_ceiling));
    return out;
}

}  // namespace bln::capi
