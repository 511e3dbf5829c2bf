// One value of a record as JSON text, in the form that site/reader.hpp reads.
#pragma once

#include <string>

#include "site/value.hpp"

namespace bln {

/// Appends @p value without spaces. Numbers are written as RFC 8785 asks; terms keep their order.
void append_value_json(std::string& to, const FieldInfo& field, const Value& value);

/// A weight: an integer where a double holds it exactly, otherwise "p/q".
void append_ratio_json(std::string& to, const Rational& ratio);

}  // namespace bln
