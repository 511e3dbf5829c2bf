#include "site/utf16.hpp"

#include <cstdint>

#include "power/failure.hpp"

namespace bln {
namespace {

void append_utf8(std::string& to, std::uint32_t c) {
    const auto byte = [&](std::uint32_t b) { to += static_cast<char>(static_cast<unsigned char>(b)); };
    if (c < 0x80) {
        byte(c);
    } else if (c < 0x800) {
        byte(0xC0U | c >> 6U);
        byte(0x80U | (c & 0x3FU));
    } else if (c < 0x10000) {
        byte(0xE0U | c >> 12U);
        byte(0x80U | (c >> 6U & 0x3FU));
        byte(0x80U | (c & 0x3FU));
    } else {
        byte(0xF0U | c >> 18U);
        byte(0x80U | (c >> 12U & 0x3FU));
        byte(0x80U | (c >> 6U & 0x3FU));
        byte(0x80U | (c & 0x3FU));
    }
}

}  // namespace

std::string utf8_of_utf16(std::string_view bytes, bool big_endian) {
    std::string out;
    out.reserve(bytes.size());
    std::uint64_t line = 1;
    std::size_t line_at = 0;
    const auto fail = [&](std::size_t at, const char* why) {
        throw Failure(ErrorItem{BLN_E_ENCODING, why, {}, {}, line, at - line_at + 1, at});
    };
    const auto unit = [&](std::size_t at) -> std::uint32_t {
        const auto a = static_cast<unsigned char>(bytes[at]), b = static_cast<unsigned char>(bytes[at + 1]);
        return big_endian ? std::uint32_t{a} << 8U | b : std::uint32_t{b} << 8U | a;
    };
    for (std::size_t at = 0; at < bytes.size(); at += 2) {
        if (at + 2 > bytes.size()) fail(at, "the text ends in the middle of a character of UTF-16");
        std::uint32_t c = unit(at);
        if (c == 0xFEFF && at == 0) continue;
        if (c == 0xFFFE && at == 0) fail(at, "the byte order mark is that of the other UTF-16");
        if (c == 0) fail(at, "U+0000 stands in the text");
        if (c >= 0xDC00 && c < 0xE000) fail(at, "a second half of a pair of UTF-16 without its first");
        if (c >= 0xD800 && c < 0xDC00) {
            if (at + 4 > bytes.size()) fail(at, "the text ends in the middle of a character of UTF-16");
            const std::uint32_t low = unit(at + 2);
            if (low < 0xDC00 || low >= 0xE000) fail(at, "a first half of a pair of UTF-16 without its second");
            c = 0x10000 + ((c - 0xD800) << 10U) + (low - 0xDC00);
            at += 2;
        }
        append_utf8(out, c);
        if (c == '\n') {
            ++line;
            line_at = at + 2;
        }
    }
    return out;
}

}  // namespace bln
