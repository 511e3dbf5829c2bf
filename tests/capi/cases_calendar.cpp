// Runs the folders of tests/cases/apportion and tests/cases/demand through the public header.
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "cases.hpp"

namespace {

using cases::Json;
namespace fs = std::filesystem;

int64_t part_of(const std::string& ratio, bool den) {
    const auto slash = ratio.find('/');
    if (slash == std::string::npos) return den ? 1 : std::stoll(ratio);
    return std::stoll(den ? ratio.substr(slash + 1) : ratio.substr(0, slash));
}
std::string ratio(const Json& value) { return value.is_string() ? value.get<std::string>() : value.dump(); }

void run_apportion(const Json& c) {
    cases::keys(c, {"job", "about", "origin", "total", "weights", "expect"},
                {"job", "about", "origin", "total", "weights", "caps", "expect"});
    std::vector<bln_share_key> keys;
    const auto add = [&keys](int32_t kind, const std::string& id, const std::string& value) {
        keys.push_back({sizeof(bln_share_key), kind, id.c_str(), BLN_BEGIN_OF_TIME, BLN_END_OF_TIME,
                        part_of(value, false), part_of(value, true), nullptr});
    };
    std::map<std::string, std::string> weights, caps;
    for (const auto& [id, w] : c["weights"].items()) weights[id] = ratio(w);
    if (c.contains("caps"))
        for (const auto& [id, w] : c["caps"].items()) caps[id] = ratio(w);
    for (const auto& [id, w] : weights) add(BLN_KEY_WEIGHT, id, w);
    for (const auto& [id, w] : caps) add(BLN_KEY_CAP, id, w);
    const bln_share_rule rule{sizeof(bln_share_rule), BLN_SHARE_GIVEN, c["total"].get<int64_t>(), 0, 1, nullptr};
    bln_apportionment* result = nullptr;
    bln_error* error = nullptr;
    cases::ok(bln_apportion(&rule, nullptr, 0, keys.data(), keys.size(), &result, &error), error);
    std::map<std::string, int64_t> found;
    int64_t sum = 0;
    for (size_t i = 0; i < bln_apportionment_count(result); ++i) {
        bln_share_part part{};
        part.size = sizeof part;
        REQUIRE(bln_apportionment_at(result, i, &part, nullptr) == BLN_OK);
        found[part.id] = part.part;
        sum += part.part;
        CHECK(std::abs(part.exact - static_cast<double>(part.part)) < 1);
    }
    CHECK(sum == rule.total);
    cases::keys(c["expect"], {"parts"}, {"parts"});
    for (const auto& [id, part] : c["expect"]["parts"].items()) {
        INFO(id);
        CHECK(found.at(id) == part.get<int64_t>());
    }
    bln_apportionment_free(result);
}

void run_demand(const Json& c) {
    cases::keys(c, {"job", "about", "origin", "duration_us", "window_us", "step_us", "wh", "p", "q", "expect"},
                {"job", "about", "origin", "duration_us", "window_us", "step_us", "wh", "p", "q", "expect"});
    const Json& expect = c["expect"];
    cases::keys(expect, {"windows", "peak_watts", "peak_start_us"},
                {"windows", "peak_watts", "peak_start_us", "watts", "total", "peak_voltamperes", "within",
                 "load_factor_percent"});
    const auto p = c["p"].get<std::vector<int64_t>>(), q = c["q"].get<std::vector<int64_t>>();
    const std::string wh = c["wh"].get<std::string>();
    const auto column = [](const std::vector<int64_t>& v) {
        return bln_column{v.empty() ? nullptr : v.data(), 8, nullptr, BLN_TYPE_I64, 0};
    };
    const bln_equal_series series{
        sizeof(bln_equal_series), 0,         0,        c["duration_us"].get<int64_t>(), p.size(), part_of(wh, false),
        part_of(wh, true),        column(p), column(q)};
    const bln_demand_rule rule{sizeof(bln_demand_rule), 0, c["window_us"].get<int64_t>(), c["step_us"].get<int64_t>()};
    bln_demand* d = nullptr;
    bln_error* error = nullptr;
    cases::ok(bln_demand_new(&rule, nullptr, &series, &d, &error), error);
    REQUIRE(bln_demand_count(d) == expect["windows"].get<size_t>());
    int64_t total = 0;
    double mean = 0;
    for (size_t i = 0; i < bln_demand_count(d); ++i) {
        bln_demand_window w{};
        w.size = sizeof w;
        REQUIRE(bln_demand_at(d, i, &w, nullptr) == BLN_OK);
        CHECK(w.complete == 1);
        total += w.p;
        mean += w.watts / expect["windows"].get<double>();
        if (expect.contains("watts")) CHECK(w.watts == expect["watts"][i].get<double>());
    }
    bln_peak peak{};
    peak.size = sizeof peak;
    REQUIRE(bln_demand_peak(d, BLN_DEMAND_ACTIVE, BLN_BEGIN_OF_TIME, BLN_END_OF_TIME, &peak, nullptr) == BLN_OK);
    CHECK(peak.value == expect["peak_watts"].get<double>());
    CHECK(peak.from == expect["peak_start_us"].get<int64_t>());
    CHECK(bln_demand_find(d, peak.from) == static_cast<int64_t>(peak.window));
    if (expect.contains("total")) CHECK(total == expect["total"].get<int64_t>());
    if (expect.contains("load_factor_percent"))
        CHECK(std::abs(100 * mean / peak.value - expect["load_factor_percent"].get<double>()) <= 0.051);
    if (expect.contains("peak_voltamperes")) {
        REQUIRE(bln_demand_peak(d, BLN_DEMAND_APPARENT, BLN_BEGIN_OF_TIME, BLN_END_OF_TIME, &peak, nullptr) == BLN_OK);
        CHECK(std::abs(peak.value - expect["peak_voltamperes"].get<double>()) <= expect["within"].get<double>());
    }
    bln_demand_free(d);
}

std::size_t run_family(const std::string& family, void (*run)(const Json&)) {
    std::vector<fs::path> folders;
    for (const auto& entry : fs::directory_iterator(fs::path(BLN_TESTS_DIR) / "cases" / family))
        folders.push_back(entry);
    std::sort(folders.begin(), folders.end());
    for (const fs::path& folder : folders) {
        INFO(folder.filename().string());
        const Json c = Json::parse(cases::bytes_of(folder / "case.json"));
        CHECK(c.at("job") == family);
        CHECK_FALSE(c.at("origin").at("where").get<std::string>().empty());
        run(c);
    }
    return folders.size();
}

}  // namespace

TEST_CASE("cases: apportion") { CHECK(run_family("apportion", run_apportion) == 8); }
TEST_CASE("cases: demand") { CHECK(run_family("demand", run_demand) == 7); }
