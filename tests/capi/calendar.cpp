// Calendars, time of use, demand and apportionment through the public header.
#include <catch2/catch.hpp>
#include <string>
#include <vector>

#include "blondel/blondel.h"

namespace {

/// TZif with nothing but a rule for all years: CET-1CEST.
std::string tzif() {
    const auto part = [](char version) {
        std::string h = "TZif";
        h += version;
        h += std::string(15 + 4 * 4, '\0') + std::string("\0\0\0\1\0\0\0\4", 8);
        return h + std::string("\0\0\x0e\x10\0\0CET", 10);
    };
    return part('2') + part('2') + "\nCET-1CEST,M3.5.0,M10.5.0/3\n";
}

bln_zone* zone() {
    const std::string bytes = tzif();
    bln_zone* z = nullptr;
    REQUIRE(bln_zone_read("Europe/Berlin", bytes.data(), bytes.size(), "1", &z, nullptr) == BLN_OK);
    return z;
}

bln_instant at(const char* text) {
    bln_instant i = 0;
    REQUIRE(bln_instant_parse(text, &i, nullptr) == BLN_OK);
    return i;
}

const std::string table =
    R"({"time_of_use":"1","bins":["high","low"],"tables":[{"seasons":[{"days":[
    {"on":["weekday","weekend","holiday"],"ranges":[{"from":"06:10","to":"22:00","bin":"high"}],"rest":"low"}]}]}]})";

}  // namespace

TEST_CASE("capi zone: repeated, skipped and plain local times") {
    bln_zone* z = zone();
    bln_moments m{};
    m.size = sizeof m;
    REQUIRE(bln_zone_moments(z, "2026-10-25T02:30:00", &m, nullptr) == BLN_OK);
    CHECK(m.count == 2);
    CHECK(m.earlier == at("2026-10-25T00:30:00Z"));
    CHECK(m.later == at("2026-10-25T01:30:00Z"));
    REQUIRE(bln_zone_moments(z, "2026-03-29T02:30:00", &m, nullptr) == BLN_OK);
    CHECK(m.count == 0);
    CHECK(m.earlier == at("2026-03-29T01:00:00Z"));
    REQUIRE(bln_zone_moments(z, "2026-07-01T12:00:00", &m, nullptr) == BLN_OK);
    CHECK(m.count == 1);
    CHECK(m.later == at("2026-07-01T10:00:00Z"));
    CHECK(bln_zone_moments(z, "2026-07-01T12:00:00Z", &m, nullptr) == BLN_E_VALUE);
    CHECK(bln_zone_moments(z, "noon", &m, nullptr) == BLN_E_VALUE);

    bln_local l{};
    l.size = sizeof l;
    REQUIRE(bln_zone_local(z, at("2026-10-25T01:30:00Z"), &l, nullptr) == BLN_OK);
    CHECK(l.hour == 2);
    CHECK(l.repeated == 1);
    CHECK(l.summer == 0);
    CHECK(l.weekday == 7);
    CHECK(std::string(l.letters) == "CET");
    CHECK(bln_zone_local(z, BLN_END_OF_TIME, &l, nullptr) == BLN_E_RANGE);

    bln_instant from = 0, to = 0;
    REQUIRE(bln_zone_period(z, BLN_PERIOD_DAY, "2026-10-25", &from, &to, nullptr) == BLN_OK);
    CHECK(to - from == 25 * INT64_C(3600000000));
    CHECK(bln_zone_period(z, 7, "2026-10-25", &from, &to, nullptr) == BLN_E_RANGE);
    CHECK(bln_zone_period(z, BLN_PERIOD_DAY, "2026-02-29", &from, &to, nullptr) == BLN_E_VALUE);
    bln_zone_free(z);
}

TEST_CASE("capi zone: truncated bytes have a place") {
    const std::string bytes = tzif();
    for (size_t n = 0; n < bytes.size(); ++n) {
        bln_zone* z = nullptr;
        bln_error* error = nullptr;
        CHECK(bln_zone_read("A/B", bytes.data(), n, "1", &z, &error) == BLN_E_SYNTAX);
        CHECK(bln_error_byte(error, 0) <= n);
        CHECK(bln_error_line(error, 0) == 1);
        bln_error_free(error);
        CHECK(z == nullptr);
    }
}

TEST_CASE("capi time of use: bins are the whole; objects outlive one another") {
    bln_zone* z = zone();
    bln_tou* tou = nullptr;
    REQUIRE(bln_tou_read(table.data(), table.size(), nullptr, &tou, nullptr) == BLN_OK);
    CHECK(bln_tou_bins(tou) == 2);
    CHECK(bln_tou_bin(tou, 2) == nullptr);
    size_t bin = 9;
    REQUIRE(bln_tou_at(tou, "2026-07-01T06:09:59", &bin, nullptr) == BLN_OK);
    CHECK(bin == 1);
    const std::vector<int64_t> counts{9, 9, -9};
    const bln_equal_series series{sizeof(bln_equal_series),
                                  0,
                                  at("2026-07-01T03:45:00Z"),
                                  900000000,
                                  3,
                                  1,
                                  1,
                                  {counts.data(), 8, nullptr, BLN_TYPE_I64, 0},
                                  {nullptr, 0, nullptr, 0, 0}};
    bln_bins* bins = nullptr;
    CHECK(bln_tou_divide(tou, z, &series, BLN_STRADDLE_REFUSE, &bins, nullptr) == BLN_E_VALUE);
    CHECK(bln_tou_divide(tou, z, &series, 7, &bins, nullptr) == BLN_E_RANGE);
    REQUIRE(bln_tou_divide(tou, z, &series, BLN_STRADDLE_DIVIDE, &bins, nullptr) == BLN_OK);
    bln_tou_free(tou);
    bln_zone_free(z);
    bln_bin_row high{}, low{};
    high.size = low.size = sizeof high;
    REQUIRE(bln_bins_at(bins, 0, &high, nullptr) == BLN_OK);
    REQUIRE(bln_bins_at(bins, 1, &low, nullptr) == BLN_OK);
    CHECK(bln_bins_at(bins, 2, &low, nullptr) == BLN_E_RANGE);
    CHECK(bln_bins_total(bins) == 9);
    CHECK(high.count == -6);  // a third of the second interval, and the third one
    CHECK(low.count == 15);
    CHECK(high.num == 0);
    CHECK(high.divided == 1);
    bln_text* json = nullptr;
    REQUIRE(bln_bins_json(bins, &json, nullptr) == BLN_OK);
    CHECK(std::string(bln_text_data(json)).find("\"zone_version\":\"1\"") != std::string::npos);
    bln_text_free(json);
    bln_bins_free(bins);
}

TEST_CASE("capi time of use: a wrong table has its place") {
    std::string wrong = table;
    wrong.replace(wrong.find("22:00"), 5, "05:00");
    bln_tou* tou = nullptr;
    bln_error* error = nullptr;
    CHECK(bln_tou_read(wrong.data(), wrong.size(), nullptr, &tou, &error) == BLN_E_VALUE);
    CHECK(std::string(bln_error_pointer(error, 0)) == "/tables/0/seasons/0/days/0/ranges/0");
    CHECK(bln_error_line(error, 0) == 2);
    bln_error_free(error);
}

TEST_CASE("capi demand: rolling windows and the peak of a period") {
    const std::vector<int64_t> p{1, 2, 3, 4};
    const bln_equal_series series{sizeof(bln_equal_series),
                                  0,
                                  0,
                                  900000000,
                                  4,
                                  1,
                                  1,
                                  {p.data(), 8, nullptr, BLN_TYPE_I64, 0},
                                  {p.data(), 8, nullptr, BLN_TYPE_I64, 0}};
    const bln_demand_rule rule{sizeof(bln_demand_rule), 0, 1800000000, 900000000};
    bln_demand* d = nullptr;
    REQUIRE(bln_demand_new(&rule, nullptr, &series, &d, nullptr) == BLN_OK);
    REQUIRE(bln_demand_count(d) == 3);
    bln_peak peak{};
    peak.size = sizeof peak;
    REQUIRE(bln_demand_peak(d, BLN_DEMAND_ACTIVE, 0, 2700000000, &peak, nullptr) == BLN_OK);
    CHECK(peak.value == 10);
    CHECK(peak.from == 900000000);
    CHECK(peak.billable == 2);
    REQUIRE(bln_demand_peak(d, BLN_DEMAND_APPARENT, BLN_BEGIN_OF_TIME, BLN_END_OF_TIME, &peak, nullptr) == BLN_OK);
    CHECK(peak.value == Approx(14 * 1.4142135623730951));
    CHECK(bln_demand_peak(d, 7, 0, 1, &peak, nullptr) == BLN_E_RANGE);
    CHECK(bln_demand_find(d, 1) == -1);
    bln_demand_free(d);
}

TEST_CASE("capi apportion: arguments that make no sense") {
    const bln_share_rule rule{sizeof(bln_share_rule), BLN_SHARE_GIVEN, 1, 0, 1, nullptr};
    bln_apportionment* a = nullptr;
    CHECK(bln_apportion(&rule, nullptr, 0, nullptr, 0, &a, nullptr) == BLN_E_ABSENT);
    CHECK(bln_apportion(&rule, nullptr, 0, nullptr, 1, &a, nullptr) == BLN_E_ARGUMENT);
    bln_share_key key{sizeof(bln_share_key), BLN_KEY_WEIGHT, "a", BLN_BEGIN_OF_TIME, BLN_END_OF_TIME, 1, 0, nullptr};
    CHECK(bln_apportion(&rule, nullptr, 0, &key, 1, &a, nullptr) == BLN_E_RANGE);
    key.den = 1;
    key.kind = 7;
    CHECK(bln_apportion(&rule, nullptr, 0, &key, 1, &a, nullptr) == BLN_E_RANGE);
    key.kind = BLN_KEY_WEIGHT;
    key.num = -1;
    bln_error* error = nullptr;
    CHECK(bln_apportion(&rule, nullptr, 0, &key, 1, &a, &error) == BLN_E_VALUE);
    CHECK(std::string(bln_error_subject(error, 0)) == "a");
    bln_error_free(error);
    CHECK(a == nullptr);
}
