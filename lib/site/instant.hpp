// Instants as text: RFC 3339, exact to the microsecond.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "site/value.hpp"

namespace bln {

/// What RFC 3339 can write: years 0001 to 9999.
inline constexpr Instant first_instant = -62'135'596'800'000'000;  // 0001-01-01T00:00:00Z
inline constexpr Instant last_instant = 253'402'300'799'999'999;   // 9999-12-31T23:59:59.999999Z
[[nodiscard]] constexpr bool writable(Instant at) noexcept { return at >= first_instant && at <= last_instant; }

/// Reads "2026-03-01T00:00:00Z", with Z or an offset and at most six digits of a second. Returns
/// why it cannot be read, or an empty text. A leap second (:60) is refused: a count of
/// microseconds has no place for it.
[[nodiscard]] std::string_view read_instant(std::string_view text, Instant& out) noexcept;

/// The same where the reason does not matter.
[[nodiscard]] inline std::optional<Instant> parse_instant(std::string_view text) noexcept {
    Instant at = 0;
    return read_instant(text, at).empty() ? std::optional<Instant>(at) : std::nullopt;
}

/// Appends an instant in UTC, with as many digits of a second as it needs.
/// Throws Failure(BLN_E_RANGE) unless writable(@p at).
void append_instant(std::string& to, Instant at);
[[nodiscard]] inline std::string instant_text(Instant at) {
    std::string out;
    append_instant(out, at);
    return out;
}

}  // namespace bln
