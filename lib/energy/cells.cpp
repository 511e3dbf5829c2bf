#include "energy/cells.hpp"

#include <cstring>

#include "power/failure.hpp"
#include "site/csv.hpp"
#include "site/instant.hpp"

namespace bln {

CountReader::CountReader(char decimal, const Rational& counts_per_unit)
    : decimal_(decimal), plain_(counts_per_unit == Rational(1)) {
    Rational one = counts_per_unit;
    for (Factor& f : factor_) {
        f = {one.num(), one.den()};
        try {
            one *= Rational(1, 10);
        } catch (const Failure&) {
            break;  // such fine digits cannot be counts
        }
    }
}

bln_status CountReader::read_any(std::string_view cell, std::int64_t& out) const noexcept {
    std::size_t i = 0;
    const bool minus = !cell.empty() && cell[0] == '-';
    if (minus) ++i;
    constexpr UWide ceiling = UWide{1} << 100U;
    UWide value = 0;
    std::size_t before = 0, fraction = 0, zeros = 0;
    bool point = false;
    for (; i < cell.size(); ++i) {
        const char c = cell[i];
        if (c == decimal_ && !point && before > 0) {
            point = true;
            continue;
        }
        if (c < '0' || c > '9') return BLN_E_VALUE;
        if (!point) {
            ++before;
            value = value * 10 + static_cast<UWide>(c - '0');
        } else if (c == '0') {
            // Zeros at the end say nothing; those between digits count when the next digit comes.
            ++zeros;
            continue;
        } else {
            for (fraction += zeros + 1; zeros > 0; --zeros)
                if ((value *= 10) > ceiling) return BLN_E_OVERFLOW;
            value = value * 10 + static_cast<UWide>(c - '0');
        }
        if (value > ceiling) return BLN_E_OVERFLOW;
    }
    if (before == 0 || (point && fraction + zeros == 0)) return BLN_E_VALUE;
    if (fraction > most_digits || factor_[fraction].den == 0) return BLN_E_RANGE;
    const Factor& f = factor_[fraction];
    // The mantissa may be long and the factor large, so the common part goes first.
    if (value % static_cast<UWide>(f.den) != 0) return BLN_E_RANGE;
    const UWide parts = value / static_cast<UWide>(f.den);
    constexpr UWide most = UWide{1} << 63U;
    if (parts > most / static_cast<UWide>(f.num) + 1) return BLN_E_OVERFLOW;
    const UWide counts = parts * static_cast<UWide>(f.num);
    if (counts > (minus ? most : most - 1)) return BLN_E_OVERFLOW;
    out = static_cast<std::int64_t>(minus ? -static_cast<Wide>(counts) : static_cast<Wide>(counts));
    return BLN_OK;
}

std::string_view TimeReader::read(std::string_view cell, Instant& out) {
    if (form_ == TimeForm::rfc3339) return read_rfc3339(cell, out);
    std::int64_t number = 0;
    if (const bln_status status = read_integer(cell, number); status != BLN_OK)
        return status == BLN_E_OVERFLOW ? "the number needs more than 64 bits"
                                        : "a time is an integer here: time since 1970-01-01 00:00 UTC";
    if (form_ == TimeForm::epoch_seconds) {
        if (number > last_instant / 1'000'000 || number < first_instant / 1'000'000)
            return "years run from 0001 to 9999: are these seconds?";
        number *= 1'000'000;
    } else if (!writable(number)) {
        return "years run from 0001 to 9999: are these microseconds?";
    }
    out = number;
    return {};
}

std::string_view TimeReader::read_rfc3339(std::string_view cell, Instant& out) {
    constexpr std::size_t time = 11, zone = 19;  // "2026-03-01T" "00:00:00" "Z"
    if (known_ && cell.size() == zone + tail_.size() && std::memcmp(cell.data(), day_, time) == 0 &&
        std::memcmp(cell.data() + zone, tail_.data(), tail_.size()) == 0) {
        const auto two = [&](std::size_t at, int& value) {
            const unsigned a = static_cast<unsigned char>(cell[at]) - unsigned{'0'},
                           b = static_cast<unsigned char>(cell[at + 1]) - unsigned{'0'};
            value = static_cast<int>(a * 10 + b);
            return a <= 9 && b <= 9;
        };
        int h = 0, m = 0, s = 0;
        if (two(11, h) && two(14, m) && two(17, s) && cell[13] == ':' && cell[16] == ':' && h < 24 && m < 60 &&
            s < 60) {
            out = midnight_ + (h * 3600 + m * 60 + s) * std::int64_t{1'000'000};
            return {};
        }
    }
    known_ = false;
    // RFC 3339 lets a space stand for the T.
    char text[64];
    std::string_view read = cell;
    if (cell.size() > time && cell.size() < sizeof text && cell[10] == ' ') {
        std::memcpy(text, cell.data(), cell.size());
        text[10] = 'T';
        read = {text, cell.size()};
    }
    std::string_view why = read_instant(read, out);
    if (!why.empty()) {
        if (cell.size() >= zone && cell.size() < 40) {
            Instant ignored = 0;
            if (read_instant(std::string(read) + "Z", ignored).empty())
                return "the time names no zone: it ends in Z, or in an offset such as +01:00";
        }
        return why;
    }
    if (cell.size() > zone && cell[zone] != '.' && cell.size() <= zone + 6) {
        std::memcpy(day_, cell.data(), time);
        tail_.assign(cell.substr(zone));
        const int h = (cell[11] - '0') * 10 + cell[12] - '0', m = (cell[14] - '0') * 10 + cell[15] - '0',
                  s = (cell[17] - '0') * 10 + cell[18] - '0';
        midnight_ = out - (h * 3600 + m * 60 + s) * std::int64_t{1'000'000};
        // A day that reaches beyond the years that can be written is read slowly.
        known_ = writable(midnight_) && writable(midnight_ + 86'400'000'000 - 1);
    }
    return {};
}

}  // namespace bln
