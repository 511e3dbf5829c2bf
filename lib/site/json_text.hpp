// The two JSON forms that need care when they are written: strings and numbers.
#pragma once

#include <string>
#include <string_view>

namespace bln {

/// Appends @p utf8 as a JSON string with the fewest escapes (RFC 8785, 3.2.2.2): the two-letter forms
/// where JSON has one, \u00xx for the other control characters, everything else as it is.
void append_json_string(std::string& to, std::string_view utf8);
[[nodiscard]] std::string json_string(std::string_view utf8);

/// Appends a finite double with the fewest digits that read back as the same number, laid out as
/// ECMA-262 Number::toString does (RFC 8785, 3.2.2.3); minus zero becomes 0.
/// Throws Failure(BLN_E_NOT_FINITE).
void append_json_number(std::string& to, double value);
[[nodiscard]] std::string json_number(double value);

/// Appends one reference token of a JSON Pointer: "/" and @p token with ~ and / escaped (RFC 6901, 3).
void append_pointer_token(std::string& to, std::string_view token);

}  // namespace bln
