// Findings, their texts and their JSON through the public header.
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <string>

#include "generated_site.hpp"

namespace {

using Json = nlohmann::json;

/// A site with one error (a channel used twice) and one note.
const std::string file = R"({"blondel": "1",
 "circuits": {"C1": {"role": "spare"}},
 "channels": {"K1": {}},
 "premises": {"T1": {}},
 "points": {"M1": {"premises": "T1", "elements": {"K1": 1}}, "M2": {"premises": "T1", "elements": {"K1": 1}}}})";

struct Checked {
    bln_site* site = nullptr;
    bln_view* view = nullptr;
    bln_report* report = nullptr;
    explicit Checked(const std::string& json) {
        REQUIRE(bln_site_read(json.data(), json.size(), nullptr, &site, nullptr) == BLN_OK);
        check();
    }
    explicit Checked(bln_site* made) : site(made) { check(); }
    Checked(const Checked&) = delete;
    Checked& operator=(const Checked&) = delete;
    ~Checked() {
        // The order is free: an object keeps alive what it was made from.
        bln_site_free(site);
        bln_view_free(view);
        bln_report_free(report);
    }

private:
    void check() {
        REQUIRE(bln_view_new(site, BLN_END_OF_TIME, BLN_END_OF_TIME, &view, nullptr) == BLN_OK);
        REQUIRE(bln_check(view, nullptr, nullptr, nullptr, &report, nullptr) == BLN_OK);
    }
};

std::string taken(bln_text* text) {
    std::string out(bln_text_data(text), bln_text_size(text));
    bln_text_free(text);
    return out;
}

int32_t stop_at_once(void*, uint64_t, uint64_t) { return 1; }

struct Steps {
    uint64_t calls = 0, done = 0, total = 0;
};
int32_t count(void* user, uint64_t done, uint64_t total) {
    auto& s = *static_cast<Steps*>(user);
    CHECK(done >= s.done);
    ++s.calls;
    s.done = done;
    s.total = total;
    return 0;
}

}  // namespace

TEST_CASE("report: typed rows, in bounds only") {
    const Checked c(file);
    REQUIRE(bln_report_count(c.report) >= 2);
    bln_finding f{};
    bln_error* err = nullptr;
    CHECK(bln_report_at(c.report, 0, &f, &err) == BLN_E_ARGUMENT);  // size not set
    bln_error_free(err);
    f.size = sizeof f;
    REQUIRE(bln_report_at(c.report, 0, &f, nullptr) == BLN_OK);
    CHECK(std::string(f.code) == "channel-used-twice");
    CHECK(f.severity == BLN_ERROR);
    CHECK(f.verdict == BLN_WRONG);
    CHECK(f.subject_count == 3);
    CHECK(std::string(f.pointer) == "/points/M2/elements");
    CHECK(std::string(f.source).empty());
    bln_kind kind = 0;
    const char* id = nullptr;
    REQUIRE(bln_report_subject(c.report, 0, 0, &kind, &id, nullptr) == BLN_OK);
    CHECK(kind == BLN_KIND_CHANNEL);
    CHECK(std::string(id) == "K1");
    CHECK(bln_report_subject(c.report, 0, f.subject_count, &kind, &id, nullptr) == BLN_E_RANGE);
    CHECK(bln_report_subject(c.report, 0, 0, nullptr, &id, nullptr) == BLN_E_ARGUMENT);
    bln_fact fact{};
    fact.size = sizeof fact;
    CHECK(bln_report_fact(c.report, 0, f.fact_count, &fact, nullptr) == BLN_E_RANGE);
    REQUIRE(bln_report_fact(c.report, 0, 1, &fact, nullptr) == BLN_OK);
    CHECK(std::string(fact.name) == "measured");
    CHECK(fact.is_number == 1);
    CHECK(fact.value == 2);
    bln_text* text = nullptr;
    REQUIRE(bln_report_identity(c.report, 0, &text, nullptr) == BLN_OK);
    CHECK(taken(text) == "channel-used-twice|channel:K1,point:M1,point:M2|");
    const size_t past = bln_report_count(c.report);
    CHECK(bln_report_at(c.report, past, &f, nullptr) == BLN_E_RANGE);
    CHECK(bln_report_identity(c.report, past, &text, nullptr) == BLN_E_RANGE);
    CHECK(text == nullptr);
    CHECK(bln_report_text(c.report, past, BLN_TEXT_BODY, nullptr, &text, nullptr) == BLN_E_RANGE);
    CHECK(bln_report_text(c.report, 0, 99, nullptr, &text, nullptr) == BLN_E_RANGE);
    CHECK(bln_report_count(nullptr) == 0);
    CHECK(bln_report_json(nullptr, &text, nullptr) == BLN_E_ARGUMENT);
    bln_report_free(nullptr);
}

TEST_CASE("report: JSON names the library, the record and what was covered") {
    const Checked c(file);
    bln_text* text = nullptr;
    REQUIRE(bln_report_json(c.report, &text, nullptr) == BLN_OK);
    const Json json = Json::parse(taken(text));
    CHECK(json.at("blondel_report") == "1");
    CHECK(json.at("library") == bln_version_text());
    REQUIRE(bln_site_digest(c.site, &text, nullptr) == BLN_OK);
    CHECK(json.at("site_sha256") == taken(text));
    REQUIRE(json.at("findings").size() == bln_report_count(c.report));
    const Json& first = json.at("findings").at(0);
    CHECK(first.at("severity") == "error");
    CHECK(first.at("verdict") == "wrong");
    CHECK(first.at("identity") == "channel-used-twice|channel:K1,point:M1,point:M2|");
    CHECK(first.at("subjects").at(0) == Json({{"kind", "channel"}, {"id", "K1"}}));
    CHECK(first.at("facts").at(1) == Json({{"name", "measured"}, {"value", 2}, {"unit", ""}}));
    CHECK(json.at("coverage").size() > 10);
}

TEST_CASE("check: progress runs, and may cancel") {
    bln_site* site = support::generated_site(600);
    const Checked c(site);
    Steps steps;
    bln_report* report = nullptr;
    REQUIRE(bln_check(c.view, nullptr, count, &steps, &report, nullptr) == BLN_OK);
    bln_report_free(report);
    CHECK(steps.calls > 3);
    CHECK(steps.done == steps.total);
    bln_error* err = nullptr;
    report = reinterpret_cast<bln_report*>(&steps);
    CHECK(bln_check(c.view, nullptr, stop_at_once, nullptr, &report, &err) == BLN_E_CANCELLED);
    CHECK(report == nullptr);
    CHECK(bln_error_status(err, 0) == BLN_E_CANCELLED);
    bln_error_free(err);
}

TEST_CASE("check: only a policy of its own domain") {
    const Checked c(file);
    bln_policy* live = nullptr;
    REQUIRE(bln_policy_new(BLN_POLICY_LIVE, &live, nullptr) == BLN_OK);
    bln_report* report = nullptr;
    CHECK(bln_check(c.view, live, nullptr, nullptr, &report, nullptr) == BLN_E_ARGUMENT);
    bln_policy_free(live);
    bln_policy* silent = nullptr;
    REQUIRE(bln_policy_new(BLN_POLICY_CHECK, &silent, nullptr) == BLN_OK);
    REQUIRE(bln_policy_set(silent, "notes", 0, nullptr) == BLN_OK);
    REQUIRE(bln_check(c.view, silent, nullptr, nullptr, &report, nullptr) == BLN_OK);
    CHECK(bln_report_count(report) < bln_report_count(c.report));
    bln_report_free(report);
    bln_policy_free(silent);
    CHECK(bln_check(nullptr, nullptr, nullptr, nullptr, &report, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_check(c.view, nullptr, nullptr, nullptr, nullptr, nullptr) == BLN_E_ARGUMENT);
}

TEST_CASE("catalogue: English out, a translation in, the rest stays English") {
    bln_text* text = nullptr;
    REQUIRE(bln_catalogue_english(&text, nullptr) == BLN_OK);
    const std::string english = taken(text);
    const Json json = Json::parse(english);
    for (const auto& m : json.at("messages").items()) {
        INFO(m.key());
        for (const char* part : {"title", "body", "action"}) CHECK(m.value().at(part).get<std::string>().size() > 5);
    }
    bln_catalogue* same = nullptr;
    REQUIRE(bln_catalogue_read(english.data(), english.size(), &same, nullptr) == BLN_OK);
    const Checked c(file);
    for (size_t i = 0; i < bln_report_count(c.report); ++i) {
        bln_text* a = nullptr;
        bln_text* b = nullptr;
        REQUIRE(bln_report_text(c.report, i, BLN_TEXT_BODY, nullptr, &a, nullptr) == BLN_OK);
        REQUIRE(bln_report_text(c.report, i, BLN_TEXT_BODY, same, &b, nullptr) == BLN_OK);
        CHECK(taken(a) == taken(b));
    }
    bln_catalogue_free(same);
    const std::string german = R"({"blondel_catalogue": "1", "language": "de", "messages": {"channel-used-twice":
        {"title": "Kanal doppelt gezählt", "body": "Kanal {subject}: Summe der Anteile {measured}."}}})";
    bln_catalogue* de = nullptr;
    REQUIRE(bln_catalogue_read(german.data(), german.size(), &de, nullptr) == BLN_OK);
    REQUIRE(bln_report_text(c.report, 0, BLN_TEXT_BODY, de, &text, nullptr) == BLN_OK);
    CHECK(taken(text) == "Kanal K1: Summe der Anteile 2.");
    REQUIRE(bln_report_text(c.report, 0, BLN_TEXT_ACTION, de, &text, nullptr) == BLN_OK);
    CHECK(taken(text).rfind("Find out whose circuit", 0) == 0);
    bln_catalogue_free(de);
    bln_catalogue_free(nullptr);
}

TEST_CASE("catalogue: what would be lost is refused with its place") {
    struct Bad {
        const char* json;
        bln_status status;
        const char* pointer;
    };
    const Bad all[] = {
        {"", BLN_E_SYNTAX, ""},
        {"[]", BLN_E_TYPE, ""},
        {"{}", BLN_E_FORMAT, ""},
        {R"({"blondel_catalogue": "2"})", BLN_E_FORMAT, "/blondel_catalogue"},
        {R"({"blondel_catalogue": "1", "mesages": {}})", BLN_E_FIELD, "/mesages"},
        {R"({"blondel_catalogue": "1", "language": 3})", BLN_E_TYPE, "/language"},
        {R"({"blondel_catalogue": "1", "messages": []})", BLN_E_TYPE, "/messages"},
        {R"({"blondel_catalogue": "1", "messages": {"no-such": {}}})", BLN_E_NAME, "/messages/no-such"},
        {R"({"blondel_catalogue": "1", "messages": {"ratio-differs": []}})", BLN_E_TYPE, "/messages/ratio-differs"},
        {R"({"blondel_catalogue": "1", "messages": {"ratio-differs": {"titel": "x"}}})", BLN_E_FIELD,
         "/messages/ratio-differs/titel"},
        {R"({"blondel_catalogue": "1", "messages": {"ratio-differs": {"body": "{mesured}"}}})", BLN_E_VALUE,
         "/messages/ratio-differs/body"},
        {R"({"blondel_catalogue": "1", "messages": {"ratio-differs": {"body": "{measured"}}})", BLN_E_VALUE,
         "/messages/ratio-differs/body"},
        {R"({"blondel_catalogue": "1", "messages": {}, "messages": {}})", BLN_E_DUPLICATE, "/messages"},
    };
    for (const Bad& bad : all) {
        INFO(bad.json);
        bln_catalogue* out = nullptr;
        bln_error* err = nullptr;
        const std::string json = bad.json;
        CHECK(bln_catalogue_read(json.data(), json.size(), &out, &err) == bad.status);
        CHECK(out == nullptr);
        CHECK(std::string(bln_error_pointer(err, 0)) == bad.pointer);
        bln_error_free(err);
    }
}

TEST_CASE("generated sites are correct by construction: no finding at all") {
    for (const std::size_t points : {0U, 1U, 7U, 40U, 500U})
        for (const std::uint32_t seed : {1U, 2U, 3U}) {
            INFO(points << " points, seed " << seed);
            const Checked c(support::generated_site(points, seed));
            CHECK(bln_site_count(c.site, BLN_KIND_POINT) == points + 7);
            for (size_t i = 0; i < bln_report_count(c.report); ++i) {
                bln_text* text = nullptr;
                REQUIRE(bln_report_text(c.report, i, BLN_TEXT_BODY, nullptr, &text, nullptr) == BLN_OK);
                FAIL_CHECK(taken(text));
            }
            // They were looked at, not passed over.
            bln_text* text = nullptr;
            REQUIRE(bln_report_json(c.report, &text, nullptr) == BLN_OK);
            const Json json = Json::parse(taken(text));
            for (const auto& row : json.at("coverage")) {
                CHECK(row.at("not_checked") == 0);
                if (row.at("code") == "elements-too-few") CHECK(row.at("right") == points + 7);
            }
        }
}
