// Which column of a file is what: a small JSON object that the caller writes once for each kind of file.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "energy/intervals.hpp"
#include "site/csv_stream.hpp"

namespace bln {

enum class CellKind : std::uint8_t { ignored, channel, start, end, quality, quantity };
enum class TimeForm : std::uint8_t { rfc3339, epoch_seconds, epoch_micros };

/// What one column holds.
struct ColumnUse {
    CellKind kind = CellKind::ignored;
    Quantity quantity = Quantity::net_p;  ///< of a quantity
    std::string channel;  ///< id that a quantity or quality of a wide file belongs to; empty in a long one
};

/// Everything of a file that its cells do not say. JSON keys have the names of the members.
struct ColumnMap {
    CsvDialect dialect;                 ///< keys delimiter, encoding
    char decimal = '.';                 ///< before the fraction
    bool header = true;                 ///< the first record names the columns; otherwise "1", "2", …
    TimeForm time = TimeForm::rfc3339;  ///< how times are written
    Rational wh_per_unit;               ///< of a 1 in the file; 0: numbers are counts
    std::vector<std::pair<std::string, ColumnUse>> columns;     ///< by name in the file
    ColumnUse others;                                           ///< of a column that is not named
    bool others_refused = true;                                 ///< a column that is not named is an error
    std::vector<std::pair<std::string, std::string>> channels;  ///< name in the file, id
    bool unlisted_refused = false;                              ///< a channel that is not named is an error
    std::vector<std::pair<std::string, std::uint8_t>> quality;  ///< word in the file, code
    std::string registers;  ///< JSON of the register rule; empty: energy of intervals

    /// The map of a file that has our names: channel, start or end, quality, and the words of the quantities.
    [[nodiscard]] static ColumnMap plain();
    /// Throws what parse_json() throws, and BLN_E_FIELD, BLN_E_TYPE, BLN_E_VALUE, each with its place.
    [[nodiscard]] static ColumnMap read(std::string_view json);
};

/// The quantity that a word names; false for none.
[[nodiscard]] bool quantity_of(std::string_view word, Quantity& out) noexcept;

}  // namespace bln
