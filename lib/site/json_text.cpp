#include "site/json_text.hpp"

#include <array>
#include <charconv>
#include <cmath>

#include "power/failure.hpp"

namespace bln {
namespace {

constexpr std::array<char, 32> short_escapes = [] {
    std::array<char, 32> t{};
    t['\b'] = 'b';
    t['\t'] = 't';
    t['\n'] = 'n';
    t['\f'] = 'f';
    t['\r'] = 'r';
    return t;
}();

}  // namespace

void append_json_string(std::string& to, std::string_view utf8) {
    to += '"';
    std::size_t done = 0;
    for (std::size_t i = 0; i < utf8.size(); ++i) {
        const auto c = static_cast<unsigned char>(utf8[i]);
        if (c >= 0x20 && c != '"' && c != '\\') continue;
        to += utf8.substr(done, i - done);
        done = i + 1;
        to += '\\';
        if (c >= 0x20) {
            to += static_cast<char>(c);
        } else if (short_escapes[c] != 0) {
            to += short_escapes[c];
        } else {
            to += c < 0x10 ? "u000" : "u001";
            to += "0123456789abcdef"[c & 15U];
        }
    }
    to += utf8.substr(done);
    to += '"';
}

std::string json_string(std::string_view utf8) {
    std::string out;
    append_json_string(out, utf8);
    return out;
}

void append_json_number(std::string& to, double value) {
    if (!std::isfinite(value)) throw Failure(BLN_E_NOT_FINITE, "JSON has no infinite number and no NaN");
    if (value == 0) {
        to += '0';
        return;
    }
    // d.ddde±xx with the fewest digits; ECMA-262 asks for the same digits in another layout.
    std::array<char, 32> buffer{};
    const auto written =
        std::to_chars(buffer.data(), buffer.data() + buffer.size(), std::fabs(value), std::chars_format::scientific);
    const std::string_view text(buffer.data(), static_cast<std::size_t>(written.ptr - buffer.data()));
    const std::size_t e = text.find('e');
    std::string digits(1, text[0]);
    if (e > 2) digits += text.substr(2, e - 2);
    int exponent = 0;
    const char* const first = text.data() + e + (text[e + 1] == '+' ? 2 : 1);
    std::from_chars(first, text.data() + text.size(), exponent);

    // point: how many digits stand before the decimal point.
    const int point = exponent + 1;
    const auto count = static_cast<int>(digits.size());
    if (value < 0) to += '-';
    if (count <= point && point <= 21) {
        to += digits;
        to.append(static_cast<std::size_t>(point - count), '0');
    } else if (0 < point && point <= 21) {
        to += digits.insert(static_cast<std::size_t>(point), 1, '.');
    } else if (-6 < point && point <= 0) {
        to += "0.";
        to.append(static_cast<std::size_t>(-point), '0');
        to += digits;
    } else {
        if (count > 1) digits.insert(1, 1, '.');
        to += digits;
        to += exponent < 0 ? "e-" : "e+";
        to += std::to_string(exponent < 0 ? -exponent : exponent);
    }
}

std::string json_number(double value) {
    std::string out;
    append_json_number(out, value);
    return out;
}

void append_pointer_token(std::string& to, std::string_view token) {
    to += '/';
    for (const char c : token) {
        if (c == '~')
            to += "~0";
        else if (c == '/')
            to += "~1";
        else
            to += c;
    }
}

}  // namespace bln
