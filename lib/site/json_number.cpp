// Exact conversion of JSON number texts, without locale.
#include <algorithm>
#include <charconv>
#include <cstdint>

#include "site/json_scan.hpp"

namespace bln {
namespace {

/// A number text taken apart: the value is 0.DIGITS * 10^scale, leading zeros stripped.
struct Parts {
    bool negative = false;
    std::string_view whole, fraction;
    std::int64_t exponent = 0;

    explicit Parts(std::string_view t) noexcept {
        if (!t.empty() && t[0] == '-') {
            negative = true;
            t.remove_prefix(1);
        }
        const std::size_t e = t.find_first_of("eE");
        if (e != std::string_view::npos) {
            std::string_view x = t.substr(e + 1);
            const bool minus = !x.empty() && x[0] == '-';
            if (!x.empty() && (x[0] == '+' || x[0] == '-')) x.remove_prefix(1);
            for (const char c : x) exponent = std::min<std::int64_t>(exponent * 10 + (c - '0'), 1'000'000'000'000);
            if (minus) exponent = -exponent;
            t = t.substr(0, e);
        }
        const std::size_t dot = t.find('.');
        whole = t.substr(0, dot);
        if (dot != std::string_view::npos) fraction = t.substr(dot + 1);
        while (!fraction.empty() && fraction.back() == '0') fraction.remove_suffix(1);
        while (!whole.empty() && whole.front() == '0') whole.remove_prefix(1);
    }
    [[nodiscard]] bool zero() const noexcept {
        return whole.empty() && fraction.find_first_not_of('0') == std::string_view::npos;
    }
    /// Power of ten just above the first digit; meaningful for numbers other than zero.
    [[nodiscard]] std::int64_t magnitude() const noexcept {
        if (!whole.empty()) return exponent + static_cast<std::int64_t>(whole.size());
        return exponent - static_cast<std::int64_t>(fraction.find_first_not_of('0'));
    }
};

}  // namespace

bool json_real(std::string_view number, double& out) noexcept {
    const auto [end, error] = std::from_chars(number.data(), number.data() + number.size(), out);
    if (error == std::errc::result_out_of_range) {
        // Too large and too small are reported alike.
        const Parts parts(number);
        if (!parts.zero() && parts.magnitude() > 0) return false;
        out = parts.negative ? -0.0 : 0.0;
        return true;
    }
    return error == std::errc() && end == number.data() + number.size();
}

bool json_whole(std::string_view number) noexcept {
    const Parts parts(number);
    if (parts.zero()) return true;
    if (parts.exponent >= 0) return static_cast<std::int64_t>(parts.fraction.size()) <= parts.exponent;
    if (!parts.fraction.empty()) return false;
    const std::size_t last = parts.whole.find_last_not_of('0');
    return static_cast<std::int64_t>(parts.whole.size() - 1 - last) >= -parts.exponent;
}

bool json_integer(std::string_view number, std::int64_t& out) noexcept {
    const char* to = number.data() + number.size();
    const auto [end, error] = std::from_chars(number.data(), to, out);
    if (error == std::errc() && end == to) return true;
    if (!json_whole(number)) return false;
    const Parts parts(number);
    if (parts.zero()) {
        out = 0;
        return true;
    }
    const std::int64_t digits = parts.magnitude();
    if (digits > 19) return false;
    char text[24];
    std::size_t n = 0;
    if (parts.negative) text[n++] = '-';
    for (std::int64_t i = 0; i < digits; ++i) {
        // Digit i of the number, counted from its first significant one.
        std::size_t at = static_cast<std::size_t>(i);
        if (parts.whole.empty()) at += parts.fraction.find_first_not_of('0');
        char c = '0';
        if (at < parts.whole.size())
            c = parts.whole[at];
        else if (at - parts.whole.size() < parts.fraction.size())
            c = parts.fraction[at - parts.whole.size()];
        text[n++] = c;
    }
    const auto [last, wrong] = std::from_chars(text, text + n, out);
    return wrong == std::errc() && last == text + n;
}

}  // namespace bln
