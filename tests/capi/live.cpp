#include <catch2/catch.hpp>
#include <cmath>
#include <string>

#include "blondel/blondel.h"

namespace {

const std::string record = R"({"blondel":"1","services":{"s":{"kind":"four_wire_wye","volts_ln":120}},
    "panels":{"p":{"service":"s","spaces":12}},
    "circuits":{"a":{"panel":"p","spaces":[1],"load":"resistive"},"b":{"panel":"p","spaces":[3],"load":"resistive"}},
    "devices":{"d":{"service":"s"}},
    "channels":{"ca":{"device":"d","reference":"A-N"},"cb":{"device":"d","reference":"B-N"}},
    "points":{"A":{"circuits":["a"],"elements":{"ca":1}},"B":{"circuits":["b"],"elements":{"cb":1}}}})";

bln_view* view_of(const std::string& json) {
    bln_site* site = nullptr;
    REQUIRE(bln_site_read(json.data(), json.size(), nullptr, &site, nullptr) == BLN_OK);
    bln_view* view = nullptr;
    REQUIRE(bln_view_new(site, BLN_END_OF_TIME, BLN_END_OF_TIME, &view, nullptr) == BLN_OK);
    bln_site_free(site);
    return view;
}

int32_t stop(void*, uint64_t, uint64_t) { return 1; }

}  // namespace

TEST_CASE("capi live: readings from columns, rows and findings out, any order of free") {
    bln_view* view = view_of(record);
    const char* ids[] = {"ca", "cb"};
    const double watts[] = {1000, -1000}, vars[] = {0, 0};
    const float amps[] = {10, 10};
    bln_readings_columns c{};
    c.size = sizeof c;
    c.watts = {watts, 8, nullptr, BLN_TYPE_F64, 0};
    c.vars = {vars, 8, nullptr, BLN_TYPE_F64, 0};
    c.amps = {amps, 4, nullptr, BLN_TYPE_F32, 0};
    bln_readings* readings = nullptr;
    REQUIRE(bln_readings_new(2, ids, &c, &readings, nullptr) == BLN_OK);
    CHECK(bln_readings_count(readings) == 2);
    bln_live* live = nullptr;
    CHECK(bln_live_check(view, readings, nullptr, stop, nullptr, &live, nullptr) == BLN_E_CANCELLED);
    CHECK(live == nullptr);
    REQUIRE(bln_live_check(view, readings, nullptr, nullptr, nullptr, &live, nullptr) == BLN_OK);
    bln_view_free(view);
    bln_readings_free(readings);

    REQUIRE(bln_live_channel_count(live) == 2);
    bln_live_channel row{};
    row.size = sizeof row;
    REQUIRE(bln_live_channel_at(live, 0, &row, nullptr) == BLN_OK);
    CHECK(row.proof == BLN_PROOF_RIGHT);
    CHECK(std::string(row.channel) == "ca");
    CHECK(std::string(row.point) == "A");
    REQUIRE(bln_live_channel_at(live, 1, &row, nullptr) == BLN_OK);
    CHECK(row.proof == BLN_PROOF_WRONG);
    CHECK(std::string(row.reads_as) == "reversed");
    CHECK(row.given == (BLN_LIVE_HAS_WATTS | BLN_LIVE_HAS_VARS | BLN_LIVE_HAS_ANGLE | BLN_LIVE_HAS_BAND));
    CHECK(std::abs(row.angle_deg) == 180);
    CHECK(bln_live_channel_at(live, 2, &row, nullptr) == BLN_E_RANGE);
    bln_live_point point{};
    point.size = sizeof point;
    REQUIRE(bln_live_point_at(live, 1, &point, nullptr) == BLN_OK);
    CHECK(point.proof == BLN_PROOF_WRONG);
    CHECK(point.watts == -1000);
    CHECK(bln_live_sum_count(live) == 0);

    bln_report* report = nullptr;
    REQUIRE(bln_live_report(live, &report, nullptr) == BLN_OK);
    bln_live_free(live);
    REQUIRE(bln_report_count(report) == 1);
    bln_text* text = nullptr;
    REQUIRE(bln_report_text(report, 0, BLN_TEXT_BODY, nullptr, &text, nullptr) == BLN_OK);
    CHECK(std::string(bln_text_data(text)).find("cb of point B reads -1000 W") != std::string::npos);
    CHECK(std::string(bln_text_data(text)).find('{') == std::string::npos);
    bln_text_free(text);
    bln_report_free(report);
}

TEST_CASE("capi live: conventions are asked for, policies belong to their domain") {
    const char* ids[] = {"ca"};
    const double angle[] = {10};
    bln_readings_columns c{};
    c.size = sizeof c;
    c.angle_deg = {angle, 8, nullptr, BLN_TYPE_F64, 0};
    bln_readings* readings = nullptr;
    CHECK(bln_readings_new(1, ids, &c, &readings, nullptr) == BLN_E_CONVENTION);
    c.angle_convention = 7;
    CHECK(bln_readings_new(1, ids, &c, &readings, nullptr) == BLN_E_RANGE);
    c.angle_convention = BLN_ANGLE_V_MINUS_I;
    REQUIRE(bln_readings_new(1, ids, &c, &readings, nullptr) == BLN_OK);
    bln_view* view = view_of(record);
    bln_policy* policy = nullptr;
    REQUIRE(bln_policy_new(BLN_POLICY_ENERGY, &policy, nullptr) == BLN_OK);
    bln_live* live = nullptr;
    CHECK(bln_live_check(view, readings, policy, nullptr, nullptr, &live, nullptr) == BLN_E_ARGUMENT);
    bln_policy_free(policy);
    REQUIRE(bln_policy_new(BLN_POLICY_LIVE, &policy, nullptr) == BLN_OK);
    REQUIRE(bln_policy_set(policy, "angle.resistive.high_deg", 12, nullptr) == BLN_OK);
    REQUIRE(bln_live_check(view, readings, policy, nullptr, nullptr, &live, nullptr) == BLN_OK);
    bln_policy_free(policy);
    bln_live_free(live);
    bln_readings_free(readings);
    bln_view_free(view);
    CHECK(bln_live_check(nullptr, nullptr, nullptr, nullptr, nullptr, &live, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_live_channel_count(nullptr) == 0);
    bln_live_free(nullptr);
    const std::string csv = "channel,watts\nca,x\nca,inf\n";
    bln_error* e = nullptr;
    CHECK(bln_readings_read_csv(csv.data(), csv.size(), nullptr, &readings, &e) == BLN_E_VALUE);
    REQUIRE(bln_error_count(e) == 2);
    CHECK(bln_error_line(e, 1) == 3);
    CHECK(bln_error_status(e, 1) == BLN_E_NOT_FINITE);
    bln_error_free(e);
}
