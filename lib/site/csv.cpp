#include "site/csv.hpp"

#include <charconv>
#include <cmath>

namespace bln {

CsvScanner::CsvScanner(std::string_view bytes, std::uint64_t max_bytes, CsvDialect dialect)
    : rest_(bytes), stream_(dialect, max_bytes) {
    if (bytes.size() > max_bytes)
        throw Failure(BLN_E_SIZE, "the text has " + std::to_string(bytes.size()) + " bytes; the limit is " +
                                      std::to_string(max_bytes));
    if (bytes.empty()) stream_.finish();
}

bool CsvScanner::next() {
    // Blocks that fit the second-level cache: the text is copied once, and never as a whole.
    constexpr std::size_t block = std::size_t{1} << 17;
    while (!stream_.next()) {
        if (rest_.empty()) return false;
        const std::size_t n = rest_.size() < block ? rest_.size() : block;
        stream_.push(rest_.substr(0, n));
        rest_.remove_prefix(n);
        if (rest_.empty()) stream_.finish();
    }
    return true;
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
