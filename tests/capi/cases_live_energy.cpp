// Runs the folders of tests/cases/live and tests/cases/energy through the public header. Strict: an unknown key, a
// folder without a check, a finding too many or too few fails.
#include <rapidjson/document.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <set>
#include <string>
#include <vector>

#include "blondel/blondel.h"

namespace {

using Json = rapidjson::Value;
namespace fs = std::filesystem;

std::string slurp(const fs::path& p) {
    std::ifstream in(p, std::ios::binary);
    REQUIRE(in);
    return {std::istreambuf_iterator<char>(in), {}};
}

void only(const Json& object, const std::set<std::string>& keys, const std::set<std::string>& optional = {}) {
    REQUIRE(object.IsObject());
    for (const auto& m : object.GetObject()) {
        INFO("key " << m.name.GetString());
        REQUIRE(keys.count(m.name.GetString()) + optional.count(m.name.GetString()) == 1);
    }
    for (const std::string& k : keys) {
        INFO("key " << k);
        REQUIRE(object.HasMember(k.c_str()));
    }
}

std::string proof_word(int32_t p) {
    switch (p) {
        case BLN_PROOF_WRONG:
            return "wrong";
        case BLN_PROOF_UNDECIDED:
            return "undecided";
        case BLN_PROOF_NOT_PROVEN:
            return "not_proven";
        case BLN_PROOF_LIKELY:
            return "likely";
        default:
            return "right";
    }
}
std::string verdict_word(int32_t v) {
    return v == BLN_WRONG ? "wrong" : v == BLN_UNDECIDED ? "undecided" : v == BLN_NOT_CHECKED ? "not_checked" : "right";
}
std::string kind_word(int32_t k) {
    return k == BLN_ROW_POINT ? "point" : k == BLN_ROW_CHECK ? "check" : k == BLN_ROW_ROLLUP ? "rollup" : "unallocated";
}

void same_findings(bln_report* report, const Json& expected) {
    std::vector<std::string> found, wanted;
    for (size_t i = 0; i < bln_report_count(report); ++i) {
        bln_text* text = nullptr;
        REQUIRE(bln_report_identity(report, i, &text, nullptr) == BLN_OK);
        found.emplace_back(bln_text_data(text));
        bln_text_free(text);
    }
    for (const Json& e : expected.GetArray()) wanted.emplace_back(e.GetString());
    std::sort(found.begin(), found.end());
    std::sort(wanted.begin(), wanted.end());
    CHECK(found == wanted);
    bln_report_free(report);
}

bln_site* site_of(const fs::path& folder) {
    const std::string json = slurp(folder / "site.json");
    bln_site* site = nullptr;
    REQUIRE(bln_site_read(json.data(), json.size(), nullptr, &site, nullptr) == BLN_OK);
    return site;
}

void run_live(const fs::path& folder, const Json& c) {
    only(c, {"job", "about", "origin", "expect"});
    const Json& expect = c["expect"];
    only(expect, {"channels", "points", "findings"});
    bln_site* site = site_of(folder);
    bln_view* view = nullptr;
    REQUIRE(bln_view_new(site, BLN_END_OF_TIME, BLN_END_OF_TIME, &view, nullptr) == BLN_OK);
    const std::string csv = slurp(folder / "readings.csv");
    bln_readings* readings = nullptr;
    REQUIRE(bln_readings_read_csv(csv.data(), csv.size(), nullptr, &readings, nullptr) == BLN_OK);
    bln_live* live = nullptr;
    REQUIRE(bln_live_check(view, readings, nullptr, nullptr, nullptr, &live, nullptr) == BLN_OK);
    REQUIRE(bln_live_channel_count(live) == expect["channels"].MemberCount());
    for (size_t i = 0; i < bln_live_channel_count(live); ++i) {
        bln_live_channel row{};
        row.size = sizeof row;
        REQUIRE(bln_live_channel_at(live, i, &row, nullptr) == BLN_OK);
        INFO(row.channel);
        REQUIRE(expect["channels"].HasMember(row.channel));
        const Json& e = expect["channels"][row.channel];
        only(e, {"proof", "reads_as"});
        CHECK(proof_word(row.proof) == e["proof"].GetString());
        CHECK(std::string(row.reads_as) == e["reads_as"].GetString());
    }
    REQUIRE(bln_live_point_count(live) == expect["points"].MemberCount());
    for (size_t i = 0; i < bln_live_point_count(live); ++i) {
        bln_live_point row{};
        row.size = sizeof row;
        REQUIRE(bln_live_point_at(live, i, &row, nullptr) == BLN_OK);
        REQUIRE(expect["points"].HasMember(row.point));
        CHECK(proof_word(row.proof) == expect["points"][row.point].GetString());
    }
    bln_report* report = nullptr;
    REQUIRE(bln_live_report(live, &report, nullptr) == BLN_OK);
    same_findings(report, expect["findings"]);
    bln_live_free(live);
    bln_readings_free(readings);
    bln_view_free(view);
    bln_site_free(site);
}

void run_rollup(const fs::path& folder, const Json& c) {
    only(c, {"job", "about", "origin", "rule", "expect"});
    const Json& expect = c["expect"];
    only(expect, {"quantum", "rows", "reconciliations", "findings"}, {"tenures"});
    only(c["rule"], {"duration_us", "wh_num", "wh_den", "stamp"});
    bln_interval_rule rule{};
    rule.size = sizeof rule;
    rule.stamp = std::string(c["rule"]["stamp"].GetString()) == "end" ? BLN_STAMP_END : BLN_STAMP_START;
    rule.duration = c["rule"]["duration_us"].GetInt64();
    rule.wh_num = c["rule"]["wh_num"].GetInt64();
    rule.wh_den = c["rule"]["wh_den"].GetInt64();
    bln_site* site = site_of(folder);
    const std::string csv = slurp(folder / "intervals.csv");
    bln_intervals* x = nullptr;
    REQUIRE(bln_intervals_read_csv(&rule, csv.data(), csv.size(), nullptr, &x, nullptr) == BLN_OK);
    bln_statement* s = nullptr;
    REQUIRE(bln_rollup(site, BLN_END_OF_TIME, x, nullptr, nullptr, nullptr, &s, nullptr) == BLN_OK);
    int64_t num = 0, den = 0;
    REQUIRE(bln_statement_quantum(s, &num, &den, nullptr) == BLN_OK);
    CHECK(std::to_string(num) + (den == 1 ? "" : "/" + std::to_string(den)) == expect["quantum"].GetString());
    REQUIRE(bln_statement_count(s) == expect["rows"].Size());
    for (rapidjson::SizeType i = 0; i < expect["rows"].Size(); ++i) {
        const Json& e = expect["rows"][i];
        only(e, {"kind", "id", "net", "import_p", "export_p", "missing", "mixed"});
        bln_statement_row row{};
        row.size = sizeof row;
        REQUIRE(bln_statement_at(s, i, &row, nullptr) == BLN_OK);
        INFO(row.id);
        CHECK(std::string(row.id) == e["id"].GetString());
        CHECK(kind_word(row.kind) == e["kind"].GetString());
        CHECK(row.net == e["net"].GetInt64());
        CHECK(row.import_p == e["import_p"].GetInt64());
        CHECK(row.export_p == e["export_p"].GetInt64());
        CHECK(row.missing == e["missing"].GetUint64());
        CHECK(row.mixed == e["mixed"].GetUint64());
    }
    if (expect.HasMember("tenures")) {
        const Json& tenures = expect["tenures"];
        REQUIRE(bln_statement_tenures(s) == tenures.Size());
        for (rapidjson::SizeType i = 0; i < tenures.Size(); ++i) {
            only(tenures[i], {"point", "premises", "occupant", "net", "divided"});
            bln_tenure t{};
            t.size = sizeof t;
            REQUIRE(bln_statement_tenure(s, i, &t, nullptr) == BLN_OK);
            bln_statement_row row{};
            row.size = sizeof row;
            REQUIRE(bln_statement_at(s, static_cast<std::size_t>(t.row), &row, nullptr) == BLN_OK);
            CHECK(std::string(row.id) == tenures[i]["point"].GetString());
            CHECK(std::string(t.premises) == tenures[i]["premises"].GetString());
            CHECK(std::string(t.occupant) == tenures[i]["occupant"].GetString());
            CHECK(t.net == tenures[i]["net"].GetInt64());
            CHECK(t.divided == tenures[i]["divided"].GetUint64());
        }
    }
    REQUIRE(bln_statement_reconciliations(s) == expect["reconciliations"].Size());
    for (rapidjson::SizeType i = 0; i < expect["reconciliations"].Size(); ++i) {
        const Json& e = expect["reconciliations"][i];
        only(e, {"rollup", "main", "verdict", "main_net", "sum_net"});
        bln_reconciliation r{};
        r.size = sizeof r;
        REQUIRE(bln_statement_reconciliation(s, i, &r, nullptr) == BLN_OK);
        CHECK(std::string(r.rollup) == e["rollup"].GetString());
        CHECK(std::string(r.main) == e["main"].GetString());
        CHECK(verdict_word(r.verdict) == e["verdict"].GetString());
        CHECK(r.main_net == e["main_net"].GetInt64());
        CHECK(r.sum_net == e["sum_net"].GetInt64());
    }
    bln_report* report = nullptr;
    REQUIRE(bln_statement_report(s, &report, nullptr) == BLN_OK);
    same_findings(report, expect["findings"]);
    bln_statement_free(s);
    bln_intervals_free(x);
    bln_site_free(site);
}

std::size_t run_area(const std::string& area) {
    std::vector<fs::path> folders;
    for (const auto& entry : fs::directory_iterator(fs::path(BLN_TESTS_DIR) / "cases" / area)) folders.push_back(entry);
    std::sort(folders.begin(), folders.end());
    for (const fs::path& folder : folders) {
        INFO(folder.filename().string());
        rapidjson::Document c;
        c.Parse(slurp(folder / "case.json").c_str());
        REQUIRE_FALSE(c.HasParseError());
        REQUIRE(c.HasMember("job"));
        const std::string job = c["job"].GetString();
        if (job == "live")
            run_live(folder, c);
        else if (job == "rollup")
            run_rollup(folder, c);
        else
            FAIL("no such job: " << job);
    }
    return folders.size();
}

}  // namespace

TEST_CASE("cases: live") { CHECK(run_area("live") == 4); }
TEST_CASE("cases: energy") { CHECK(run_area("energy") == 4); }
