// Runs the folders of tests/cases/plan through the public header.
#include <cstdint>
#include <string>
#include <vector>

#include "cases.hpp"

namespace {

using cases::Json;
namespace fs = std::filesystem;

std::string conflict_word(int32_t kind) {
    switch (kind) {
        case BLN_CONFLICT_ROOM:
            return "room";
        case BLN_CONFLICT_DEVICES:
            return "devices";
        case BLN_CONFLICT_MOST_NEW_DEVICES:
            return "most_new_devices";
        case BLN_CONFLICT_SPARE_PERCENT:
            return "spare_percent";
        case BLN_CONFLICT_SPARE_PER_DEVICE:
            return "spare_per_device";
        case BLN_CONFLICT_WHOLE_CONNECTORS:
            return "whole_connectors";
        case BLN_CONFLICT_WHOLE_POINTS:
            return "whole_points";
        case BLN_CONFLICT_RESERVED:
            return "reserved";
        default:
            return kind == BLN_CONFLICT_PIN ? "pin" : "?";
    }
}

void compare_rows(const bln_plan* plan, const Json& expect) {
    std::size_t added = 0;
    for (std::size_t i = 0; i < bln_plan_devices(plan); ++i) {
        bln_plan_device d{};
        d.size = sizeof d;
        REQUIRE(bln_plan_device_at(plan, i, &d, nullptr) == BLN_OK);
        added += d.added != 0 ? 1 : 0;
    }
    CHECK(added == expect["added"].get<std::size_t>());
    for (const auto& [circuit, is] : expect["rows"].items()) {
        INFO(circuit);
        std::vector<int> inputs;
        std::vector<std::string> references;
        for (std::size_t i = 0; i < bln_plan_count(plan); ++i) {
            bln_plan_row r{};
            r.size = sizeof r;
            REQUIRE(bln_plan_at(plan, i, &r, nullptr) == BLN_OK);
            if (r.circuit != circuit) continue;
            inputs.push_back(r.input);
            references.emplace_back(r.reference);
            CHECK(r.device == is[0].get<std::string>());
            CHECK(r.ct_type == is[3].get<std::string>());
        }
        CHECK(inputs == is[1].get<std::vector<int>>());
        CHECK(references == is[2].get<std::vector<std::string>>());
    }
}

void run_plan(const fs::path& folder) {
    const Json c = Json::parse(cases::bytes_of(folder / "case.json"));
    CHECK(c["job"] == "plan");
    cases::keys(c, {"job", "about", "origin", "request", "expect"}, {"job", "about", "origin", "request", "expect"});
    const Json& expect = c["expect"];
    cases::keys(expect, {"found", "proven"}, {"found", "proven", "added", "rows", "conflicts"});
    const std::string site_text = cases::bytes_of(folder / "site.json");
    bln_site* s = nullptr;
    bln_error* error = nullptr;
    cases::ok(bln_site_read(site_text.data(), site_text.size(), nullptr, &s, &error), error);
    const cases::Held<bln_site> site(s);
    bln_view* v = nullptr;
    cases::ok(bln_view_new(s, BLN_END_OF_TIME, BLN_END_OF_TIME, &v, &error), error);
    const cases::Held<bln_view> view(v);
    const std::string request = c["request"].dump();
    bln_plan* plan = nullptr;
    cases::ok(bln_plan_new(v, request.data(), request.size(), &plan, &error), error);
    bln_plan_info info{};
    info.size = sizeof info;
    REQUIRE(bln_plan_about(plan, &info, nullptr) == BLN_OK);
    CHECK((info.found != 0) == expect["found"].get<bool>());
    CHECK((info.proven != 0) == expect["proven"].get<bool>());
    if (info.found != 0) {
        compare_rows(plan, expect);
        bln_text* text = nullptr;
        cases::ok(bln_plan_text(plan, &text, &error), error);
        CHECK(cases::taken(text).find("stay free") != std::string::npos);
    } else {
        Json found = Json::array();
        for (std::size_t i = 0; i < bln_plan_conflicts(plan); ++i) {
            bln_plan_conflict k{};
            k.size = sizeof k;
            REQUIRE(bln_plan_conflict_at(plan, i, &k, nullptr) == BLN_OK);
            CHECK(std::string(k.words).size() > 10);
            found.push_back({conflict_word(k.kind), k.subject});
        }
        CHECK(found == expect["conflicts"]);
        bln_text* patch = nullptr;
        CHECK(bln_plan_patch(plan, &patch, nullptr) == BLN_E_STATE);
    }
    bln_plan_free(plan);
}

}  // namespace

TEST_CASE("cases: allocations") {
    std::size_t n = 0;
    for (const auto& entry : fs::directory_iterator(fs::path(BLN_TESTS_DIR) / "cases/plan")) {
        if (!entry.is_directory()) continue;
        INFO(entry.path().string());
        run_plan(entry.path());
        ++n;
    }
    CHECK(n == 6);
}
