// The job "check": a site file, the rules, and the findings that they must raise.
#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <vector>

#include "cases.hpp"

namespace cases {
namespace {

struct Fact {
    bool is_number;
    double value;
    std::string unit, text;
};

struct Found {
    std::string code, severity, verdict, discriminator, pointer, waiver;
    std::vector<std::string> subjects;
    std::map<std::string, Fact> facts;
};

std::string severity_word(int32_t number) {
    return number == BLN_ERROR ? "error" : number == BLN_WARNING ? "warning" : number == BLN_NOTE ? "note" : "?";
}

std::string verdict_word(int32_t number) {
    switch (number) {
        case BLN_WRONG:
            return "wrong";
        case BLN_UNDECIDED:
            return "undecided";
        case BLN_NOT_CHECKED:
            return "not_checked";
        case BLN_RIGHT:
            return "right";
        default:
            return "?";
    }
}

Found read_finding(const bln_report* report, size_t i) {
    bln_finding row{};
    row.size = sizeof row;
    bln_error* err = nullptr;
    ok(bln_report_at(report, i, &row, &err), err);
    Found f{row.code, severity_word(row.severity), verdict_word(row.verdict), row.discriminator, row.pointer, row.waiver, {}, {}};
    for (size_t j = 0; j < row.subject_count; ++j) {
        bln_kind kind = 0;
        const char* id = nullptr;
        ok(bln_report_subject(report, i, j, &kind, &id, &err), err);
        f.subjects.push_back(std::string(bln_kind_name(kind)) + ":" + id);
    }
    for (size_t j = 0; j < row.fact_count; ++j) {
        bln_fact fact{};
        fact.size = sizeof fact;
        ok(bln_report_fact(report, i, j, &fact, &err), err);
        f.facts[fact.name] = {fact.is_number == 1, fact.value, fact.unit, fact.text};
    }
    return f;
}

/// Every text of a finding is there, and every place in it is filled.
void check_texts(const bln_report* report, size_t i) {
    for (const int32_t what : {BLN_TEXT_TITLE, BLN_TEXT_BODY, BLN_TEXT_ACTION}) {
        bln_text* text = nullptr;
        bln_error* err = nullptr;
        ok(bln_report_text(report, i, what, nullptr, &text, &err), err);
        const std::string said = taken(text);
        CHECK(!said.empty());
        CHECK(said.find('{') == std::string::npos);
    }
}

std::string heading(const Found& f) {
    std::string out = f.code + " (" + f.severity + ", " + f.verdict + ")";
    for (const std::string& s : f.subjects) out += " " + s;
    return out;
}

std::string heading(const Json& f) {
    std::string out = f.at("code").get<std::string>() + " (" + f.at("severity").get<std::string>() + ", " +
                      f.at("verdict").get<std::string>() + ")";
    for (const auto& s : f.at("subjects")) out += " " + s.get<std::string>();
    return out;
}

void compare_fact(const std::string& name, const Json& wanted, const Found& found) {
    INFO("fact " << name);
    const auto at = found.facts.find(name);
    REQUIRE(at != found.facts.end());
    const Fact& fact = at->second;
    if (wanted.is_string()) {
        CHECK(!fact.is_number);
        CHECK(fact.text == wanted.get<std::string>());
        return;
    }
    REQUIRE(fact.is_number);
    if (wanted.is_number()) {
        CHECK(fact.value == wanted.get<double>());
        return;
    }
    keys(wanted, {"value"}, {"unit", "within"});
    CHECK(std::abs(fact.value - wanted.at("value").get<double>()) <= wanted.value("within", 0.0));
    if (wanted.contains("unit")) CHECK(fact.unit == wanted.at("unit").get<std::string>());
}

}  // namespace

void compare_findings(const bln_report* report, const Json& expect) {
    std::vector<Found> found;
    std::vector<std::string> not_checked;
    std::set<std::string> identities;
    std::string last_severity = "error";
    for (size_t i = 0; i < bln_report_count(report); ++i) {
        check_texts(report, i);
        bln_text* identity = nullptr;
        bln_error* err = nullptr;
        ok(bln_report_identity(report, i, &identity, &err), err);
        const std::string text = taken(identity);
        INFO(text);
        CHECK(identities.insert(text).second);
        Found f = read_finding(report, i);
        CHECK(!(last_severity == "warning" && f.severity == "error"));
        CHECK(!(last_severity == "note" && f.severity != "note"));
        last_severity = f.severity;
        if (f.code == "not-checked")
            not_checked.push_back(f.discriminator);
        else
            found.push_back(std::move(f));
    }
    std::vector<bool> met(found.size(), false);
    for (const auto& wanted : expect.at("findings")) {
        keys(wanted, {"code", "severity", "verdict", "subjects"}, {"discriminator", "pointer", "facts", "waiver"});
        const std::string line = heading(wanted);
        INFO("expected " << line);
        std::size_t i = 0;
        while (i < found.size() && (met[i] || heading(found[i]) != line ||
                                    (wanted.contains("discriminator") &&
                                     found[i].discriminator != wanted.at("discriminator").get<std::string>())))
            ++i;
        std::string all;
        for (const Found& f : found) all += "\n  " + heading(f) + " |" + f.discriminator;
        INFO("found:" << all);
        if (i == found.size()) {
            FAIL_CHECK("missing");
            continue;
        }
        met[i] = true;
        CHECK(found[i].waiver == wanted.value("waiver", std::string()));
        if (wanted.contains("pointer")) CHECK(found[i].pointer == wanted.at("pointer").get<std::string>());
        if (wanted.contains("facts"))
            for (const auto& fact : wanted.at("facts").items()) compare_fact(fact.key(), fact.value(), found[i]);
    }
    for (std::size_t i = 0; i < found.size(); ++i)
        if (!met[i]) FAIL_CHECK("extra: " << heading(found[i]) << " |" << found[i].discriminator);
    if (expect.contains("not_checked")) {
        auto wanted = expect.at("not_checked").get<std::vector<std::string>>();
        std::sort(wanted.begin(), wanted.end());
        std::sort(not_checked.begin(), not_checked.end());
        CHECK(not_checked == wanted);
    }
    if (!expect.contains("coverage")) return;
    bln_text* text = nullptr;
    bln_error* err = nullptr;
    ok(bln_report_json(report, &text, &err), err);
    const Json json = Json::parse(taken(text));
    for (const auto& wanted : expect.at("coverage").items()) {
        INFO("coverage of " << wanted.key());
        keys(wanted.value(), {}, {"right", "wrong", "undecided", "not_checked"});
        bool seen = false;
        for (const auto& row : json.at("coverage")) {
            if (row.at("code") != wanted.key()) continue;
            seen = true;
            for (const auto& count : wanted.value().items()) {
                INFO(count.key());
                CHECK(row.at(count.key()) == count.value());
            }
        }
        CHECK(seen);
    }
}

void check_job(const Case& c) {
    keys(c.json, {"job", "about", "origin", "expect"}, {"site", "policy", "valid", "known"});
    keys(c.json.at("expect"), {"findings"}, {"not_checked", "coverage"});
    const std::string file = c.file(c.json.value("site", "site.json"));
    bln_error* err = nullptr;
    bln_site* s = nullptr;
    ok(bln_site_read(file.data(), file.size(), nullptr, &s, &err), err);
    const Held<bln_site> site(s);
    const auto instant = [&](const char* key) {
        bln_instant at = BLN_END_OF_TIME;
        if (c.json.contains(key)) ok(bln_instant_parse(c.json.at(key).get<std::string>().c_str(), &at, &err), err);
        return at;
    };
    bln_view* v = nullptr;
    ok(bln_view_new(s, instant("valid"), instant("known"), &v, &err), err);
    const Held<bln_view> view(v);
    bln_policy* p = nullptr;
    ok(bln_policy_new(BLN_POLICY_CHECK, &p, &err), err);
    const Held<bln_policy> policy(p);
    if (c.json.contains("policy"))
        for (const auto& key : c.json.at("policy").items())
            ok(bln_policy_set(p, key.key().c_str(), key.value().get<double>(), &err), err);
    bln_report* r = nullptr;
    ok(bln_check(v, p, nullptr, nullptr, &r, &err), err);
    const Held<bln_report> report(r);
    compare_findings(r, c.json.at("expect"));
}

}  // namespace cases
