// Comma-separated values (RFC 4180) of a whole text, and the numbers in their cells.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "site/csv_stream.hpp"

namespace bln {

/// Walks a text record by record. Memory is reused: nothing is allocated for a cell.
class CsvScanner {
public:
    /// Throws BLN_E_SIZE (more than @p max_bytes).
    CsvScanner(std::string_view bytes, std::uint64_t max_bytes, CsvDialect dialect = {});

    /// Steps to the next record; false at the end. Throws BLN_E_SYNTAX, BLN_E_ENCODING.
    bool next();
    [[nodiscard]] std::size_t size() const noexcept { return stream_.size(); }
    /// Text of cell @p i of this record, without its quotes; valid until next().
    [[nodiscard]] std::string_view cell(std::size_t i) const noexcept { return stream_.cell(i); }
    /// Line on which this record begins, from 1.
    [[nodiscard]] std::uint64_t line() const noexcept { return stream_.line(); }
    /// Number of this record, from 1.
    [[nodiscard]] std::uint64_t record() const noexcept { return stream_.record(); }
    /// An error at cell @p i of this record, with its place.
    [[nodiscard]] ErrorItem error(bln_status status, std::string message, std::size_t i,
                                  std::string_view subject = {}) const {
        return stream_.error(status, std::move(message), i, subject);
    }

private:
    std::string_view rest_;
    CsvStream stream_;
};

/// Reads a whole cell as an integer: optional minus, digits, nothing else.
/// Returns 0: good; BLN_E_VALUE: not an integer; BLN_E_OVERFLOW: more than 64 bits.
[[nodiscard]] bln_status read_integer(std::string_view cell, std::int64_t& out) noexcept;
/// Reads a whole cell as a finite decimal number, as JSON writes it. Returns 0, BLN_E_VALUE, or
/// BLN_E_NOT_FINITE for words such as nan and inf.
[[nodiscard]] bln_status read_real(std::string_view cell, double& out) noexcept;

}  // namespace bln
