// The jobs "expected", "phase_test" and "trace", and the functions of their sections. Format: tests/cases/README.md.
#include <algorithm>
#include <cmath>
#include <set>
#include <vector>

#include "cases.hpp"

using namespace cases;
namespace fs = std::filesystem;

namespace {

Held<bln_view> view_in(const fs::path& folder) {
    const std::string json = bytes_of(folder / "site.json");
    bln_site* site = nullptr;
    bln_view* view = nullptr;
    bln_error* error = nullptr;
    ok(bln_site_read(json.data(), json.size(), nullptr, &site, &error), error);
    const Held<bln_site> held(site);
    ok(bln_view_new(site, BLN_END_OF_TIME, BLN_END_OF_TIME, &view, &error), error);
    return Held<bln_view>(view);
}

template <class Row, class Object>
Row at(bln_status (*get)(const Object*, size_t, Row*, bln_error**) BLN_NOEXCEPT, const Object* object, size_t i) {
    Row row{};
    row.size = sizeof row;
    bln_error* error = nullptr;
    ok(get(object, i, &row, &error), error);
    return row;
}

void near(const Json& wanted, double got) { CHECK(std::abs(wanted.get<double>() - got) <= 0.05); }

const std::vector<std::pair<std::string, int32_t>> states{{"known", BLN_EXPECT_KNOWN},
                                                          {"zero_volts", BLN_EXPECT_ZERO_VOLTS},
                                                          {"no_current", BLN_EXPECT_NO_CURRENT},
                                                          {"unknown", BLN_EXPECT_UNKNOWN}};
const std::vector<std::pair<std::string, int32_t>> verdicts{{"impossible", BLN_PHASE_IMPOSSIBLE},
                                                            {"ambiguous", BLN_PHASE_AMBIGUOUS},
                                                            {"not_tested", BLN_PHASE_NOT_TESTED},
                                                            {"likely", BLN_PHASE_LIKELY},
                                                            {"proven", BLN_PHASE_PROVEN}};
const std::vector<std::pair<std::string, int32_t>> causes{{"none", BLN_PHASE_CAUSE_NONE},
                                                          {"dead", BLN_PHASE_CAUSE_DEAD},
                                                          {"zero_alone", BLN_PHASE_CAUSE_ZERO_ALONE},
                                                          {"tied", BLN_PHASE_CAUSE_TIED},
                                                          {"floating", BLN_PHASE_CAUSE_FLOATING},
                                                          {"displaced", BLN_PHASE_CAUSE_DISPLACED},
                                                          {"third_phase", BLN_PHASE_CAUSE_THIRD_PHASE},
                                                          {"other_system", BLN_PHASE_CAUSE_OTHER_SYSTEM},
                                                          {"contradiction", BLN_PHASE_CAUSE_CONTRADICTION},
                                                          {"unexplained", BLN_PHASE_CAUSE_UNEXPLAINED}};
const std::vector<std::pair<std::string, int32_t>> panels{{"mixed", BLN_PANEL_MIXED},
                                                          {"rotated", BLN_PANEL_ROTATED},
                                                          {"undecided", BLN_PANEL_UNDECIDED},
                                                          {"not_tested", BLN_PANEL_NOT_TESTED},
                                                          {"as_recorded", BLN_PANEL_AS_RECORDED}};
std::string word(const std::vector<std::pair<std::string, int32_t>>& words, int32_t number) {
    for (const auto& [w, n] : words)
        if (n == number) return w;
    return "number " + std::to_string(number);
}

void run_expected(const fs::path& folder, const Json& json) {
    const Json& expect = json.at("expect");
    keys(expect, {"channels"}, {});
    const Held<bln_view> view = view_in(folder);
    bln_expect* sheet = nullptr;
    bln_error* error = nullptr;
    ok(bln_expect_new(view.get(), nullptr, &sheet, &error), error);
    REQUIRE(bln_expect_count(sheet) == expect.at("channels").size());
    for (size_t i = 0; i < bln_expect_count(sheet); ++i) {
        const auto row = at<bln_expect_row>(bln_expect_at, sheet, i);
        INFO(row.channel);
        const Json& wanted = expect.at("channels").at(row.channel);
        keys(wanted, {"state"}, {"sign", "angle", "offset", "volts", "least_amps", "least_watts"});
        CHECK(wanted.at("state") == word(states, row.state));
        if (wanted.contains("sign")) CHECK(wanted.at("sign") == row.sign);
        if (wanted.contains("angle"))
            near(wanted["angle"][0], row.angle_low_deg), near(wanted["angle"][1], row.angle_high_deg);
        if (wanted.contains("offset"))
            near(wanted["offset"][0], row.offset_low_deg), near(wanted["offset"][1], row.offset_high_deg);
        if (wanted.contains("volts")) near(wanted["volts"], row.volts);
        if (wanted.contains("least_amps")) near(wanted["least_amps"], row.least_amps);
        if (wanted.contains("least_watts")) near(wanted["least_watts"], row.least_watts);
    }
    bln_text* text = nullptr;
    ok(bln_expect_text(sheet, &text, &error), error);
    CHECK(taken(text).find("Cautions") != std::string::npos);
    ok(bln_expect_csv(sheet, &text, &error), error);
    const std::string csv = taken(text);
    CHECK(static_cast<size_t>(std::count(csv.begin(), csv.end(), '\n')) == expect.at("channels").size() + 1);
    bln_expect_free(sheet);
}

std::multiset<std::string> identities(bln_report* report) {
    const Held<bln_report> held(report);
    std::multiset<std::string> found;
    bln_error* error = nullptr;
    for (size_t i = 0; i < bln_report_count(report); ++i) {
        bln_text* text = nullptr;
        ok(bln_report_identity(report, i, &text, &error), error);
        found.insert(taken(text));
        for (const int32_t part : {BLN_TEXT_TITLE, BLN_TEXT_BODY, BLN_TEXT_ACTION}) {
            ok(bln_report_text(report, i, part, nullptr, &text, &error), error);
            const std::string prose = taken(text);
            CHECK_FALSE(prose.empty());
            CHECK(prose.find('{') == std::string::npos);
        }
    }
    return found;
}

void run_phase(const fs::path& folder, const Json& json) {
    const Json& expect = json.at("expect");
    keys(expect, {"conductors", "panels", "findings"}, {});
    const Held<bln_view> view = view_in(folder);
    const std::string csv = bytes_of(folder / "readings.csv");
    bln_phase_test* test = nullptr;
    bln_error* error = nullptr;
    ok(bln_phase_test_read_csv(view.get(), nullptr, csv.data(), csv.size(), nullptr, nullptr, &test, &error), error);
    REQUIRE(bln_phase_test_count(test) == expect.at("conductors").size());
    for (size_t i = 0; i < bln_phase_test_count(test); ++i) {
        const auto row = at<bln_phase_row>(bln_phase_test_at, test, i);
        INFO(row.conductor);
        const Json& wanted = expect.at("conductors").at(row.conductor);
        keys(wanted, {"verdict", "phase"}, {"cause", "next_reference"});
        CHECK(wanted.at("verdict") == word(verdicts, row.verdict));
        CHECK(wanted.at("phase") == row.phase);
        CHECK(wanted.value("cause", "none") == word(causes, row.cause));
        if (wanted.contains("next_reference")) CHECK(wanted.at("next_reference") == row.next_reference);
    }
    REQUIRE(bln_phase_test_panel_count(test) == expect.at("panels").size());
    for (size_t i = 0; i < bln_phase_test_panel_count(test); ++i) {
        const auto row = at<bln_phase_panel>(bln_phase_test_panel_at, test, i);
        const Json& wanted = expect.at("panels").at(row.panel);
        keys(wanted, {"verdict", "measured"}, {});
        CHECK(wanted.at("verdict") == word(panels, row.verdict));
        CHECK(wanted.at("measured") == row.measured);
    }
    bln_report* report = nullptr;
    ok(bln_phase_test_report(test, &report, &error), error);
    std::multiset<std::string> wanted;
    for (const Json& id : expect.at("findings")) wanted.insert(id.get<std::string>());
    CHECK(identities(report) == wanted);
    bln_text* text = nullptr;
    ok(bln_phase_test_text(test, &text, &error), error);
    CHECK(taken(text).find("zero does not prove a conductor dead") != std::string::npos);
    bln_phase_test_free(test);
}

const std::vector<std::pair<std::string, int32_t>> traced{{"contradictory", BLN_TRACED_CONTRADICTORY},
                                                          {"undecided", BLN_TRACED_UNDECIDED},
                                                          {"not_proven", BLN_TRACED_NOT_PROVEN},
                                                          {"not_among", BLN_TRACED_NOT_AMONG},
                                                          {"likely", BLN_TRACED_LIKELY},
                                                          {"proven", BLN_TRACED_PROVEN}};
const std::vector<std::pair<std::string, int32_t>> trace_causes{{"none", BLN_TRACE_CAUSE_NONE},
                                                                {"no_load", BLN_TRACE_CAUSE_NO_LOAD},
                                                                {"no_word", BLN_TRACE_CAUSE_NO_WORD},
                                                                {"two_breakers", BLN_TRACE_CAUSE_TWO_BREAKERS},
                                                                {"partly", BLN_TRACE_CAUSE_PARTLY},
                                                                {"corrected", BLN_TRACE_CAUSE_CORRECTED},
                                                                {"too_little", BLN_TRACE_CAUSE_TOO_LITTLE},
                                                                {"too_many", BLN_TRACE_CAUSE_TOO_MANY}};

int32_t rule_of(const std::string& rule) {
    return rule == "never" ? BLN_SWITCH_NEVER : rule == "ask" ? BLN_SWITCH_ASK : BLN_SWITCH_MAY;
}

bln_trace* plan_of(const Json& wanted) {
    keys(wanted, {"breakers", "rules", "check", "most_off"}, {});
    std::vector<std::string> ids;
    std::vector<int32_t> poles, rules;
    for (const auto& [id, n] : wanted.at("breakers").items()) {
        ids.push_back(id);
        poles.push_back(n.get<int32_t>());
        rules.push_back(rule_of(wanted.at("rules").value(id, "may")));
    }
    std::vector<const char*> names;
    for (const std::string& id : ids) names.push_back(id.c_str());
    const std::string check = wanted.at("check");
    const bln_trace_options options{sizeof(bln_trace_options),
                                    check == "plain"    ? BLN_TRACE_PLAIN
                                    : check == "detect" ? BLN_TRACE_DETECT
                                                        : BLN_TRACE_CORRECT,
                                    wanted.at("most_off").get<uint64_t>()};
    bln_trace* plan = nullptr;
    bln_error* error = nullptr;
    ok(bln_trace_new(ids.size(), names.data(), poles.data(), rules.data(), &options, &plan, &error), error);
    return plan;
}

void run_trace(const fs::path& folder, const Json& json) {
    const Json& expect = json.at("expect");
    keys(expect, {"steps", "words", "channels", "findings"}, {});
    bln_trace* plan = plan_of(json.at("plan"));
    const auto about = [&] {
        bln_trace_info row{};
        row.size = sizeof row;
        REQUIRE(bln_trace_about(plan, &row, nullptr) == BLN_OK);
        return row;
    }();
    CHECK(about.steps == expect.at("steps").get<uint32_t>());
    REQUIRE(bln_trace_count(plan) == expect.at("words").size());
    for (size_t i = 0; i < bln_trace_count(plan); ++i) {
        const auto row = at<bln_trace_breaker>(bln_trace_at, plan, i);
        CHECK(expect.at("words").at(row.id) == row.word);
    }
    const std::string csv = bytes_of(folder / "readings.csv");
    bln_trace_result* result = nullptr;
    bln_error* error = nullptr;
    ok(bln_trace_decode_csv(plan, nullptr, csv.data(), csv.size(), nullptr, nullptr, &result, &error), error);
    bln_text* text = nullptr;
    ok(bln_trace_text(plan, &text, &error), error);
    CHECK(taken(text).find("Never switch off life safety") != std::string::npos);
    ok(bln_trace_json(plan, &text, &error), error);
    CHECK(Json::parse(taken(text)).at("off").size() == about.steps);
    bln_trace_free(plan);
    REQUIRE(bln_trace_result_count(result) == expect.at("channels").size());
    for (size_t i = 0; i < bln_trace_result_count(result); ++i) {
        const auto row = at<bln_trace_row>(bln_trace_result_at, result, i);
        INFO(row.channel);
        const Json& wanted = expect.at("channels").at(row.channel);
        keys(wanted, {"verdict", "breaker", "cause"}, {});
        CHECK(wanted.at("verdict") == word(traced, row.verdict));
        CHECK(wanted.at("breaker") == row.breaker);
        CHECK(wanted.at("cause") == word(trace_causes, row.cause));
    }
    bln_report* report = nullptr;
    ok(bln_trace_result_report(result, &report, &error), error);
    std::multiset<std::string> wanted;
    for (const Json& id : expect.at("findings")) wanted.insert(id.get<std::string>());
    CHECK(identities(report) == wanted);
    ok(bln_trace_result_text(result, &text, &error), error);
    CHECK(taken(text).find("Cautions") != std::string::npos);
    bln_trace_result_free(result);
}

std::size_t family(const char* name, void (*run)(const fs::path&, const Json&)) {
    std::size_t found = 0;
    for (const auto& entry : fs::directory_iterator(fs::path(BLN_TESTS_DIR) / "cases" / name)) {
        INFO(entry.path().filename().string());
        const Json json = Json::parse(bytes_of(entry.path() / "case.json"));
        keys(json, {"job", "about", "origin", "expect"}, {"plan"});
        CHECK(json.at("job") == name);
        keys(json.at("origin"), {"kind", "where"}, {});
        run(entry.path(), json);
        ++found;
    }
    return found;
}

}  // namespace

TEST_CASE("cases: expected readings") { CHECK(family("expected", run_expected) == 6); }
TEST_CASE("cases: voltmeter phase test") { CHECK(family("phase_test", run_phase) == 9); }
TEST_CASE("cases: tracing circuits") { CHECK(family("trace", run_trace) == 5); }

TEST_CASE("capi field tests: what the calls refuse") {
    const Held<bln_view> view = view_in(fs::path(BLN_TESTS_DIR) / "cases/phase_test/bus-fed-b-c-a");
    bln_policy* energy = nullptr;
    REQUIRE(bln_policy_new(BLN_POLICY_ENERGY, &energy, nullptr) == BLN_OK);
    const Held<bln_policy> held(energy);
    bln_expect* sheet = nullptr;
    CHECK(bln_expect_new(nullptr, nullptr, &sheet, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_expect_new(view.get(), energy, &sheet, nullptr) == BLN_E_ARGUMENT);
    CHECK(sheet == nullptr);
    CHECK(bln_expect_count(nullptr) == 0);
    bln_expect_free(nullptr);

    bln_phase_test* test = nullptr;
    const char* conductors[] = {"x"};
    const char* references[] = {"A"};
    double volts[] = {1};
    const bln_column column = {volts, 8, nullptr, BLN_TYPE_F64, 0};
    const auto call = [&](const char* service, const bln_policy* policy) {
        return bln_phase_test_new(view.get(), service, 1, conductors, references, &column, policy, &test, nullptr);
    };
    CHECK(call("nobody", nullptr) == BLN_E_NO_ENTITY);
    CHECK(call(nullptr, energy) == BLN_E_ARGUMENT);
    volts[0] = std::nan("");
    CHECK(call(nullptr, nullptr) == BLN_E_NOT_FINITE);
    volts[0] = -1;
    CHECK(call(nullptr, nullptr) == BLN_E_VALUE);
    volts[0] = 1;
    conductors[0] = "A";
    CHECK(call(nullptr, nullptr) == BLN_E_VALUE);
    CHECK(test == nullptr);
    bln_text* text = nullptr;
    CHECK(bln_phase_test_sheet(view.get(), "nobody", &text, nullptr) == BLN_E_NO_ENTITY);
    CHECK(bln_phase_test_read_csv(view.get(), nullptr, "", 0, nullptr, nullptr, &test, nullptr) == BLN_E_SYNTAX);
    CHECK(bln_phase_test_count(nullptr) == 0);
    CHECK(bln_phase_test_panel_count(nullptr) == 0);
    bln_phase_test_free(nullptr);
}

TEST_CASE("capi trace: what the calls refuse") {
    bln_trace* plan = nullptr;
    const char* ids[] = {"a", "b"};
    int32_t poles[] = {1, 4}, rules[] = {BLN_SWITCH_MAY, 11};
    bln_trace_options options{sizeof(bln_trace_options), 11, 0};
    CHECK(bln_trace_new(2, ids, poles, nullptr, nullptr, &plan, nullptr) == BLN_E_RANGE);
    CHECK(bln_trace_new(2, ids, nullptr, rules, nullptr, &plan, nullptr) == BLN_E_RANGE);
    CHECK(bln_trace_new(2, ids, nullptr, nullptr, &options, &plan, nullptr) == BLN_E_RANGE);
    ids[1] = "a";
    CHECK(bln_trace_new(2, ids, nullptr, nullptr, nullptr, &plan, nullptr) == BLN_E_VALUE);
    ids[1] = "b c";
    CHECK(bln_trace_new(2, ids, nullptr, nullptr, nullptr, &plan, nullptr) == BLN_E_VALUE);
    CHECK(plan == nullptr);
    ids[1] = "b";
    REQUIRE(bln_trace_new(2, ids, nullptr, nullptr, nullptr, &plan, nullptr) == BLN_OK);
    bln_trace_result* result = nullptr;
    const auto csv = [&](const std::string& text) {
        return bln_trace_decode_csv(plan, nullptr, text.data(), text.size(), nullptr, nullptr, &result, nullptr);
    };
    const std::string header = "channel,step,before_amps,off_amps\n";
    CHECK(csv("") == BLN_E_SYNTAX);
    CHECK(csv("channel,step,before_amps\n") == BLN_E_FIELD);
    CHECK(csv("channel,step,before_watts,off_watts\n") == BLN_E_UNIT);
    CHECK(csv(header + "x,9,1,1\n") == BLN_E_VALUE);
    CHECK(csv(header + "x,1.5,1,1\n") == BLN_E_VALUE);
    CHECK(csv(header + "x,1,-1,1\n") == BLN_E_VALUE);
    CHECK(csv(header + "x,1,inf,1\n") == BLN_E_NOT_FINITE);
    CHECK(csv(header + "x y,1,1,1\n") == BLN_E_VALUE);
    CHECK(csv(header + "x,1,1\n") == BLN_E_VALUE);
    CHECK(result == nullptr);
    REQUIRE(csv(header + "x,1,,\nx,2,7,0\n") == BLN_OK);
    CHECK(bln_trace_result_count(result) == 1);
    bln_trace_result_free(result);
    bln_trace_free(plan);
    bln_text* text = nullptr;
    const double amps[] = {1, 2, 3};
    const bln_column column = {amps, 8, nullptr, BLN_TYPE_F64, 0};
    const uint64_t beyond = 3;
    CHECK(bln_trace_natural(1, ids, 3, &column, 1, ids, &beyond, nullptr, &text, nullptr) == BLN_E_VALUE);
    CHECK(bln_trace_natural(1, ids, 3, nullptr, 0, nullptr, nullptr, nullptr, &text, nullptr) == BLN_E_ARGUMENT);
    CHECK(text == nullptr);
    CHECK(bln_trace_count(nullptr) == 0);
    CHECK(bln_trace_result_count(nullptr) == 0);
    bln_trace_free(nullptr);
    bln_trace_result_free(nullptr);
}
