// Drafts, sites and views through the public header.
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include "blondel/blondel.h"

namespace {

const std::string file = R"({"blondel": "1", "name": "Kiln Yard",
 "circuits": {"C1": {"panel": "LP1", "spaces": [1, 3], "breaker_amps": {"dated": [{"value": 20, "to": "2026-03-01T00:00:00Z"},
   {"value": 30, "from": "2026-03-01T00:00:00Z", "recorded_at": "2026-03-02T00:00:00Z", "reason": "larger oven", "evidence": "E1"}]},
   "neutral": false, "role": "premises", "ext": {"x": [1]}}},
 "channels": {"K1": {"multiplier": "1/2", "cts": {"T1": 1, "T2": -1}}},
 "profiles": {"P": {"inputs": 10, "references": ["A", "B", "N"]}},
 "evidence": {"E1": {"at": "2026-02-28T12:00:00Z", "value": -0.5}}})";

bln_draft* typed() {
    bln_draft* d = nullptr;
    REQUIRE(bln_draft_new(&d, nullptr) == BLN_OK);
    const auto ok = [](bln_status s) { CHECK(s == BLN_OK); };
    ok(bln_draft_set_text(d, BLN_KIND_SITE, "", "name", "Kiln Yard", nullptr, nullptr));
    ok(bln_draft_add(d, BLN_KIND_CIRCUIT, "C1", nullptr));
    ok(bln_draft_set_text(d, BLN_KIND_CIRCUIT, "C1", "panel", "LP1", nullptr, nullptr));
    const int64_t spaces[] = {1, 3};
    ok(bln_draft_set_integers(d, BLN_KIND_CIRCUIT, "C1", "spaces", spaces, 2, nullptr, nullptr));
    bln_instant march = 0;
    ok(bln_instant_parse("2026-03-01T00:00:00Z", &march, nullptr));
    bln_when before{sizeof(bln_when), 0, BLN_BEGIN_OF_TIME, march, BLN_BEGIN_OF_TIME, nullptr, ""};
    ok(bln_draft_set_real(d, BLN_KIND_CIRCUIT, "C1", "breaker_amps", 20, &before, nullptr));
    bln_when after{sizeof(bln_when), 0, march, BLN_END_OF_TIME, march + 86400000000, "larger oven", "E1"};
    ok(bln_draft_set_real(d, BLN_KIND_CIRCUIT, "C1", "breaker_amps", 30, &after, nullptr));
    ok(bln_draft_set_integer(d, BLN_KIND_CIRCUIT, "C1", "neutral", 0, nullptr, nullptr));
    ok(bln_draft_set_text(d, BLN_KIND_CIRCUIT, "C1", "role", "premises", nullptr, nullptr));
    const std::string ext = " {\"x\": [1]} ";
    ok(bln_draft_set_ext(d, BLN_KIND_CIRCUIT, "C1", ext.data(), ext.size(), nullptr));
    ok(bln_draft_add(d, BLN_KIND_CHANNEL, "K1", nullptr));
    ok(bln_draft_set_ratio(d, BLN_KIND_CHANNEL, "K1", "multiplier", -2, -4, nullptr, nullptr));
    const char* cts[] = {"T1", "T2"};
    const int64_t signs[] = {1, -1};
    ok(bln_draft_set_terms(d, BLN_KIND_CHANNEL, "K1", "cts", cts, signs, nullptr, 2, nullptr, nullptr));
    ok(bln_draft_add(d, BLN_KIND_PROFILE, "P", nullptr));
    ok(bln_draft_set_integer(d, BLN_KIND_PROFILE, "P", "inputs", 10, nullptr, nullptr));
    const char* references[] = {"A", "B", "N"};
    ok(bln_draft_set_texts(d, BLN_KIND_PROFILE, "P", "references", references, 3, nullptr, nullptr));
    ok(bln_draft_add(d, BLN_KIND_EVIDENCE, "E1", nullptr));
    ok(bln_draft_set_integer(d, BLN_KIND_EVIDENCE, "E1", "at", march - 43200000000, nullptr, nullptr));
    ok(bln_draft_set_real(d, BLN_KIND_EVIDENCE, "E1", "value", -0.5, nullptr, nullptr));
    return d;
}

/// Everything that a site holds, as text.
std::string told(const bln_site* site) {
    std::string out;
    for (size_t k = 0; k < bln_kind_count(); ++k) {
        const bln_kind kind = bln_kind_at(k);
        for (size_t i = 0; i < bln_site_count(site, kind); ++i) {
            const char* id = bln_site_id(site, kind, i);
            CHECK(bln_site_find(site, kind, id) == static_cast<int64_t>(i));
            out += std::string(bln_kind_name(kind)) + " " + id + "\n";
            for (size_t f = 0; f < bln_field_count(kind); ++f) {
                bln_field_info info{};
                info.size = sizeof info;
                REQUIRE(bln_field_at(kind, f, &info, nullptr) == BLN_OK);
                size_t n = 0;
                REQUIRE(bln_site_history(site, kind, id, info.name, &n, nullptr) == BLN_OK);
                for (size_t a = 0; a < n; ++a) {
                    bln_when when{};
                    when.size = sizeof when;
                    bln_text* value = nullptr;
                    REQUIRE(bln_site_assignment(site, kind, id, info.name, a, &when, &value, nullptr) == BLN_OK);
                    out += std::string(info.name) + " " + std::to_string(when.from) + " " + std::to_string(when.to) +
                           " " + std::to_string(when.recorded_at) + " " + when.reason + " " + when.evidence + " " +
                           bln_text_data(value) + "\n";
                    bln_text_free(value);
                }
            }
        }
    }
    return out;
}

bln_site* site_of(const std::string& json) {
    bln_site* site = nullptr;
    bln_error* e = nullptr;
    const bln_status s = bln_site_read(json.data(), json.size(), nullptr, &site, &e);
    INFO(bln_error_message(e, 0));
    REQUIRE(s == BLN_OK);
    return site;
}

bln_site* frozen(const bln_draft* draft) {
    bln_site* site = nullptr;
    REQUIRE(bln_draft_freeze(draft, &site, nullptr) == BLN_OK);
    return site;
}

}  // namespace

TEST_CASE("record: a site built by file and by setters is the same") {
    bln_draft* by_setters = typed();
    bln_draft* by_file = nullptr;
    REQUIRE(bln_draft_read(file.data(), file.size(), nullptr, &by_file, nullptr) == BLN_OK);
    bln_site* a = frozen(by_setters);
    bln_site* b = frozen(by_file);
    bln_site* c = site_of(file);
    bln_draft* again = nullptr;
    REQUIRE(bln_draft_of(c, &again, nullptr) == BLN_OK);
    bln_site* d = frozen(again);
    const std::string text = told(a);
    CHECK(text.find("breaker_amps") != std::string::npos);
    CHECK(told(b) == text);
    CHECK(told(c) == text);
    CHECK(told(d) == text);
    bln_text* difference = nullptr;  // looks at the whole record, ext included
    REQUIRE(bln_site_difference(a, d, &difference, nullptr) == BLN_OK);
    CHECK(std::string(bln_text_data(difference)) == "[]");
    bln_text_free(difference);
    for (bln_draft* x : {by_setters, by_file, again}) bln_draft_free(x);
    for (bln_site* x : {a, b, c, d}) bln_site_free(x);
}

TEST_CASE("record: a view gives what held at an instant, by the type of the field") {
    bln_site* site = site_of(file);
    bln_instant march = 0;
    REQUIRE(bln_instant_parse("2026-03-01T00:00:00Z", &march, nullptr) == BLN_OK);
    bln_view* before = nullptr;
    bln_view* after = nullptr;
    bln_view* unknown = nullptr;
    REQUIRE(bln_view_new(site, march - 1, BLN_END_OF_TIME, &before, nullptr) == BLN_OK);
    REQUIRE(bln_view_new(site, march, BLN_END_OF_TIME, &after, nullptr) == BLN_OK);
    REQUIRE(bln_view_new(site, march, march, &unknown, nullptr) == BLN_OK);
    bln_site_free(site);  // the views live on

    double amps = 0;
    CHECK(bln_view_real(before, BLN_KIND_CIRCUIT, "C1", "breaker_amps", &amps, nullptr) == BLN_OK);
    CHECK(amps == 20);
    CHECK(bln_view_real(after, BLN_KIND_CIRCUIT, "C1", "breaker_amps", &amps, nullptr) == BLN_OK);
    CHECK(amps == 30);
    CHECK(bln_view_real(unknown, BLN_KIND_CIRCUIT, "C1", "breaker_amps", &amps, nullptr) == BLN_E_ABSENT);
    const char* text = nullptr;
    CHECK(bln_view_text(after, BLN_KIND_CIRCUIT, "C1", "role", &text, nullptr) == BLN_OK);
    CHECK(std::string(text) == "premises");
    CHECK(bln_view_text(after, BLN_KIND_SITE, "", "name", &text, nullptr) == BLN_OK);
    CHECK(std::string(text) == "Kiln Yard");
    int64_t num = 0;
    int64_t den = 0;
    CHECK(bln_view_integer(after, BLN_KIND_CIRCUIT, "C1", "neutral", &num, nullptr) == BLN_OK);
    CHECK(num == 0);
    CHECK(bln_view_ratio(after, BLN_KIND_CHANNEL, "K1", "multiplier", &num, &den, nullptr) == BLN_OK);
    CHECK((num == 1 && den == 2));
    size_t n = 0;
    CHECK(bln_view_size(after, BLN_KIND_CIRCUIT, "C1", "spaces", &n, nullptr) == BLN_OK);
    CHECK(n == 2);
    CHECK(bln_view_size(after, BLN_KIND_PROFILE, "P", "references", &n, nullptr) == BLN_OK);
    CHECK(n == 3);
    CHECK(bln_view_size(after, BLN_KIND_CHANNEL, "K1", "cts", &n, nullptr) == BLN_OK);
    CHECK(n == 2);
    CHECK(bln_view_item_integer(after, BLN_KIND_CIRCUIT, "C1", "spaces", 1, &num, nullptr) == BLN_OK);
    CHECK(num == 3);
    CHECK(bln_view_item_integer(after, BLN_KIND_CIRCUIT, "C1", "spaces", 2, &num, nullptr) == BLN_E_RANGE);
    CHECK(bln_view_item_text(after, BLN_KIND_PROFILE, "P", "references", 2, &text, nullptr) == BLN_OK);
    CHECK(std::string(text) == "N");
    CHECK(bln_view_item_text(after, BLN_KIND_PROFILE, "P", "references", 3, &text, nullptr) == BLN_E_RANGE);
    CHECK(bln_view_item_term(after, BLN_KIND_CHANNEL, "K1", "cts", 1, &text, &num, &den, nullptr) == BLN_OK);
    CHECK((std::string(text) == "T2" && num == -1 && den == 1));
    CHECK(bln_view_item_term(after, BLN_KIND_CHANNEL, "K1", "cts", 2, &text, &num, &den, nullptr) == BLN_E_RANGE);
    bln_text* json = nullptr;
    CHECK(bln_view_json(after, BLN_KIND_CHANNEL, "K1", "cts", &json, nullptr) == BLN_OK);
    CHECK(std::string(bln_text_data(json)) == R"({"T1":1,"T2":-1})");
    bln_text_free(json);
    CHECK(bln_view_json(after, BLN_KIND_CHANNEL, "K1", "polarity", &json, nullptr) == BLN_E_ABSENT);
    CHECK(json == nullptr);

    CHECK(bln_view_real(after, BLN_KIND_CIRCUIT, "C1", "role", &amps, nullptr) == BLN_E_TYPE);
    CHECK(bln_view_text(after, BLN_KIND_CIRCUIT, "C1", "breaker_amps", &text, nullptr) == BLN_E_TYPE);
    CHECK(bln_view_real(after, BLN_KIND_CIRCUIT, "C9", "breaker_amps", &amps, nullptr) == BLN_E_NO_ENTITY);
    CHECK(bln_view_real(after, BLN_KIND_CIRCUIT, "C1", "amps", &amps, nullptr) == BLN_E_FIELD);
    CHECK(bln_view_real(after, 41, "C1", "breaker_amps", &amps, nullptr) == BLN_E_NAME);
    CHECK(bln_view_real(nullptr, BLN_KIND_CIRCUIT, "C1", "breaker_amps", &amps, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_view_real(after, BLN_KIND_CIRCUIT, nullptr, "breaker_amps", &amps, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_view_real(after, BLN_KIND_CIRCUIT, "C1", nullptr, &amps, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_view_real(after, BLN_KIND_CIRCUIT, "C1", "breaker_amps", nullptr, nullptr) == BLN_E_ARGUMENT);
    bln_view_free(before);
    CHECK(bln_view_new(nullptr, 0, 0, &before, nullptr) == BLN_E_ARGUMENT);
    CHECK(before == nullptr);
    bln_view_free(after);
    bln_view_free(unknown);
    bln_view_free(nullptr);
}

TEST_CASE("record: setters refuse what a file refuses, with a place, and change nothing") {
    bln_draft* d = typed();
    bln_site* untouched = frozen(d);
    const auto refused = [&](bln_status wanted, const char* pointer, auto call) {
        bln_error* e = nullptr;
        const bln_status s = call(&e);
        INFO(pointer << ": " << bln_error_message(e, 0));
        CHECK(s == wanted);
        CHECK(bln_error_status(e, 0) == wanted);
        CHECK(std::string(bln_error_pointer(e, 0)) == pointer);
        CHECK(std::string(bln_error_message(e, 0)).size() > 5);
        bln_error_free(e);
    };
    const bln_kind C = BLN_KIND_CIRCUIT;
    const bln_kind K = BLN_KIND_CHANNEL;
    const double nan = std::numeric_limits<double>::quiet_NaN();
    const double inf = std::numeric_limits<double>::infinity();
    using E = bln_error**;
    refused(BLN_E_NOT_FINITE, "/circuits/C1/breaker_amps",
            [&](E e) { return bln_draft_set_real(d, C, "C1", "breaker_amps", nan, nullptr, e); });
    refused(BLN_E_NOT_FINITE, "/circuits/C1/breaker_amps",
            [&](E e) { return bln_draft_set_real(d, C, "C1", "breaker_amps", -inf, nullptr, e); });
    refused(BLN_E_VALUE, "/circuits/C1/breaker_amps",
            [&](E e) { return bln_draft_set_real(d, C, "C1", "breaker_amps", -1, nullptr, e); });
    refused(BLN_E_TYPE, "/circuits/C1/breaker_amps",
            [&](E e) { return bln_draft_set_integer(d, C, "C1", "breaker_amps", 20, nullptr, e); });
    refused(BLN_E_TYPE, "/circuits/C1/role",
            [&](E e) { return bln_draft_set_real(d, C, "C1", "role", 1, nullptr, e); });
    refused(BLN_E_TYPE, "/channels/K1/multiplier",
            [&](E e) { return bln_draft_set_integer(d, K, "K1", "multiplier", 1, nullptr, e); });
    refused(BLN_E_VALUE, "/circuits/C1/role",
            [&](E e) { return bln_draft_set_text(d, C, "C1", "role", "tenant", nullptr, e); });
    refused(BLN_E_VALUE, "/circuits/C1/panel",
            [&](E e) { return bln_draft_set_text(d, C, "C1", "panel", "LP 1", nullptr, e); });
    refused(BLN_E_VALUE, "/circuits/C1/neutral",
            [&](E e) { return bln_draft_set_integer(d, C, "C1", "neutral", 2, nullptr, e); });
    refused(BLN_E_VALUE, "/channels/K1/multiplier",
            [&](E e) { return bln_draft_set_ratio(d, K, "K1", "multiplier", 1, 0, nullptr, e); });
    refused(BLN_E_VALUE, "/channels/K1/multiplier",
            [&](E e) { return bln_draft_set_ratio(d, K, "K1", "multiplier", INT64_MIN, -1, nullptr, e); });
    refused(BLN_E_VALUE, "/evidence/E1/at",
            [&](E e) { return bln_draft_set_integer(d, BLN_KIND_EVIDENCE, "E1", "at", INT64_MAX, nullptr, e); });
    refused(BLN_E_FIELD, "/circuits/C1/amps",
            [&](E e) { return bln_draft_set_real(d, C, "C1", "amps", 1, nullptr, e); });
    refused(BLN_E_NO_ENTITY, "/circuits/C2",
            [&](E e) { return bln_draft_set_real(d, C, "C2", "breaker_amps", 1, nullptr, e); });
    refused(BLN_E_NAME, "", [&](E e) { return bln_draft_set_real(d, 1, "C1", "breaker_amps", 1, nullptr, e); });
    refused(BLN_E_ENCODING, "", [&](E e) { return bln_draft_set_text(d, C, "C1", "name", "\xC3", nullptr, e); });
    const int64_t zeros[] = {0, 1};
    const char* twice[] = {"T1", "T1"};
    const int64_t ones[] = {1, 1};
    refused(BLN_E_VALUE, "/circuits/C1/spaces",
            [&](E e) { return bln_draft_set_integers(d, C, "C1", "spaces", zeros, 2, nullptr, e); });
    refused(BLN_E_VALUE, "/channels/K1/cts",
            [&](E e) { return bln_draft_set_terms(d, K, "K1", "cts", twice, ones, nullptr, 2, nullptr, e); });
    refused(BLN_E_VALUE, "/channels/K1/cts",
            [&](E e) { return bln_draft_set_terms(d, K, "K1", "cts", twice, ones, zeros, 1, nullptr, e); });
    refused(BLN_E_ARGUMENT, "",
            [&](E e) { return bln_draft_set_terms(d, K, "K1", "cts", twice, nullptr, nullptr, 1, nullptr, e); });
    refused(BLN_E_ARGUMENT, "",
            [&](E e) { return bln_draft_set_integers(d, C, "C1", "spaces", nullptr, 2, nullptr, e); });
    refused(BLN_E_ARGUMENT, "", [&](E e) { return bln_draft_set_text(d, C, "C1", "name", nullptr, nullptr, e); });
    refused(BLN_E_ARGUMENT, "", [&](E e) { return bln_draft_set_text(nullptr, C, "C1", "name", "x", nullptr, e); });

    bln_when when{sizeof(bln_when), 0, 5, 5, BLN_BEGIN_OF_TIME, nullptr, nullptr};
    refused(BLN_E_VALUE, "/circuits/C1/breaker_amps",
            [&](E e) { return bln_draft_set_real(d, C, "C1", "breaker_amps", 1, &when, e); });
    when.to = BLN_END_OF_TIME;
    refused(BLN_E_VALUE, "/circuits/C1/name",
            [&](E e) { return bln_draft_set_text(d, C, "C1", "name", "x", &when, e); });
    when.evidence = "not an id";
    refused(BLN_E_VALUE, "/circuits/C1/breaker_amps",
            [&](E e) { return bln_draft_set_real(d, C, "C1", "breaker_amps", 1, &when, e); });
    when.evidence = nullptr;
    when.from = INT64_MIN + 1;
    refused(BLN_E_VALUE, "/circuits/C1/breaker_amps",
            [&](E e) { return bln_draft_set_real(d, C, "C1", "breaker_amps", 1, &when, e); });
    when.size = 0;
    refused(BLN_E_ARGUMENT, "", [&](E e) { return bln_draft_set_real(d, C, "C1", "breaker_amps", 1, &when, e); });

    refused(BLN_E_EXISTS, "", [&](E e) { return bln_draft_add(d, C, "C1", e); });
    refused(BLN_E_VALUE, "", [&](E e) { return bln_draft_add(d, C, "", e); });
    refused(BLN_E_VALUE, "", [&](E e) { return bln_draft_add(d, C, std::string(65, 'a').c_str(), e); });
    refused(BLN_E_NAME, "", [&](E e) { return bln_draft_add(d, BLN_KIND_SITE, "x", e); });
    refused(BLN_E_NAME, "", [&](E e) { return bln_draft_remove(d, BLN_KIND_SITE, "", e); });
    refused(BLN_E_NO_ENTITY, "", [&](E e) { return bln_draft_remove(d, C, "C2", e); });
    refused(BLN_E_TYPE, "", [&](E e) { return bln_draft_set_ext(d, C, "C1", "[1]", 3, e); });
    refused(BLN_E_DUPLICATE, "/a", [&](E e) { return bln_draft_set_ext(d, C, "C1", "{\"a\":1,\"a\":2}", 13, e); });
    const std::string deep = std::string("{\"a\":") + std::string(61, '[') + std::string(61, ']') + "}";
    bln_error* e = nullptr;
    CHECK(bln_draft_set_ext(d, C, "C1", deep.data(), deep.size(), &e) == BLN_E_DEPTH);
    bln_error_free(e);

    bln_site* after = frozen(d);
    CHECK(told(after) == told(untouched));
    bln_site_free(after);
    bln_site_free(untouched);
    CHECK(bln_draft_clear(d, C, "C1", "breaker_amps", nullptr) == BLN_OK);
    CHECK(bln_draft_remove(d, K, "K1", nullptr) == BLN_OK);
    after = frozen(d);
    size_t n = 7;
    CHECK(bln_site_history(after, C, "C1", "breaker_amps", &n, nullptr) == BLN_OK);
    CHECK(n == 0);
    CHECK(bln_site_count(after, K) == 0);
    bln_site_free(after);
    bln_draft_free(d);
}

TEST_CASE("record: objects are freed in any order, and a site may have many holders") {
    const auto order = [](int which) {
        bln_draft* d = typed();
        bln_site* s = frozen(d);
        bln_view* v = nullptr;
        REQUIRE(bln_view_new(s, BLN_END_OF_TIME, BLN_END_OF_TIME, &v, nullptr) == BLN_OK);
        const auto drop = [&](int what) {
            if (what == 0) bln_draft_free(d);
            if (what == 1) bln_site_free(s);
            if (what == 2) bln_view_free(v);
        };
        const int orders[6][3] = {{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}};
        for (const int what : orders[which]) {
            drop(what);
            if (what == 0 && which < 2) {
                const char* text = nullptr;
                CHECK(bln_view_text(v, BLN_KIND_CIRCUIT, "C1", "role", &text, nullptr) == BLN_OK);
            }
        }
    };
    for (int i = 0; i < 6; ++i) order(i);
    bln_site* s = site_of(file);
    CHECK(bln_site_keep(s) == s);
    bln_site_free(s);
    CHECK(bln_site_count(s, BLN_KIND_CIRCUIT) == 1);
    bln_site_free(s);
    bln_site_free(nullptr);
    bln_draft_free(nullptr);
    CHECK(bln_site_keep(nullptr) == nullptr);
}

TEST_CASE("record: reading needs its arguments and keeps its limits") {
    bln_limits limits{};
    CHECK(bln_limits_default(&limits, nullptr) == BLN_E_ARGUMENT);
    limits.size = sizeof limits;
    REQUIRE(bln_limits_default(&limits, nullptr) == BLN_OK);
    CHECK(limits.max_depth == 64);
    CHECK(limits.max_bytes == (uint64_t{1} << 30U));
    bln_site* site = nullptr;
    const auto read = [&] { return bln_site_read(file.data(), file.size(), &limits, &site, nullptr); };
    limits.max_bytes = file.size() - 1;
    CHECK(read() == BLN_E_SIZE);
    limits.max_bytes = file.size();
    limits.max_depth = 4;  // {"circuits": {"C1": {"breaker_amps": {"dated": [...
    CHECK(read() == BLN_E_DEPTH);
    limits.max_depth = 0;
    CHECK(read() == BLN_E_RANGE);
    limits.max_depth = 1001;
    CHECK(read() == BLN_E_RANGE);
    limits.max_depth = 6;
    CHECK(read() == BLN_OK);
    bln_site_free(site);
    CHECK(bln_site_read(nullptr, 3, nullptr, &site, nullptr) == BLN_E_ARGUMENT);
    CHECK(site == nullptr);
    CHECK(bln_site_read(nullptr, 0, nullptr, &site, nullptr) == BLN_E_SYNTAX);
    CHECK(bln_site_read("{}", 2, nullptr, nullptr, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_draft_read(nullptr, 3, nullptr, nullptr, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_draft_new(nullptr, nullptr) == BLN_E_ARGUMENT);
    bln_draft* draft = nullptr;
    CHECK(bln_draft_of(nullptr, &draft, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_draft_freeze(nullptr, &site, nullptr) == BLN_E_ARGUMENT);
    size_t n = 0;
    CHECK(bln_site_history(nullptr, BLN_KIND_CIRCUIT, "C1", "role", &n, nullptr) == BLN_E_ARGUMENT);
    site = site_of(file);
    CHECK(bln_site_history(site, BLN_KIND_CIRCUIT, "C1", "role", nullptr, nullptr) == BLN_E_ARGUMENT);
    bln_when when{};
    when.size = sizeof when;
    bln_text* value = nullptr;
    CHECK(bln_site_assignment(site, BLN_KIND_CIRCUIT, "C1", "role", 1, &when, &value, nullptr) == BLN_E_RANGE);
    CHECK(bln_site_assignment(site, BLN_KIND_CIRCUIT, "C1", "load", 0, &when, &value, nullptr) == BLN_E_RANGE);
    CHECK(bln_site_assignment(site, BLN_KIND_CIRCUIT, "C1", "role", 0, &when, nullptr, nullptr) == BLN_OK);
    CHECK(bln_site_assignment(site, BLN_KIND_CIRCUIT, "C1", "role", 0, nullptr, &value, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_site_id(site, BLN_KIND_CIRCUIT, 1) == nullptr);
    CHECK(std::string(bln_site_id(site, BLN_KIND_SITE, 0)).empty());
    CHECK(bln_site_id(nullptr, BLN_KIND_CIRCUIT, 0) == nullptr);
    CHECK(bln_site_count(site, 5) == 0);
    CHECK(bln_site_find(site, BLN_KIND_CIRCUIT, "nobody") == -1);
    CHECK(bln_site_find(site, BLN_KIND_CIRCUIT, nullptr) == -1);
    CHECK(bln_site_find(nullptr, BLN_KIND_CIRCUIT, "C1") == -1);
    bln_site_free(site);
}
