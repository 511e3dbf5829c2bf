#include "site/utf8.hpp"

#include <cstdint>
#include <cstring>

namespace bln {

std::size_t invalid_utf8(std::string_view bytes) noexcept {
    const std::size_t n = bytes.size();
    const auto at = [&](std::size_t i) { return static_cast<unsigned char>(bytes[i]); };
    const auto follows = [&](std::size_t i) { return i < n && (at(i) & 0xC0U) == 0x80U; };
    for (std::size_t i = 0; i < n;) {
        // Most of a file is ASCII: eight bytes at a time.
        if (i + 8 <= n) {
            std::uint64_t eight = 0;
            std::memcpy(&eight, bytes.data() + i, 8);
            if ((eight & 0x8080808080808080ULL) == 0) {
                i += 8;
                continue;
            }
        }
        const unsigned char c = at(i);
        if (c < 0x80) {
            ++i;
        } else if (c >= 0xC2 && c <= 0xDF) {
            if (!follows(i + 1)) return i;
            i += 2;
        } else if (c >= 0xE0 && c <= 0xEF) {
            if (!follows(i + 1) || !follows(i + 2)) return i;
            if (c == 0xE0 && at(i + 1) < 0xA0) return i;
            if (c == 0xED && at(i + 1) > 0x9F) return i;
            i += 3;
        } else if (c >= 0xF0 && c <= 0xF4) {
            if (!follows(i + 1) || !follows(i + 2) || !follows(i + 3)) return i;
            if (c == 0xF0 && at(i + 1) < 0x90) return i;
            if (c == 0xF4 && at(i + 1) > 0x8F) return i;
            i += 4;
        } else {
            return i;
        }
    }
    return std::string_view::npos;
}

}  // namespace bln
