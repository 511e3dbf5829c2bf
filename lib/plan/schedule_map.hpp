// Which column of a schedule is what.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "site/csv_stream.hpp"
#include "site/fields.hpp"

namespace bln::plan {

/// A field of a kind, or its id.
struct Target {
    Kind kind = Kind::circuit;
    int field = -1;  ///< -1: the id
    bool operator==(const Target&) const = default;
    [[nodiscard]] const FieldInfo* info() const noexcept {
        return field < 0 ? nullptr : &bln::info(kind).fields[field];
    }
    /// "circuit.breaker_amps", "circuit.id".
    [[nodiscard]] std::string name() const;
    /// False when @p text names neither.
    [[nodiscard]] static bool parse(std::string_view text, Target& out) noexcept;
};

enum class ScheduleEncoding : unsigned char { utf8, utf16le, utf16be, latin1 };

/// A text with columns in braces: "{Panel}-{Space}".
struct Pattern {
    Target target;
    std::string text;
};
struct WordList {
    Target target;
    std::vector<std::pair<std::string, std::string>> words;  ///< in the file, of the field
};

/// Keys of the JSON object have the names of the members; see bln_schedule_read_csv().
struct ScheduleMap {
    char delimiter = ',';
    ScheduleEncoding encoding = ScheduleEncoding::utf8;
    char decimal = '.';
    bool header = true, others_refused = true;
    bool named_by_field = false;  ///< no map: columns are named "kind.field"
    std::string list = " -/;+";   ///< what stands between the items of a list
    std::vector<std::pair<std::string, Target>> columns;
    std::vector<std::string> ignored;
    std::vector<Pattern> ids, constants;
    std::vector<WordList> words;

    /// Throws what parse_json() throws, and BLN_E_FIELD, BLN_E_TYPE, BLN_E_VALUE, each with its place.
    [[nodiscard]] static ScheduleMap read(std::string_view json);
};

}  // namespace bln::plan
