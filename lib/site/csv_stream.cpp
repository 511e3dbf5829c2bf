#include "site/csv_stream.hpp"

#include <algorithm>
#include <bit>
#include <cstring>

#include "site/utf8.hpp"

#if defined(__SSE2__)
#include <emmintrin.h>
#endif

namespace bln {
namespace {

constexpr std::size_t window_size = 64;

/// Which of 64 bytes the grammar cares about, and whether any is beyond ASCII.
struct Look {
    std::uint64_t special = 0;
    bool high = false;
};

#if defined(__SSE2__)
Look look_at(const char* at, char delimiter) noexcept {
    const __m128i d = _mm_set1_epi8(delimiter), lf = _mm_set1_epi8('\n'), cr = _mm_set1_epi8('\r'),
                  quote = _mm_set1_epi8('"'), nul = _mm_setzero_si128();
    Look out;
    int high = 0;
    for (int k = 0; k < 4; ++k) {
        const __m128i x = _mm_loadu_si128(reinterpret_cast<const __m128i*>(at + 16 * k));
        const __m128i hit = _mm_or_si128(
            _mm_or_si128(_mm_cmpeq_epi8(x, d), _mm_cmpeq_epi8(x, lf)),
            _mm_or_si128(_mm_cmpeq_epi8(x, cr), _mm_or_si128(_mm_cmpeq_epi8(x, quote), _mm_cmpeq_epi8(x, nul))));
        out.special |= static_cast<std::uint64_t>(static_cast<unsigned>(_mm_movemask_epi8(hit))) << (16 * k);
        high |= _mm_movemask_epi8(x);
    }
    out.high = high != 0;
    return out;
}
#else
Look look_at(const char* at, char delimiter) noexcept {
    Look out;
    unsigned all = 0;
    for (std::size_t i = 0; i < window_size; ++i) {
        const char c = at[i];
        const bool hit = c == delimiter || c == '\n' || c == '\r' || c == '"' || c == '\0';
        out.special |= static_cast<std::uint64_t>(hit) << i;
        all |= static_cast<unsigned char>(c);
    }
    out.high = all > 0x7F;
    return out;
}
#endif

}  // namespace

CsvStream::CsvStream(CsvDialect dialect, std::uint64_t max_bytes, std::uint64_t max_record)
    : dialect_(dialect),
      max_bytes_(max_bytes),
      max_record_(std::min<std::uint64_t>(max_record, (std::uint64_t{1} << 31U) - 1)) {
    const char c = dialect.delimiter;
    if (c == '"' || c == '\n' || c == '\r' || c == '\0' || static_cast<unsigned char>(c) > 0x7F)
        throw Failure(BLN_E_VALUE, "this character cannot separate cells");
}

void CsvStream::fail(bln_status status, std::string message, std::size_t at) const {
    ErrorItem e{status, std::move(message), {}, {}, line_, 1, offset_ + record_at_ + at};
    const char* data = record_data();
    std::size_t begin = 0;
    for (std::size_t i = 0; i < at && record_at_ + i < size_; ++i)
        if (data[i] == '\n') ++e.line, begin = i + 1;
    e.column = at - begin + 1;
    throw Failure(std::move(e));
}

void CsvStream::push(std::string_view block) {
    if (block.empty()) return;
    if (block.size() > max_bytes_ - pushed_)
        throw Failure(BLN_E_SIZE,
                      "the text has more than " + std::to_string(max_bytes_) + " bytes, which is the limit");
    // Records that were yielded go; what the last block cut stays and moves to the front.
    const std::size_t keep = partial_ ? record_at_ : next_at_;
    const std::size_t rest = size_ - keep;
    if (rest + block.size() > max_record_ && rest > max_record_)
        throw Failure(
            ErrorItem{BLN_E_SIZE,
                      "a record is longer than " + std::to_string(max_record_) + " bytes: is a quote missing?",
                      {},
                      {},
                      partial_ ? line_ : next_line_,
                      1,
                      offset_ + keep});
    const std::size_t need = rest + block.size() + window_size;
    if (buffer_.size() < need) {
        std::vector<char> larger(std::max(need, buffer_.size() * 2));
        if (rest > 0) std::memcpy(larger.data(), buffer_.data() + keep, rest);
        buffer_.swap(larger);
    } else if (rest > 0 && keep > 0) {
        std::memmove(buffer_.data(), buffer_.data() + keep, rest);
    }
    std::memcpy(buffer_.data() + rest, block.data(), block.size());
    size_ = rest + block.size();
    pushed_ += block.size();
    offset_ += keep;
    record_at_ = next_at_ = 0;
    // A record that is not begun is looked at anew: the caller may push before everything is read.
    scanned_ = partial_ ? scanned_ - keep : 0;
    window_ = scanned_;
    mask_ = 0;
}

/// Looks at the next window.
void CsvStream::look() {
    window_ = scanned_;
    const Look seen = look_at(buffer_.data() + window_, dialect_.delimiter);
    mask_ = seen.special;
    window_high_ = seen.high;
    record_high_ = record_high_ || seen.high;
    scanned_ = std::min(window_ + window_size, size_);
    // Beyond the last byte lies whatever an earlier block left there.
    if (const std::size_t room = size_ - window_; room < window_size) mask_ &= (std::uint64_t{1} << room) - 1;
}

void CsvStream::close_bare(std::size_t end) {
    Cell c;
    c.begin = c.place = static_cast<std::uint32_t>(cell_at_);
    c.length = static_cast<std::uint32_t>(end - cell_at_) & 0x7FFFFFFF;
    cells_.push_back(c);
}

void CsvStream::close_quoted(std::size_t end) {
    Cell c;
    c.place = static_cast<std::uint32_t>(cell_at_);
    c.begin = c.place + 1;
    c.length = static_cast<std::uint32_t>(end - cell_at_ - 1) & 0x7FFFFFFF;
    if (doubled_) {
        const std::string_view inner(record_data() + c.begin, c.length);
        c.begin = static_cast<std::uint32_t>(scratch_.size());
        for (std::size_t i = 0; i < inner.size(); ++i) {
            scratch_ += inner[i];
            if (inner[i] == '"') ++i;
        }
        c.length = static_cast<std::uint32_t>(scratch_.size() - c.begin) & 0x7FFFFFFF;
        c.unescaped = 1;
        doubled_ = false;
    }
    cells_.push_back(c);
}

/// Takes one special byte at @p at (from the record's begin); true when it ends the record.
bool CsvStream::special(std::size_t at) {
    const char c = record_data()[at];
    if (c == '\0') fail(BLN_E_ENCODING, "the character U+0000", at);
    switch (state_) {
        case State::quoted:
            if (c == '\n') ++lines_;
            if (c == '"') state_ = State::quote_seen, mark_ = at;
            return false;
        case State::quote_seen:
            if (at != mark_ + 1) fail(BLN_E_SYNTAX, "text follows the closing quote of a cell", mark_ + 1);
            if (c == '"') {
                doubled_ = true;
                state_ = State::quoted;
                return false;
            }
            close_quoted(mark_);
            break;
        case State::cr_seen:
            if (at != mark_ + 1 || c != '\n') fail(BLN_E_SYNTAX, "a carriage return without a line feed", mark_);
            state_ = State::bare;
            next_at_ = record_at_ + at + 1;
            return true;
        case State::bare:
            if (c == '"') {
                if (at != cell_at_) fail(BLN_E_SYNTAX, "a quote inside a cell that does not begin with one", at);
                state_ = State::quoted;
                return false;
            }
            close_bare(at);
            break;
    }
    state_ = State::bare;
    if (c == '\r') {
        state_ = State::cr_seen;
        mark_ = at;
        return false;
    }
    if (c == '\n') {
        next_at_ = record_at_ + at + 1;
        return true;
    }
    cell_at_ = at + 1;
    return false;
}

bool CsvStream::next() {
    if (!partial_) {
        if (!begun_) {
            // The mark counts as no column.
            if (size_ < 3 && !finished_) return false;
            begun_ = true;
            if (!dialect_.latin1 && size_ >= 3 && std::memcmp(buffer_.data(), "\xEF\xBB\xBF", 3) == 0)
                next_at_ = scanned_ = window_ = 3;
        }
        if (next_at_ >= size_) {
            cells_.clear();
            return false;
        }
        cells_.clear();
        scratch_.clear();
        record_at_ = next_at_;
        cell_at_ = 0;
        line_ = next_line_;
        lines_ = 0;
        ++record_;
        record_high_ = window_high_ && scanned_ > record_at_;
        partial_ = true;
    }
    for (;;) {
        while (mask_ == 0) {
            if (scanned_ >= size_) return finished_ && last_record();
            look();
        }
        const std::size_t at = window_ + static_cast<std::size_t>(std::countr_zero(mask_));
        mask_ &= mask_ - 1;
        // Ordinary cells make up nearly everything: a delimiter while no quote is open.
        const char c = buffer_[at];
        if (c == dialect_.delimiter && state_ == State::bare) {
            close_bare(at - record_at_);
            cell_at_ = at - record_at_ + 1;
            continue;
        }
        if (special(at - record_at_)) return record_done();
    }
}

/// What the text ends with when no line end does.
bool CsvStream::last_record() {
    const std::size_t end = size_ - record_at_;
    if (state_ == State::quoted) fail(BLN_E_SYNTAX, "a quoted cell does not end", end);
    if (state_ == State::cr_seen) fail(BLN_E_SYNTAX, "a carriage return without a line feed", mark_);
    if (state_ == State::quote_seen) {
        if (mark_ + 1 != end) fail(BLN_E_SYNTAX, "text follows the closing quote of a cell", mark_ + 1);
        close_quoted(mark_);
    } else {
        close_bare(end);
    }
    state_ = State::bare;
    next_at_ = size_;
    cut_off_ = true;
    return record_done();
}

bool CsvStream::record_done() {
    partial_ = false;
    next_line_ = line_ + lines_ + 1;
    if (!record_high_) return true;
    const std::string_view text(record_data(), next_at_ - record_at_);
    if (dialect_.latin1) {
        transcode();
    } else if (const std::size_t bad = invalid_utf8(text); bad != std::string_view::npos) {
        fail(BLN_E_ENCODING, "a byte that is not UTF-8", bad);
    }
    return true;
}

/// ISO-8859-1 names the first 256 characters of Unicode in order.
void CsvStream::transcode() {
    for (Cell& c : cells_) {
        const std::string from((c.unescaped != 0 ? scratch_.data() : record_data()) + c.begin, c.length);
        if (std::none_of(from.begin(), from.end(), [](char x) { return static_cast<unsigned char>(x) > 0x7F; }))
            continue;
        c.begin = static_cast<std::uint32_t>(scratch_.size());
        for (const char x : from) {
            const auto byte = static_cast<unsigned char>(x);
            if (byte < 0x80) {
                scratch_ += x;
            } else {
                scratch_ += static_cast<char>(0xC0 | byte >> 6);
                scratch_ += static_cast<char>(0x80 | (byte & 0x3F));
            }
        }
        c.length = static_cast<std::uint32_t>(scratch_.size() - c.begin) & 0x7FFFFFFF;
        c.unescaped = 1;
    }
}

ErrorItem CsvStream::error(bln_status status, std::string message, std::size_t i, std::string_view subject) const {
    ErrorItem e{status, std::move(message), std::string(subject), {}, line_, 1, offset_ + record_at_};
    if (i >= cells_.size()) return e;
    const char* data = record_data();
    std::size_t begin = 0;
    for (std::size_t k = 0; k < cells_[i].place; ++k)
        if (data[k] == '\n') ++e.line, begin = k + 1;
    e.column = cells_[i].place - begin + 1;
    e.byte += cells_[i].place;
    return e;
}

}  // namespace bln
