// A strict scanner of comma-separated values (RFC 4180): quoted cells, doubled quotes, line ends in
// quotes. A line ends in CRLF or LF; a UTF-8 byte order mark at the start is skipped.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "power/failure.hpp"

namespace bln {

/// Walks a text record by record. Memory is reused: nothing is allocated for a cell.
class CsvScanner {
public:
    /// Throws BLN_E_ENCODING (not UTF-8, U+0000) and BLN_E_SIZE (more than @p max_bytes).
    CsvScanner(std::string_view bytes, std::uint64_t max_bytes);

    /// Steps to the next record; false at the end. Throws BLN_E_SYNTAX.
    bool next();
    [[nodiscard]] std::size_t size() const noexcept { return cells_.size(); }
    /// Text of cell @p i of this record, without its quotes; valid until next().
    [[nodiscard]] std::string_view cell(std::size_t i) const noexcept;
    /// Line on which this record begins, from 1.
    [[nodiscard]] std::uint64_t line() const noexcept { return line_; }
    /// Number of this record, from 1.
    [[nodiscard]] std::uint64_t record() const noexcept { return record_; }
    /// An error at cell @p i of this record, with its place.
    [[nodiscard]] ErrorItem error(bln_status status, std::string message, std::size_t i,
                                  std::string_view subject = {}) const;

private:
    struct Cell {
        std::size_t begin = 0;  // in the text, or in unescaped_
        std::size_t length = 0;
        std::size_t place = 0;   // offset in the text
        std::uint64_t line = 0;  // line on which the cell begins
        std::size_t line_begin = 0;
        bool unescaped = false;
    };
    void quoted();
    void bare();
    [[noreturn]] void syntax(const char* message) const;

    std::string_view text_;
    std::size_t at_ = 0;
    std::uint64_t line_ = 0, current_line_ = 1, record_ = 0;
    std::size_t line_begin_ = 0;
    std::vector<Cell> cells_;
    std::string unescaped_;
};

/// Reads a whole cell as an integer: optional minus, digits, nothing else.
/// Returns 0: good; BLN_E_VALUE: not an integer; BLN_E_OVERFLOW: more than 64 bits.
[[nodiscard]] bln_status read_integer(std::string_view cell, std::int64_t& out) noexcept;
/// Reads a whole cell as a finite decimal number, as JSON writes it. Returns 0, BLN_E_VALUE, or
/// BLN_E_NOT_FINITE for words such as nan and inf.
[[nodiscard]] bln_status read_real(std::string_view cell, double& out) noexcept;

}  // namespace bln
