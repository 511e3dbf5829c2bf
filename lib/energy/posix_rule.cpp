#include "energy/posix_rule.hpp"

#include <algorithm>
#include <chrono>

#include "power/failure.hpp"

namespace bln::energy {
namespace {

constexpr std::int64_t day_s = 86'400;

std::int64_t days_of(std::int64_t year, unsigned month, unsigned day) noexcept {
    using namespace std::chrono;
    const std::chrono::year y{static_cast<int>(year)};
    return sys_days{y / std::chrono::month{month} / std::chrono::day{day}}.time_since_epoch().count();
}
bool leap(std::int64_t y) noexcept { return (y % 4 == 0 && y % 100 != 0) || y % 400 == 0; }

/// Reads the grammar std offset [dst [offset] , date[/time] , date[/time]].
class Reader {
public:
    Reader(std::string_view text, bool wide) : text_(text), wide_(wide) {}

    PosixRule read() {
        PosixRule r;
        r.standard.letters = letters();
        r.standard.offset = -clock(24, true);
        if (done()) return r;
        r.changes = true;
        r.summer.dst = true;
        r.summer.letters = letters();
        if (done()) fail("the dates of summer time are missing");
        r.summer.offset = peek() == ',' ? r.standard.offset + 3600 : -clock(24, true);
        expect(',');
        r.begins = date();
        expect(',');
        r.ends = date();
        if (!done()) fail("something follows the rule");
        return r;
    }

private:
    [[noreturn]] void fail(const char* why) const {
        throw Failure(BLN_E_VALUE, "the rule for later years, \"" + std::string(text_) + "\", cannot be read: " + why +
                                       " (character " + std::to_string(at_ + 1) + ")");
    }
    [[nodiscard]] bool done() const noexcept { return at_ == text_.size(); }
    [[nodiscard]] char peek() const noexcept { return done() ? '\0' : text_[at_]; }
    void expect(char c) {
        if (peek() != c) fail("a separator is missing");
        ++at_;
    }
    static bool is_digit(char c) noexcept { return c >= '0' && c <= '9'; }
    static bool is_letter(char c) noexcept { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }

    std::string letters() {
        const bool quoted = peek() == '<';
        if (quoted) ++at_;
        const std::size_t from = at_;
        while (is_letter(peek()) || (quoted && (is_digit(peek()) || peek() == '+' || peek() == '-'))) ++at_;
        const std::string_view found = text_.substr(from, at_ - from);
        if (found.size() < 3) fail("a name of at least three letters is missing");
        if (quoted) expect('>');
        return std::string(found);
    }
    int number(int low, int high) {
        if (!is_digit(peek())) fail("a number is missing");
        int v = 0;
        while (is_digit(peek())) {
            v = v * 10 + (text_[at_++] - '0');
            if (v > high) fail("a number is too large");
        }
        if (v < low) fail("a number is too small");
        return v;
    }
    /// Seconds of [+-]hh[:mm[:ss]].
    std::int32_t clock(int most_hours, bool sign) {
        bool minus = false;
        if (sign && (peek() == '+' || peek() == '-')) minus = text_[at_++] == '-';
        int s = number(0, most_hours) * 3600;
        if (peek() == ':') {
            ++at_;
            s += number(0, 59) * 60;
            if (peek() == ':') {
                ++at_;
                s += number(0, 59);
            }
        }
        return minus ? -s : s;
    }
    YearlyChange date() {
        YearlyChange c;
        if (peek() == 'M') {
            ++at_;
            c.kind = YearlyChange::Kind::month_week_day;
            c.month = number(1, 12);
            expect('.');
            c.week = number(1, 5);
            expect('.');
            c.day = number(0, 6);
        } else if (peek() == 'J') {
            ++at_;
            c.day = number(1, 365);
        } else {
            c.kind = YearlyChange::Kind::day_of_year;
            c.day = number(0, 365);
        }
        if (peek() == '/') {
            ++at_;
            c.seconds = clock(wide_ ? 167 : 24, wide_);
        }
        return c;
    }
    std::string_view text_;
    bool wide_;
    std::size_t at_ = 0;
};

}  // namespace

std::int64_t YearlyChange::local_in(std::int64_t year) const noexcept {
    const std::int64_t new_year = days_of(year, 1, 1);
    std::int64_t days = new_year;
    switch (kind) {
        case Kind::julian:  // never counts February 29
            days += day - 1 + (leap(year) && day >= 60 ? 1 : 0);
            break;
        case Kind::day_of_year:
            days += day;
            break;
        case Kind::month_week_day: {
            const std::int64_t first = days_of(year, static_cast<unsigned>(month), 1);
            const std::int64_t weekday = ((first + 4) % 7 + 7) % 7;  // 1970-01-01 was a Thursday
            days = first + ((day - weekday) % 7 + 7) % 7 + (week - 1) * 7;
            const std::int64_t next =
                month == 12 ? days_of(year + 1, 1, 1) : days_of(year, static_cast<unsigned>(month) + 1, 1);
            while (days >= next) days -= 7;  // week 5 is the last one
            break;
        }
    }
    return days * day_s + seconds;
}

std::array<PosixRule::Change, 8> PosixRule::around(std::int64_t at) const noexcept {
    using namespace std::chrono;
    const std::int64_t days = at >= 0 ? at / day_s : -((-at + day_s - 1) / day_s);
    const year_month_day date{sys_days{std::chrono::days{days}}};
    const std::int64_t year = static_cast<int>(date.year());
    std::array<Change, 8> out;
    std::size_t n = 0;
    for (std::int64_t y = year - 1; y <= year + 2; ++y) {
        const Change begin{begins.local_in(y) - standard.offset, true};
        const Change end{ends.local_in(y) - summer.offset, false};
        out[n++] = begin.at <= end.at ? begin : end;
        out[n++] = begin.at <= end.at ? end : begin;
    }
    // Summer time that lasts all year ends and begins at once: the later year's change stands last and wins.
    std::stable_sort(out.begin(), out.end(), [](const Change& a, const Change& b) { return a.at < b.at; });
    return out;
}

const ZoneType& PosixRule::at(std::int64_t seconds) const noexcept {
    if (!changes) return standard;
    bool in_summer = false;
    for (const Change& c : around(seconds)) {
        if (c.at > seconds) break;
        in_summer = c.summer;
    }
    return in_summer ? summer : standard;
}

PosixRule read_posix_rule(std::string_view text, bool wide_hours) { return Reader(text, wide_hours).read(); }

}  // namespace bln::energy
