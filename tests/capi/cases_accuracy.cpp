// The job "accuracy": published limits and uncertainties. Format: tests/cases/README.md.
#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <vector>

#include "cases.hpp"

using namespace cases;

namespace {

constexpr std::size_t case_count = 19;

/// Names and numbers of a result; a name that is absent is not stated.
using Result = std::map<std::string, double>;

template <class T>
T sized() {
    T out{};
    out.size = sizeof(T);
    return out;
}

void done(bln_status& status, bln_status now, bln_error*& error) {
    status = now;
    bln_error_free(error);
}

bln_status limits(const Json& in, Result& out) {
    const std::map<std::string, std::int32_t> devices{{"ct", BLN_CLASS_CURRENT_TRANSFORMER},
                                                      {"meter", BLN_CLASS_ACTIVE_METER},
                                                      {"reactive_meter", BLN_CLASS_REACTIVE_METER}};
    auto l = sized<bln_accuracy_limits>();
    bln_error* error = nullptr;
    bln_status status = BLN_OK;
    done(status,
         bln_accuracy_limit(devices.at(in.at("of").get<std::string>()), in.at("class").get<std::string>().c_str(),
                            in.at("percent").get<double>(), in.at("angle_degrees").get<double>(), &l, &error),
         error);
    if ((l.states & BLN_LIMIT_RATIO) != 0) out["ratio_percent"] = l.ratio_percent;
    if ((l.states & BLN_LIMIT_PHASE) != 0) out["phase_minutes"] = l.phase_minutes;
    if ((l.states & BLN_LIMIT_POWER) != 0) out["power_percent"] = l.power_percent;
    return status;
}

bln_status power_error(const Json& in, Result& out) {
    auto errors = sized<bln_element_errors>();
    errors.amps_ratio_percent = in.value("amps_ratio_percent", 0.0);
    errors.amps_phase_minutes = in.value("amps_phase_minutes", 0.0);
    auto r = sized<bln_power_errors>();
    bln_error* error = nullptr;
    bln_status status = BLN_OK;
    done(status, bln_power_error(in.at("watts").get<double>(), in.at("vars").get<double>(), &errors, &r, &error),
         error);
    out = {{"watts", r.watts}, {"vars", r.vars}};
    return status;
}

bln_accuracy_limits given(const Json& in) {
    auto l = sized<bln_accuracy_limits>();
    const auto put = [&](const char* name, std::int32_t bit, double& to) {
        if (!in.contains(name)) return;
        l.states |= bit;
        to = in.at(name).get<double>();
    };
    put("ratio_percent", BLN_LIMIT_RATIO, l.ratio_percent);
    put("phase_minutes", BLN_LIMIT_PHASE, l.phase_minutes);
    put("power_percent", BLN_LIMIT_POWER, l.power_percent);
    return l;
}

bln_status power_uncertainty(const Json& in, Result& out) {
    const bln_accuracy_limits ct = in.contains("ct") ? given(in.at("ct")) : bln_accuracy_limits{};
    const bln_accuracy_limits meter = in.contains("meter") ? given(in.at("meter")) : bln_accuracy_limits{};
    auto r = sized<bln_power_uncertainty_result>();
    bln_error* error = nullptr;
    bln_status status = BLN_OK;
    done(status,
         bln_power_uncertainty(in.at("watts").get<double>(), in.at("vars").get<double>(),
                               in.contains("ct") ? &ct : nullptr, in.contains("meter") ? &meter : nullptr, &r, &error),
         error);
    out = {
        {"watts", r.watts}, {"watts_ct", r.watts_ct}, {"watts_meter", r.watts_meter}, {"watts_limit", r.watts_limit}};
    return status;
}

template <class T>
std::vector<T> list(const Json& in, const char* name) {
    return in.contains(name) ? in.at(name).get<std::vector<T>>() : std::vector<T>{};
}
template <class T>
const T* or_null(const std::vector<T>& v) {
    return v.empty() ? nullptr : v.data();
}

bln_status combine(const Json& in, Result& out) {
    const auto values = list<double>(in, "values");
    const auto random = list<double>(in, "random"), shared = list<double>(in, "shared");
    const auto coefficients = list<double>(in, "coefficients");
    const auto groups = list<std::uint32_t>(in, "groups");
    auto r = sized<bln_uncertain>();
    bln_error* error = nullptr;
    bln_status status = BLN_OK;
    done(status,
         bln_uncertainty_combine(values.size(), or_null(coefficients), or_null(values), or_null(random),
                                 or_null(shared), or_null(groups), &r, &error),
         error);
    out = {{"value", r.value}, {"random", r.random}, {"shared", r.shared}, {"combined", r.combined}};
    return status;
}

bln_status propagate(const Json& in, Result& out) {
    const auto c = list<double>(in, "sensitivity"), u = list<double>(in, "uncertainty");
    std::vector<double> r;
    for (const Json& row : in.at("correlation"))
        for (const Json& x : row) r.push_back(x.get<double>());
    bln_error* error = nullptr;
    bln_status status = BLN_OK;
    double result = 0;
    done(status, bln_uncertainty_propagate(c.size(), c.data(), u.data(), r.data(), &result, &error), error);
    out = {{"uncertainty", result}};
    return status;
}

using Function = bln_status (*)(const Json&, Result&);
const std::map<std::string, Function> functions{{"limits", limits},
                                                {"power_error", power_error},
                                                {"power_uncertainty", power_uncertainty},
                                                {"combine", combine},
                                                {"propagate", propagate}};

std::size_t run(const Json& json) {
    keys(json, {"job", "id", "title", "source", "provenance", "call", "rows"}, {"notes"});
    CHECK(json.at("source").get<std::string>().size() > 10);
    const Function function = functions.at(json.at("call").get<std::string>());
    std::size_t compared = 0;
    for (const Json& row : json.at("rows")) {
        INFO(row.dump());
        keys(row, {"in"}, {"expected", "refused"});
        Result got;
        const bln_status status = function(row.at("in"), got);
        if (row.contains("refused")) {
            CHECK(row.at("refused") == "absent");
            CHECK(status == BLN_E_ABSENT);
            ++compared;
            continue;
        }
        REQUIRE(status == BLN_OK);
        for (const auto& [name, wanted] : row.at("expected").items()) {
            INFO(name << " is " << (got.count(name) == 1 ? std::to_string(got.at(name)) : "not stated"));
            ++compared;
            if (wanted.is_null()) {
                CHECK(got.count(name) == 0);
                continue;
            }
            REQUIRE(got.count(name) == 1);
            CHECK(std::abs(got.at(name) - wanted.at(0).get<double>()) <= wanted.at(1).get<double>());
        }
    }
    return compared;
}

}  // namespace

TEST_CASE("published limits and uncertainties") {
    std::size_t found = 0;
    std::set<std::string> called;
    for (const auto& entry :
         std::filesystem::directory_iterator(std::filesystem::path(BLN_TESTS_DIR) / "cases/accuracy")) {
        INFO(entry.path().filename().string());
        const Json json = Json::parse(bytes_of(entry.path() / "case.json"));
        CHECK(run(json) > 0);
        called.insert(json.at("call").get<std::string>());
        ++found;
    }
    CHECK(found == case_count);
    CHECK(called.size() == functions.size());
}
