#include <catch2/catch.hpp>
#include <string>

#include "blondel/blondel.h"

TEST_CASE("capi intervals: CSV in, sizes and ids out, errors with places") {
    bln_interval_rule rule{sizeof(bln_interval_rule), BLN_STAMP_START, 900000000, 1, 1, 0, 0};
    const std::string csv = "channel,start,net_p\nc1,2026-03-01T00:00:00Z,10\nc2,2026-03-01T00:15:00Z,3\n";
    bln_intervals* x = nullptr;
    bln_error* e = nullptr;
    REQUIRE(bln_intervals_read_csv(&rule, csv.data(), csv.size(), nullptr, &x, &e) == BLN_OK);
    CHECK(bln_intervals_channels(x) == 2);
    CHECK(bln_intervals_count(x) == 2);
    CHECK(std::string(bln_intervals_channel(x, 1)) == "c2");
    CHECK(bln_intervals_channel(x, 2) == nullptr);
    bln_intervals_free(x);

    const std::string bad = "channel,start,net_p\nc1,2026-03-01T00:00:00Z,x\n";
    REQUIRE(bln_intervals_read_csv(&rule, bad.data(), bad.size(), nullptr, &x, &e) == BLN_E_VALUE);
    CHECK(x == nullptr);
    CHECK(bln_error_line(e, 0) == 2);
    CHECK(bln_error_column(e, 0) == 25);
    CHECK(std::string(bln_error_subject(e, 0)) == "c1");
    bln_error_free(e);
    e = nullptr;
    rule.duration = 0;
    CHECK(bln_intervals_read_csv(&rule, csv.data(), csv.size(), nullptr, &x, nullptr) == BLN_E_RANGE);
    rule.size = 0;
    CHECK(bln_intervals_read_csv(&rule, csv.data(), csv.size(), nullptr, &x, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_intervals_read_csv(nullptr, csv.data(), csv.size(), nullptr, &x, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_intervals_read_csv(&rule, csv.data(), csv.size(), nullptr, nullptr, nullptr) == BLN_E_ARGUMENT);
}

TEST_CASE("capi intervals: columns with dictionary-coded channels") {
    const bln_interval_rule rule{sizeof(bln_interval_rule), BLN_STAMP_END, 900000000, 1, 10, 0, 0};
    const char* ids[] = {"a", "b"};
    const int64_t at[] = {900000000, 900000000, 1800000000};
    const int32_t channel[] = {0, 1, 0};
    const int64_t net[] = {1, 2, 3};
    bln_interval_columns c{};
    c.size = sizeof c;
    c.channel = {channel, 4, nullptr, BLN_TYPE_I32, 0};
    c.at = {at, 8, nullptr, BLN_TYPE_I64, 0};
    c.net_p = {net, 8, nullptr, BLN_TYPE_I64, 0};
    bln_intervals* x = nullptr;
    REQUIRE(bln_intervals_new(&rule, ids, 2, 3, &c, &x, nullptr) == BLN_OK);
    CHECK(bln_intervals_count(x) == 2);
    CHECK(bln_intervals_first(x) == 0);
    bln_intervals_free(x);
    bln_intervals_free(nullptr);
    const int32_t beyond[] = {0, 2, 0};
    c.channel.data = beyond;
    CHECK(bln_intervals_new(&rule, ids, 2, 3, &c, &x, nullptr) == BLN_E_VALUE);
}
