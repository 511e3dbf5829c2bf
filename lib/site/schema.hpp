// JSON Schema of the site file, generated from the field table.
#pragma once

#include <string>

namespace bln {

/// JSON Schema 2020-12, as readable JSON with a final newline. It refuses what the reader refuses as
/// far as the language of JSON Schema can say so: not repeated keys, nor the range of a ratio that is
/// written as "p/q".
[[nodiscard]] std::string site_schema();

}  // namespace bln
