// A JSON Patch applied to a record.
#pragma once

#include <memory>
#include <string_view>

#include "site/json_scan.hpp"
#include "site/model.hpp"

namespace bln {

/// The record whose file is that of @p record after @p patch (RFC 6902). @p record stays as it is.
/// Throws Failure: of the patch with its place there; of the result, as the reader finds it, with the
/// pointer into the record and no line, because nobody has seen that text.
[[nodiscard]] std::unique_ptr<Model> patched(const Model& record, std::string_view patch,
                                             const JsonLimits& limits = {});

}  // namespace bln
