#include <catch2/catch.hpp>
#include <chrono>
#include <string>

#include "power/failure.hpp"
#include "site/instant.hpp"

using namespace bln;

namespace {

Instant at(std::string_view text) {
    Instant out = 0;
    INFO(text);
    CHECK(read_instant(text, out) == "");
    return out;
}

}  // namespace

TEST_CASE("instants are read as RFC 3339 writes them") {
    CHECK(at("1970-01-01T00:00:00Z") == 0);
    CHECK(at("1969-12-31T23:59:59.999999Z") == -1);
    CHECK(at("0001-01-01T00:00:00Z") == first_instant);
    CHECK(at("9999-12-31T23:59:59.999999Z") == last_instant);
    // The examples of RFC 3339, section 5.8 (the two with a leap second are below).
    CHECK(instant_text(at("1985-04-12T23:20:50.52Z")) == "1985-04-12T23:20:50.52Z");
    CHECK(at("1996-12-19T16:39:57-08:00") == at("1996-12-20T00:39:57Z"));
    CHECK(instant_text(at("1937-01-01T12:00:27.87+00:20")) == "1937-01-01T11:40:27.87Z");
    CHECK(at("2026-03-01t00:00:00z") == at("2026-03-01T00:00:00-00:00"));
}

TEST_CASE("what is no instant is refused with a reason") {
    for (const char* text : {"",
                             "2026",
                             "2026-03-01",
                             "2026-03-01T00:00:00",
                             "2026-03-01 00:00:00Z",
                             "2026-3-01T00:00:00Z",
                             "2026-03-01T00:00Z",
                             "2026-13-01T00:00:00Z",
                             "2026-00-01T00:00:00Z",
                             "2026-02-29T00:00:00Z",
                             "1900-02-29T00:00:00Z",
                             "2026-04-31T00:00:00Z",
                             "2026-03-00T00:00:00Z",
                             "2026-03-01T24:00:00Z",
                             "2026-03-01T00:60:00Z",
                             "1990-12-31T23:59:60Z",
                             "1990-12-31T15:59:60-08:00",
                             "2026-03-01T00:00:61Z",
                             "2026-03-01T00:00:00.Z",
                             "2026-03-01T00:00:00.1234567Z",
                             "2026-03-01T00:00:00,5Z",
                             "2026-03-01T00:00:00+1:00",
                             "2026-03-01T00:00:00+24:00",
                             "2026-03-01T00:00:00+01:60",
                             "2026-03-01T00:00:00Z ",
                             "0000-01-01T00:00:00Z",
                             "0001-01-01T00:00:00+00:01",
                             "9999-12-31T23:59:59-00:01",
                             "+2026-03-01T00:00:00Z"}) {
        Instant out = 77;
        INFO(text);
        CHECK_FALSE(read_instant(text, out).empty());
        CHECK(out == 77);
    }
    CHECK_THROWS_AS(instant_text(first_instant - 1), Failure);
    CHECK_THROWS_AS(instant_text(last_instant + 1), Failure);
    CHECK_THROWS_AS(instant_text(end_of_time), Failure);
}

// The second opinion is the calendar of the C++ standard library.
TEST_CASE("days of the calendar go there and back: all from 1890 to 2110, one in eleven elsewhere") {
    using namespace std::chrono;
    const auto first = sys_days(year{1} / 1 / 1).time_since_epoch().count();
    const auto last = sys_days(year{9999} / 12 / 31).time_since_epoch().count();
    std::int64_t wrong = 0;
    for (auto d = first; d <= last; d += d > -29'220 && d < 51'134 ? 1 : 11) {
        const Instant noon = std::int64_t{d} * 86'400'000'000 + 43'200'000'001;
        const year_month_day ymd{sys_days{days{d}}};
        char text[40];
        std::snprintf(text, sizeof text, "%04d-%02u-%02uT12:00:00.000001Z", static_cast<int>(ymd.year()),
                      static_cast<unsigned>(ymd.month()), static_cast<unsigned>(ymd.day()));
        Instant back = 0;
        if (instant_text(noon) != text || !read_instant(text, back).empty() || back != noon) ++wrong;
    }
    CHECK(wrong == 0);
}
