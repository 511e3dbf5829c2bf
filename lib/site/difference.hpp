// What has to be done to one record to get another, as a JSON Patch.
#pragma once

#include <string>

#include "site/model.hpp"

namespace bln {

/// JSON Patch (RFC 6902) that turns the file of @p before into the file of @p after, one operation a
/// line; "[]" when they say the same. Where a history only grew, the new assignments are appended to
/// it; anything else that changed is replaced field by field.
[[nodiscard]] std::string site_difference(const Model& before, const Model& after);

}  // namespace bln
