// What the functions over records have in common: kinds, entities and fields by name, limits.
#pragma once

#include <string>
#include <string_view>

#include "capi/sized.hpp"
#include "site/json_scan.hpp"

namespace bln::capi {

/// Throws BLN_E_NAME.
[[nodiscard]] inline Kind kind_of(bln_kind number) {
    const int kind = kind_by_number(number);
    if (kind < 0) throw Failure(BLN_E_NAME, "there is no kind " + std::to_string(number));
    return static_cast<Kind>(kind);
}

/// One field of one entity of a record.
struct Spot {
    Kind kind;
    std::uint32_t at;
    std::size_t field;
    std::string_view id;

    [[nodiscard]] const FieldInfo& row() const noexcept { return info(kind).fields[field]; }
    [[nodiscard]] const Entity& entity(const Model& model) const noexcept { return model.entities(kind)[at]; }
    /// An error about this field.
    [[nodiscard]] Failure failure(bln_status status, std::string message) const {
        return {status, std::move(message), std::string(id), pointer_to(kind, id, row().name)};
    }
    /// Throws BLN_E_TYPE unless the field has one of these types.
    void require(std::initializer_list<Type> types) const;
};

/// Position of an entity. Throws BLN_E_NAME, BLN_E_NO_ENTITY.
[[nodiscard]] std::uint32_t find_entity(const Model& model, Kind kind, std::string_view id);
/// Throws BLN_E_NAME, BLN_E_NO_ENTITY, BLN_E_FIELD.
[[nodiscard]] Spot find_spot(const Model& model, bln_kind kind, const char* id, const char* field);

/// The caller's limits, or the defaults. Throws BLN_E_RANGE for a depth outside 1 to 1000.
[[nodiscard]] JsonLimits json_limits(const bln_limits* limits);

/// Adds subject and pointer to an error that knows neither.
template <class Body>
void located(const Spot& spot, Body&& body) {
    try {
        std::forward<Body>(body)();
    } catch (const Failure& f) {
        throw spot.failure(f.items().front().status, f.items().front().message);
    }
}

}  // namespace bln::capi
