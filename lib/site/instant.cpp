#include "site/instant.hpp"

#include <cstdint>

#include "power/failure.hpp"

namespace bln {
namespace {

constexpr std::int64_t second_us = 1'000'000;
constexpr std::int64_t day_us = 86'400 * second_us;

constexpr bool leap(std::int64_t y) noexcept { return (y % 4 == 0 && y % 100 != 0) || y % 400 == 0; }
constexpr int days_in(std::int64_t y, int m) noexcept {
    constexpr int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    return m == 2 && leap(y) ? 29 : days[m - 1];
}
/// Days of the proleptic Gregorian calendar before January 1 of a year, from year 1 on.
constexpr std::int64_t days_before_year(std::int64_t y) noexcept {
    const std::int64_t past = y - 1;
    return past * 365 + past / 4 - past / 100 + past / 400;
}
constexpr std::int64_t epoch_days = days_before_year(1970);
static_assert(-epoch_days * day_us == first_instant);

/// Reads digits and separators one after the other; the first that fails stays failed.
class Cursor {
public:
    explicit Cursor(std::string_view text) noexcept : text_(text) {}
    int digits(int n) noexcept {
        int value = 0;
        for (int i = 0; i < n; ++i) {
            if (at_ >= text_.size() || text_[at_] < '0' || text_[at_] > '9') {
                good_ = false;
                return 0;
            }
            value = value * 10 + (text_[at_++] - '0');
        }
        return value;
    }
    void skip(char c) noexcept {
        if (!take(c)) good_ = false;
    }
    bool take(char c) noexcept {
        if (at_ >= text_.size() || text_[at_] != c) return false;
        ++at_;
        return true;
    }
    [[nodiscard]] bool digit() const noexcept { return at_ < text_.size() && text_[at_] >= '0' && text_[at_] <= '9'; }
    [[nodiscard]] bool good() const noexcept { return good_; }
    [[nodiscard]] bool done() const noexcept { return good_ && at_ == text_.size(); }

private:
    std::string_view text_;
    std::size_t at_ = 0;
    bool good_ = true;
};

constexpr std::string_view form = "an instant is written like 2026-03-01T00:00:00Z or 2026-03-01T00:00:00+01:00";

void append_digits(std::string& to, std::int64_t value, int n) {
    char text[8];
    for (int i = n - 1; i >= 0; --i, value /= 10) text[i] = static_cast<char>('0' + value % 10);
    to.append(text, static_cast<std::size_t>(n));
}

}  // namespace

std::string_view read_instant(std::string_view text, Instant& out) noexcept {
    Cursor c(text);
    const int year = c.digits(4);
    c.skip('-');
    const int month = c.digits(2);
    c.skip('-');
    const int day = c.digits(2);
    if (!c.take('T')) c.skip('t');
    const int hour = c.digits(2);
    c.skip(':');
    const int minute = c.digits(2);
    c.skip(':');
    const int second = c.digits(2);
    std::int64_t micro = 0;
    if (c.good() && c.take('.')) {
        if (!c.digit()) return form;
        std::int64_t unit = second_us / 10;
        for (; c.digit(); unit /= 10) {
            if (unit == 0) return "an instant has at most six digits after the second";
            micro += c.digits(1) * unit;
        }
    }
    std::int64_t offset_minutes = 0;
    if (!c.take('Z') && !c.take('z')) {
        const bool west = c.take('-');
        if (!west) c.skip('+');
        const int offset_hour = c.digits(2);
        c.skip(':');
        const int offset_minute = c.digits(2);
        if (offset_hour > 23 || offset_minute > 59) return "an offset is at most 23:59";
        offset_minutes = (west ? -1 : 1) * (offset_hour * 60 + offset_minute);
    }
    if (!c.done()) return form;
    if (year < 1) return "years run from 0001 to 9999";
    if (month < 1 || month > 12 || day < 1 || day > days_in(year, month)) return "there is no such day";
    if (second == 60) return "a leap second has no place in a count of microseconds; write the second before or after";
    if (hour > 23 || minute > 59 || second > 59) return "there is no such time of day";

    std::int64_t days = days_before_year(year) - epoch_days + day - 1;
    for (int m = 1; m < month; ++m) days += days_in(year, m);
    const std::int64_t seconds = hour * 3600 + (minute - offset_minutes) * 60 + second;
    const Instant at = days * day_us + seconds * second_us + micro;
    if (!writable(at)) return "in UTC, years run from 0001 to 9999";
    out = at;
    return {};
}

void append_instant(std::string& to, Instant at) {
    if (!writable(at)) throw Failure(BLN_E_RANGE, "the instant lies outside the years 0001 to 9999");
    const std::int64_t since_first = at - first_instant;
    std::int64_t days = since_first / day_us;
    std::int64_t rest = since_first % day_us;

    // 400 years have 146097 days; this guess is never too late and at most a year or two early.
    std::int64_t year = days * 400 / 146'097;
    if (year < 1) year = 1;
    while (days_before_year(year + 1) <= days) ++year;
    days -= days_before_year(year);
    int month = 1;
    for (; days >= days_in(year, month); ++month) days -= days_in(year, month);

    append_digits(to, year, 4);
    to += '-';
    append_digits(to, month, 2);
    to += '-';
    append_digits(to, days + 1, 2);
    to += 'T';
    const std::int64_t seconds = rest / second_us;
    append_digits(to, seconds / 3600, 2);
    to += ':';
    append_digits(to, seconds / 60 % 60, 2);
    to += ':';
    append_digits(to, seconds % 60, 2);
    rest %= second_us;
    if (rest != 0) {
        to += '.';
        append_digits(to, rest, 6);
        to.erase(to.find_last_not_of('0') + 1);
    }
    to += 'Z';
}

}  // namespace bln
