// UTF-16 to UTF-8.
#pragma once

#include <string>
#include <string_view>

namespace bln {

/// Without a byte order mark at the start. Throws BLN_E_ENCODING for half a code unit, a lone surrogate, U+0000, or a
/// mark of the other byte order; the place is counted in bytes of the text as given, line by line.
[[nodiscard]] std::string utf8_of_utf16(std::string_view bytes, bool big_endian);

}  // namespace bln
