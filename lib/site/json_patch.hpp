// JSON Patch (RFC 6902) with JSON Pointer (RFC 6901), strictly as they are written.
#pragma once

#include "site/json_tree.hpp"

namespace bln {

/// @p target after all operations of @p patch, in order. Throws Failure with the place in the patch,
/// such as "/3/path" for its fourth operation:
///   BLN_E_PATCH       not a patch, or an operation that cannot be carried out
///   BLN_E_PATCH_TEST  a `test` that does not hold, or whose target does not exist
///   BLN_E_DEPTH       the document would nest deeper than @p limits allow
///   BLN_E_SIZE        it would grow by more memory than max_bytes: each `copy` can double it
/// The whole document can be replaced but not removed.
[[nodiscard]] Json patched(Json target, const JsonDocument& patch, const JsonLimits& limits = {});

}  // namespace bln
