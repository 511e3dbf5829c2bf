// Runs the folders of tests/cases/proof through the public header. Strict: an unknown key, a folder that compares
// nothing, a point too many or too few fails.
#include <rapidjson/document.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
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

void only(const Json& object, const std::set<std::string>& needed, const std::set<std::string>& optional) {
    REQUIRE(object.IsObject());
    for (const auto& m : object.GetObject()) {
        INFO("key " << m.name.GetString());
        REQUIRE(needed.count(m.name.GetString()) + optional.count(m.name.GetString()) == 1);
    }
    for (const std::string& k : needed) {
        INFO("key " << k);
        REQUIRE(object.HasMember(k.c_str()));
    }
}

std::string verdict_word(int32_t v) {
    switch (v) {
        case BLN_POINT_PROVEN:
            return "proven";
        case BLN_POINT_LIKELY:
            return "likely";
        case BLN_POINT_OPEN:
            return "open";
        case BLN_POINT_WRONG:
            return "wrong";
        case BLN_POINT_NOT_LOADED:
            return "not_loaded";
        default:
            return "not_judged";
    }
}

const std::map<std::string, int32_t> test_kinds{{"voltmeter", BLN_TEST_VOLTMETER},
                                                {"clamp", BLN_TEST_CLAMP},
                                                {"known_load", BLN_TEST_KNOWN_LOAD},
                                                {"switching", BLN_TEST_SWITCHING},
                                                {"inspection", BLN_TEST_INSPECTION}};

bln_proof_test test_of(const Json& t) {
    only(t, {"kind", "channel"}, {"conductor", "circuit", "value", "before", "after", "watts", "vars", "sign"});
    const auto text = [&](const char* key) { return t.HasMember(key) ? t[key].GetString() : nullptr; };
    const auto number = [&](const char* key) { return t.HasMember(key) ? t[key].GetDouble() : 0; };
    bln_proof_test out{};
    out.size = sizeof out;
    out.kind = test_kinds.at(t["kind"].GetString());
    out.channel = text("channel");
    out.conductor = text("conductor");
    out.circuit = text("circuit");
    out.value = number("value");
    out.before = number("before");
    out.after = number("after");
    out.watts = number("watts");
    out.vars = number("vars");
    out.sign = t.HasMember("sign") ? t["sign"].GetInt() : 0;
    return out;
}

/// Words of every member of every class, and of what is not excluded.
struct Said {
    std::string verdict;
    bool record_first = false;
    std::vector<std::vector<std::string>> classes;
    std::vector<std::string> not_excluded;
};

Said said_of(const bln_proof* proof, size_t i, std::string& point) {
    Said out;
    bln_proof_point row{};
    row.size = sizeof row;
    REQUIRE(bln_proof_point_at(proof, i, &row, nullptr) == BLN_OK);
    point = row.point;
    out.verdict = verdict_word(row.verdict);
    double before = 1;
    for (size_t k = 0; k < row.class_count; ++k) {
        bln_proof_class c{};
        c.size = sizeof c;
        REQUIRE(bln_proof_class_at(proof, i, k, &c, nullptr) == BLN_OK);
        CHECK(c.probability <= before + 1e-12);
        before = c.probability;
        if (k == 0) out.record_first = c.is_record == 1;
        out.classes.emplace_back();
        for (size_t m = 0; m < c.members; ++m) {
            const char *words = nullptr, *leads = nullptr;
            size_t placements = 0;
            REQUIRE(bln_proof_member_at(proof, i, k, m, &words, &leads, &placements, nullptr) == BLN_OK);
            CHECK(std::string(words).find(leads) != std::string::npos);
            out.classes.back().emplace_back(words);
        }
    }
    for (size_t k = 0;; ++k) {
        const char* words = nullptr;
        if (bln_proof_not_excluded_at(proof, i, k, &words, nullptr) != BLN_OK) break;
        out.not_excluded.emplace_back(words);
    }
    return out;
}

bool among(const std::vector<std::string>& list, const char* words) {
    return std::find(list.begin(), list.end(), words) != list.end();
}
bool inside(const std::vector<std::string>& list, const char* words) {
    return std::any_of(list.begin(), list.end(),
                       [&](const std::string& text) { return text.find(words) != std::string::npos; });
}

void compare(const Said& said, const Json& e) {
    only(e, {"verdict"}, {"first", "also", "record_first", "set_at_most", "listed", "mentions"});
    std::vector<std::string> verdicts;
    for (const Json& v : e["verdict"].GetArray()) verdicts.emplace_back(v.GetString());
    INFO("verdict " << said.verdict);
    CHECK(among(verdicts, said.verdict.c_str()));
    const std::vector<std::string> first = said.classes.empty() ? std::vector<std::string>{} : said.classes[0];
    if (e.HasMember("first")) CHECK(among(first, e["first"].GetString()));
    if (e.HasMember("also"))
        for (const Json& words : e["also"].GetArray()) CHECK(among(first, words.GetString()));
    if (e.HasMember("record_first")) CHECK(said.record_first == e["record_first"].GetBool());
    if (e.HasMember("set_at_most")) CHECK(said.classes.size() <= e["set_at_most"].GetUint());
    if (e.HasMember("listed"))
        for (const Json& words : e["listed"].GetArray()) {
            INFO("listed " << words.GetString());
            CHECK(std::any_of(said.classes.begin(), said.classes.end(),
                              [&](const auto& members) { return among(members, words.GetString()); }));
        }
    if (e.HasMember("mentions"))
        for (const Json& words : e["mentions"].GetArray()) {
            INFO("mentions " << words.GetString());
            CHECK((inside(said.not_excluded, words.GetString()) ||
                   std::any_of(said.classes.begin(), said.classes.end(),
                               [&](const auto& members) { return inside(members, words.GetString()); })));
        }
    if (said.verdict == "proven") CHECK(said.record_first);
}

void run(const fs::path& folder) {
    rapidjson::Document c;
    const std::string text = slurp(folder / "case.json");
    c.Parse(text.c_str());
    REQUIRE_FALSE(c.HasParseError());
    only(c, {"job", "about", "origin", "expect"}, {"tests", "policy"});
    REQUIRE(std::string(c["job"].GetString()) == "proof");
    only(c["expect"], {"points"}, {});
    bln_policy* policy = nullptr;
    REQUIRE(bln_policy_new(BLN_POLICY_PROOF, &policy, nullptr) == BLN_OK);
    if (c.HasMember("policy"))
        for (const auto& m : c["policy"].GetObject())
            REQUIRE(bln_policy_set(policy, m.name.GetString(), m.value.GetDouble(), nullptr) == BLN_OK);
    std::vector<bln_proof_test> tests;
    if (c.HasMember("tests"))
        for (const Json& t : c["tests"].GetArray()) tests.push_back(test_of(t));

    const std::string json = slurp(folder / "site.json"), csv = slurp(folder / "readings.csv");
    bln_site* site = nullptr;
    REQUIRE(bln_site_read(json.data(), json.size(), nullptr, &site, nullptr) == BLN_OK);
    bln_view* view = nullptr;
    REQUIRE(bln_view_new(site, BLN_END_OF_TIME, BLN_END_OF_TIME, &view, nullptr) == BLN_OK);
    bln_readings* readings = nullptr;
    REQUIRE(bln_readings_read_csv(csv.data(), csv.size(), nullptr, &readings, nullptr) == BLN_OK);
    bln_proof* proof = nullptr;
    REQUIRE(bln_proof_new(view, readings, tests.empty() ? nullptr : tests.data(), tests.size(), policy, nullptr,
                          nullptr, &proof, nullptr) == BLN_OK);
    const Json& points = c["expect"]["points"];
    REQUIRE(bln_proof_point_count(proof) == points.MemberCount());
    for (size_t i = 0; i < bln_proof_point_count(proof); ++i) {
        std::string point;
        const Said said = said_of(proof, i, point);
        INFO(point);
        REQUIRE(points.HasMember(point.c_str()));
        compare(said, points[point.c_str()]);
    }
    bln_proof_free(proof);
    bln_readings_free(readings);
    bln_view_free(view);
    bln_site_free(site);
    bln_policy_free(policy);
}

}  // namespace

TEST_CASE("cases: proof") {
    std::vector<fs::path> folders;
    for (const auto& entry : fs::directory_iterator(fs::path(BLN_TESTS_DIR) / "cases" / "proof"))
        folders.push_back(entry);
    std::sort(folders.begin(), folders.end());
    for (const fs::path& folder : folders) {
        INFO(folder.filename().string());
        run(folder);
    }
    CHECK(folders.size() == 72);
}
