#include <catch2/catch.hpp>
#include <string>
#include <vector>

#include "blondel/blondel.h"

namespace {

const std::string record = R"({"blondel":"1","channels":{"m":{},"a":{"multiplier":"1/2"},"b":{},"c":{}},
    "premises":{"flat":{}},
    "points":{"M":{"use":"main","elements":{"m":1}},"A":{"premises":"flat","elements":{"a":1}},"B":{"elements":{"b":1}}},
    "rollups":{"all":{"points":{"A":1,"B":1},"against":"M"}}})";
const std::string csv =
    "channel,start,net_p\nm,2026-03-01T00:00:00Z,30\na,2026-03-01T00:00:00Z,20\nb,2026-03-01T00:00:00Z,20\n"
    "c,2026-03-01T00:00:00Z,7\nm,2026-03-01T00:15:00Z,40\na,2026-03-01T00:15:00Z,-20\n"
    "c,2026-03-01T00:15:00Z,7\n";

}  // namespace

TEST_CASE("capi energy: roll-up, rows, series, reconciliation, findings, JSON; any order of free") {
    bln_site* site = nullptr;
    REQUIRE(bln_site_read(record.data(), record.size(), nullptr, &site, nullptr) == BLN_OK);
    const bln_interval_rule rule{sizeof(bln_interval_rule), BLN_STAMP_START, 900000000, 10, 1, 0, 0};
    bln_intervals* x = nullptr;
    REQUIRE(bln_intervals_read_csv(&rule, csv.data(), csv.size(), nullptr, &x, nullptr) == BLN_OK);
    bln_statement* s = nullptr;
    REQUIRE(bln_rollup(site, BLN_END_OF_TIME, x, nullptr, nullptr, nullptr, &s, nullptr) == BLN_OK);
    bln_site_free(site);
    bln_intervals_free(x);

    int64_t num = 0, den = 0;
    REQUIRE(bln_statement_quantum(s, &num, &den, nullptr) == BLN_OK);
    CHECK(num == 5);
    CHECK(den == 1);
    REQUIRE(bln_statement_count(s) == 5);
    bln_statement_row row{};
    row.size = sizeof row;
    REQUIRE(bln_statement_at(s, 1, &row, nullptr) == BLN_OK);
    CHECK(row.kind == BLN_ROW_POINT);
    CHECK(std::string(row.id) == "A");
    CHECK(std::string(row.premises) == "flat");
    CHECK(row.import_p == 20);
    CHECK(row.export_p == 20);
    CHECK(row.net == 0);
    CHECK(row.intervals == 2);
    REQUIRE(bln_statement_at(s, 4, &row, nullptr) == BLN_OK);
    CHECK(row.kind == BLN_ROW_UNALLOCATED);
    CHECK(std::string(row.id) == "c");
    CHECK(row.net == 28);
    CHECK(bln_statement_at(s, 5, &row, nullptr) == BLN_E_RANGE);

    int64_t counts[2] = {};
    uint8_t valid[1] = {0xFF};
    bln_out_column into{counts, 8, valid, BLN_TYPE_I64, 0};
    REQUIRE(bln_statement_series(s, 2, BLN_SERIES_NET, &into, 2, nullptr) == BLN_OK);
    CHECK(counts[0] == 40);
    CHECK((valid[0] & 3) == 1);
    double wh[4] = {};
    into = {wh, 16, nullptr, BLN_TYPE_F64, 0};
    REQUIRE(bln_statement_series(s, 1, BLN_SERIES_NET, &into, 2, nullptr) == BLN_OK);
    CHECK(wh[0] == 100);
    CHECK(wh[2] == -100);
    CHECK(bln_statement_series(s, 1, BLN_SERIES_NET, &into, 1, nullptr) == BLN_E_RANGE);
    CHECK(bln_statement_series(s, 1, 7, &into, 2, nullptr) == BLN_E_RANGE);
    into.type = BLN_TYPE_I32;
    CHECK(bln_statement_series(s, 1, BLN_SERIES_NET, &into, 2, nullptr) == BLN_E_TYPE);

    REQUIRE(bln_statement_reconciliations(s) == 1);
    bln_reconciliation r{};
    r.size = sizeof r;
    REQUIRE(bln_statement_reconciliation(s, 0, &r, nullptr) == BLN_OK);
    CHECK(r.verdict == BLN_RIGHT);  // of the one interval in which both are complete: 300 Wh, 100 + 200 Wh
    CHECK(r.intervals == 1);
    CHECK(r.left_out == 1);
    CHECK(r.main_net == 60);
    CHECK(r.sum_net == 60);
    CHECK(bln_statement_suspicions(s) == 0);

    bln_report* report = nullptr;
    REQUIRE(bln_statement_report(s, &report, nullptr) == BLN_OK);
    std::vector<std::string> codes;
    for (size_t i = 0; i < bln_report_count(report); ++i) {
        bln_finding f{};
        f.size = sizeof f;
        REQUIRE(bln_report_at(report, i, &f, nullptr) == BLN_OK);
        codes.emplace_back(f.code);
        bln_text* text = nullptr;
        REQUIRE(bln_report_text(report, i, BLN_TEXT_BODY, nullptr, &text, nullptr) == BLN_OK);
        CHECK(std::string(bln_text_data(text)).find('{') == std::string::npos);
        bln_text_free(text);
    }
    CHECK(codes == std::vector<std::string>{"interval-gap", "point-incomplete", "channel-not-billed", "main-agrees"});
    bln_report_free(report);
    bln_text* json = nullptr;
    REQUIRE(bln_statement_json(s, &json, nullptr) == BLN_OK);
    CHECK(std::string(bln_text_data(json)).find(R"("quantum_wh":"5")") != std::string::npos);
    bln_text_free(json);
    bln_statement_free(s);
    bln_statement_free(nullptr);
}

TEST_CASE("capi energy: no intervals at all is a statement without energy") {
    bln_site* site = nullptr;
    REQUIRE(bln_site_read(record.data(), record.size(), nullptr, &site, nullptr) == BLN_OK);
    const bln_interval_rule rule{sizeof(bln_interval_rule), BLN_STAMP_START, 900000000, 1, 1, 0, 0};
    const std::string empty = "channel,start,net_p\n";
    bln_intervals* x = nullptr;
    REQUIRE(bln_intervals_read_csv(&rule, empty.data(), empty.size(), nullptr, &x, nullptr) == BLN_OK);
    bln_statement* s = nullptr;
    REQUIRE(bln_rollup(site, BLN_END_OF_TIME, x, nullptr, nullptr, nullptr, &s, nullptr) == BLN_OK);
    CHECK(bln_statement_count(s) == 4);
    bln_statement_free(s);
    bln_intervals_free(x);
    bln_site_free(site);
}
