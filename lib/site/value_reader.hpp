// One scalar of a JSON text -> one value of a field: type, grammar and unit. The range is checked
// by objection() (site/model.hpp), which the setters share.
#pragma once

#include <string>

#include "power/failure.hpp"
#include "site/value.hpp"

namespace bln {

/// What is wrong with a scalar; BLN_OK with an empty text where nothing is.
struct Trouble {
    bln_status status = BLN_OK;
    std::string message;
    explicit operator bool() const noexcept { return status != BLN_OK; }
};

/// A JSON scalar as the walk reports it.
struct Scalar {
    enum class Kind : unsigned char { null, boolean, number, string };
    Kind kind;
    bool truth;             ///< of a boolean
    std::string_view text;  ///< of a number or string
};

/// Fills the member of @p out that the type of @p field names; lists and terms are not scalars.
[[nodiscard]] Trouble take_scalar(const FieldInfo& field, const Scalar& from, Value& out);
[[nodiscard]] Trouble take_integer(const FieldInfo& field, const Scalar& from, std::int64_t& out);
[[nodiscard]] Trouble take_text(const Scalar& from, std::string_view& out);
/// An integer, or "p/q" in digits.
[[nodiscard]] Trouble take_ratio(const Scalar& from, Rational& out);
[[nodiscard]] Trouble take_instant(const Scalar& from, Instant& out);

/// "a whole number in A", for messages.
[[nodiscard]] std::string expected(const FieldInfo& field);

}  // namespace bln
