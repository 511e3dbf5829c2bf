// The one canonical form of a JSON text: RFC 8785 (JSON Canonicalization Scheme).
#pragma once

#include <string>
#include <string_view>

#include "site/json_tree.hpp"

namespace bln {

/// Whether key @p a comes before @p b: by UTF-16 code units (RFC 8785, 3.2.3). Both are UTF-8.
[[nodiscard]] bool canonical_less(std::string_view a, std::string_view b) noexcept;

/// Appends @p value without spaces, keys sorted, strings and numbers as ECMA-262 writes them. Numbers
/// count as 64-bit doubles: digits beyond one are lost, as the RFC wants it.
void append_canonical(std::string& to, const Json& value);
[[nodiscard]] std::string canonical(const Json& value);

}  // namespace bln
