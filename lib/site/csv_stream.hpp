// A strict scanner of comma-separated values (RFC 4180) that comes in blocks of bytes, cut anywhere.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "power/failure.hpp"

namespace bln {

/// How a file writes its cells.
struct CsvDialect {
    char delimiter = ',';
    bool latin1 = false;  ///< ISO-8859-1; otherwise UTF-8
};

/// Holds no more than the block, the record that it cuts, and the cells of one record. A line ends in CRLF or LF;
/// a UTF-8 byte order mark at the start is skipped. Cells come out as UTF-8, whatever went in.
class CsvStream {
public:
    /// Throws BLN_E_VALUE for a delimiter that cannot be one.
    explicit CsvStream(CsvDialect dialect, std::uint64_t max_bytes, std::uint64_t max_record = std::uint64_t{1} << 26);

    /// Adds bytes. Whatever next() has not yielded stays. Throws BLN_E_SIZE (more than max_bytes, or one record
    /// longer than max_record).
    void push(std::string_view block);
    /// Nothing more comes: a last record without line end counts.
    void finish() noexcept { finished_ = true; }

    /// Steps to the next whole record; false when bytes are needed, or at the end. Throws BLN_E_SYNTAX,
    /// BLN_E_ENCODING (not UTF-8, U+0000); the stream is of no use after that.
    bool next();
    [[nodiscard]] std::size_t size() const noexcept { return cells_.size(); }
    /// Text of cell @p i of this record, without its quotes; valid until next() or push().
    [[nodiscard]] std::string_view cell(std::size_t i) const noexcept {
        if (i >= cells_.size()) return {};
        const Cell& c = cells_[i];
        return {(c.unescaped != 0 ? scratch_.data() : record_data()) + c.begin, c.length};
    }
    /// Line on which this record begins, from 1.
    [[nodiscard]] std::uint64_t line() const noexcept { return line_; }
    /// Number of this record, from 1.
    [[nodiscard]] std::uint64_t record() const noexcept { return record_; }
    /// Whether the text ended within a line: it may have been cut off there.
    [[nodiscard]] bool cut_off() const noexcept { return cut_off_; }
    /// An error at cell @p i of this record, with its place. Past the last cell: where the record begins.
    [[nodiscard]] ErrorItem error(bln_status status, std::string message, std::size_t i,
                                  std::string_view subject = {}) const;

private:
    struct Cell {
        std::uint32_t begin = 0;  // in the record, or in scratch_
        std::uint32_t length : 31 = 0;
        std::uint32_t unescaped : 1 = 0;
        std::uint32_t place = 0;  // in the record
    };
    enum class State : std::uint8_t { bare, quoted, quote_seen, cr_seen };

    [[nodiscard]] const char* record_data() const noexcept { return buffer_.data() + record_at_; }
    void look();
    bool special(std::size_t at);
    void close_bare(std::size_t end);
    void close_quoted(std::size_t end);
    bool record_done();
    bool last_record();
    void transcode();
    [[noreturn]] void fail(bln_status status, std::string message, std::size_t at) const;

    CsvDialect dialect_;
    std::uint64_t max_bytes_, max_record_, pushed_ = 0;
    std::vector<char> buffer_;   // bytes from the last record on, then room for a whole window
    std::size_t size_ = 0;       // bytes in it
    std::size_t record_at_ = 0;  // where the current record begins
    std::size_t next_at_ = 0;    // where the one after it begins
    std::size_t window_ = 0;     // start of the 64 bytes that mask_ is about
    std::size_t scanned_ = 0;    // bytes before this have been looked at
    std::uint64_t mask_ = 0;     // special bytes of the window that are still to come
    bool window_high_ = false, record_high_ = false;
    std::size_t cell_at_ = 0;  // begin of the current cell, from the record's begin
    std::size_t mark_ = 0;     // place of the last quote or carriage return, from the record's begin
    State state_ = State::bare;
    bool doubled_ = false, partial_ = false, finished_ = false, cut_off_ = false, begun_ = false;
    std::uint64_t offset_ = 0;  // of the buffer's first byte in the text
    std::uint64_t line_ = 0, next_line_ = 1, lines_ = 0, record_ = 0;
    std::vector<Cell> cells_;
    std::string scratch_;
};

}  // namespace bln
