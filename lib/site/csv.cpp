#include "site/csv.hpp"

#include <charconv>
#include <cmath>

#include "site/utf8.hpp"

namespace bln {

CsvScanner::CsvScanner(std::string_view bytes, std::uint64_t max_bytes) : text_(bytes) {
    if (bytes.size() > max_bytes)
        throw Failure(BLN_E_SIZE, "the text has " + std::to_string(bytes.size()) + " bytes; the limit is " +
                                      std::to_string(max_bytes));
    std::size_t bad = invalid_utf8(bytes);
    const char* why = "a byte that is not UTF-8";
    if (bad == std::string_view::npos) {
        bad = bytes.find('\0');
        why = "the character U+0000";
    }
    if (bad != std::string_view::npos) {
        ErrorItem e{BLN_E_ENCODING, why, {}, {}, 1, 1, bad};
        for (std::size_t i = 0; i < bad; ++i) {
            ++e.column;
            if (bytes[i] == '\n') {
                ++e.line;
                e.column = 1;
            }
        }
        throw Failure(std::move(e));
    }
    if (bytes.substr(0, 3) == "\xEF\xBB\xBF") at_ = line_begin_ = 3;
}

void CsvScanner::syntax(const char* message) const {
    throw Failure(ErrorItem{BLN_E_SYNTAX, message, {}, {}, current_line_, at_ - line_begin_ + 1, at_});
}

void CsvScanner::quoted() {
    Cell c{at_ + 1, 0, at_, current_line_, line_begin_, false};
    const std::size_t scratch = unescaped_.size();
    std::size_t from = ++at_;
    for (;;) {
        if (at_ >= text_.size()) syntax("a quoted cell does not end");
        const char ch = text_[at_];
        if (ch == '\n') {
            ++current_line_;
            line_begin_ = at_ + 1;
        }
        if (ch != '"') {
            ++at_;
            continue;
        }
        if (at_ + 1 < text_.size() && text_[at_ + 1] == '"') {
            c.unescaped = true;
            unescaped_.append(text_, from, at_ + 1 - from);
            at_ += 2;
            from = at_;
            continue;
        }
        break;
    }
    if (c.unescaped) {
        unescaped_.append(text_, from, at_ - from);
        c.begin = scratch;
        c.length = unescaped_.size() - scratch;
    } else {
        c.length = at_ - c.begin;
    }
    ++at_;
    if (at_ < text_.size() && text_[at_] != ',' && text_[at_] != '\r' && text_[at_] != '\n')
        syntax("text follows the closing quote of a cell");
    cells_.push_back(c);
}

void CsvScanner::bare() {
    Cell c{at_, 0, at_, current_line_, line_begin_, false};
    while (at_ < text_.size()) {
        const char ch = text_[at_];
        if (ch == ',' || ch == '\n' || ch == '\r') break;
        if (ch == '"') syntax("a quote inside a cell that does not begin with one");
        ++at_;
    }
    c.length = at_ - c.begin;
    cells_.push_back(c);
}

bool CsvScanner::next() {
    cells_.clear();
    unescaped_.clear();
    if (at_ >= text_.size()) return false;
    line_ = current_line_;
    ++record_;
    for (;;) {
        if (at_ < text_.size() && text_[at_] == '"')
            quoted();
        else
            bare();
        if (at_ >= text_.size()) return true;
        if (text_[at_] == ',') {
            ++at_;
            continue;
        }
        if (text_[at_] == '\r') {
            if (at_ + 1 >= text_.size() || text_[at_ + 1] != '\n') syntax("a carriage return without a line feed");
            ++at_;
        }
        ++at_;
        ++current_line_;
        line_begin_ = at_;
        return true;
    }
}

std::string_view CsvScanner::cell(std::size_t i) const noexcept {
    if (i >= cells_.size()) return {};
    const Cell& c = cells_[i];
    return (c.unescaped ? std::string_view(unescaped_) : text_).substr(c.begin, c.length);
}

ErrorItem CsvScanner::error(bln_status status, std::string message, std::size_t i, std::string_view subject) const {
    ErrorItem e{status, std::move(message), std::string(subject), {}, line_, 1, 0};
    if (i < cells_.size()) {
        e.line = cells_[i].line;
        e.column = cells_[i].place - cells_[i].line_begin + 1;
        e.byte = cells_[i].place;
    }
    return e;
}

bln_status read_integer(std::string_view cell, std::int64_t& out) noexcept {
    const auto [end, failed] = std::from_chars(cell.data(), cell.data() + cell.size(), out);
    if (failed == std::errc::result_out_of_range && end == cell.data() + cell.size()) return BLN_E_OVERFLOW;
    return failed == std::errc{} && end == cell.data() + cell.size() ? BLN_OK : BLN_E_VALUE;
}

bln_status read_real(std::string_view cell, double& out) noexcept {
    const auto [end, failed] = std::from_chars(cell.data(), cell.data() + cell.size(), out);
    if (end != cell.data() + cell.size() || cell.empty()) return BLN_E_VALUE;
    if (failed != std::errc{}) return BLN_E_VALUE;
    return std::isfinite(out) ? BLN_OK : BLN_E_NOT_FINITE;
}

}  // namespace bln
