// Entities and fields of one record added to another.
#pragma once

#include <memory>

#include "site/model.hpp"

namespace bln {

/// @p into with everything of @p from; both stay as they are.
/// @param replace fields that both have with different assignments: true: those of @p from; false: throws
///        BLN_E_EXISTS, one item a field
[[nodiscard]] std::unique_ptr<Model> merged(const Model& into, const Model& from, bool replace);

}  // namespace bln
