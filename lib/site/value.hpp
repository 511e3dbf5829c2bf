// What a field can hold, and since when. Plain data; the text and lists live in an Arena.
#pragma once

#include <cstdint>
#include <limits>
#include <span>
#include <string_view>

#include "power/rational.hpp"
#include "site/fields.hpp"

namespace bln {

/// Microseconds since 1970-01-01 UTC.
using Instant = std::int64_t;
inline constexpr Instant begin_of_time = std::numeric_limits<Instant>::min();
inline constexpr Instant end_of_time = std::numeric_limits<Instant>::max();

/// One item of a `terms` or `passes` field as it is written: a key and its weight.
struct TermText {
    std::string_view key;
    Rational weight;
};

/// One value. Which member counts follows from the field's type:
///   text, ref -> text; choice -> integer (position in its list); boolean -> integer 0 or 1;
///   integer, instant -> integer; real -> real; rational -> rational;
///   integers -> integers; texts, refs -> texts; terms, passes -> terms.
struct Value {
    std::string_view text;
    std::int64_t integer = 0;
    double real = 0;
    Rational rational;
    std::span<const std::int64_t> integers;
    std::span<const std::string_view> texts;
    std::span<const TermText> terms;
};

[[nodiscard]] bool same(Type type, const Value& a, const Value& b) noexcept;

/// A value and when it holds: valid in [from, to), known from recorded_at on.
struct Assignment {
    Instant from = begin_of_time;
    Instant to = end_of_time;
    Instant recorded_at = begin_of_time;
    std::string_view reason;
    std::string_view evidence;
    Value value;

    /// Nothing but the value: the short form of the file.
    [[nodiscard]] bool plain() const noexcept {
        return from == begin_of_time && to == end_of_time && recorded_at == begin_of_time && reason.empty() &&
               evidence.empty();
    }
};

/// One field of one entity with its assignments, in the order in which they were written.
struct Cell {
    std::uint16_t field = 0;
    std::span<const Assignment> assignments;
};

struct Entity {
    std::string_view id;
    std::span<const Cell> cells;  ///< ascending by field
    std::string_view ext;         ///< JSON object text as given, or empty

    [[nodiscard]] const Cell* find(std::size_t field) const noexcept {
        for (const Cell& c : cells)
            if (c.field == field) return &c;
        return nullptr;
    }
};

}  // namespace bln
