// UTF-8 as RFC 3629 defines it: no overlong forms, no surrogates, nothing past U+10FFFF.
#pragma once

#include <cstddef>
#include <string_view>

namespace bln {

/// Offset of the first byte that does not belong to well-formed UTF-8, or npos.
[[nodiscard]] std::size_t invalid_utf8(std::string_view bytes) noexcept;
[[nodiscard]] inline bool valid_utf8(std::string_view bytes) noexcept {
    return invalid_utf8(bytes) == std::string_view::npos;
}

}  // namespace bln
