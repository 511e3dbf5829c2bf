// Telling "a quantity in another unit" from "no such field": a wrong unit is the costlier mistake.
#pragma once

#include <string>
#include <string_view>

#include "site/fields.hpp"

namespace bln {

/// The field of @p kind that means the same quantity as @p name in another unit, such as
/// primary_amps for primary_milliamps; or null.
[[nodiscard]] const FieldInfo* other_unit_of(const KindInfo& kind, std::string_view name) noexcept;

/// Whether @p text is a number followed by a unit, such as "60 A".
[[nodiscard]] bool number_with_unit(std::string_view text) noexcept;

}  // namespace bln
