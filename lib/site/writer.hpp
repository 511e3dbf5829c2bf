// A record as the text of a site file. Reading what is written gives an equal record.
#pragma once

#include <string>
#include <string_view>

#include "site/model.hpp"

namespace bln {

enum class JsonStyle : std::uint8_t {
    readable,  ///< one entity a line, fields in table order, columns aligned
    canonical  ///< RFC 8785
};

/// Throws Failure(BLN_E_RANGE) for an instant outside the years 0001 to 9999.
[[nodiscard]] std::string write_site(const Model& model, JsonStyle style);

// The parts of a file, for patches. None of them breaks lines.

/// One assignment of the dated form: {"from": ..., "value": ...}.
void append_assignment(std::string& to, const FieldInfo& field, const Assignment& assignment, JsonStyle style);
/// A field: the plain value, or {"dated": [...]}.
void append_field(std::string& to, const FieldInfo& field, const Cell& cell, JsonStyle style);
/// An entity with its fields and its ext.
void append_entity(std::string& to, Kind kind, const Entity& entity, JsonStyle style);
/// An ext as it was given, or canonical.
void append_ext(std::string& to, std::string_view ext, JsonStyle style);

/// Whether the file shows this field by its plain value.
[[nodiscard]] bool written_plain(const Cell& cell) noexcept;

}  // namespace bln
