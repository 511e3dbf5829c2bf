// The field table, instants and policies through the public header.
#include <catch2/catch.hpp>
#include <limits>
#include <set>
#include <string>

#include "blondel/blondel.h"

TEST_CASE("table: kinds and fields can be walked") {
    REQUIRE(bln_kind_count() == 14);
    CHECK(bln_kind_at(0) == BLN_KIND_SITE);
    CHECK(bln_kind_at(12) == BLN_KIND_EVIDENCE);
    CHECK(bln_kind_at(13) == BLN_KIND_WAIVER);
    CHECK(bln_kind_at(14) == 0);
    CHECK(std::string(bln_kind_name(BLN_KIND_CT_TYPE)) == "ct_type");
    CHECK(std::string(bln_kind_collection(BLN_KIND_PREMISES)) == "premises");
    CHECK(std::string(bln_kind_collection(BLN_KIND_SITE)).empty());
    CHECK(std::string(bln_kind_name(11)).empty());
    CHECK(std::string(bln_kind_collection(11)).empty());
    CHECK(bln_field_count(11) == 0);
    for (size_t k = 0; k < bln_kind_count(); ++k) {
        const bln_kind kind = bln_kind_at(k);
        std::set<std::string> names;
        for (size_t f = 0; f < bln_field_count(kind); ++f) {
            bln_field_info info{};
            info.size = sizeof info;
            REQUIRE(bln_field_at(kind, f, &info, nullptr) == BLN_OK);
            CHECK(info.size == sizeof info);
            CHECK(names.insert(info.name).second);
            CHECK(info.doc[0] != '\0');
            CHECK(info.low <= info.high);
            const bool refers = info.type == BLN_FIELD_REF || info.type == BLN_FIELD_REFS ||
                                info.type == BLN_FIELD_TERMS || info.type == BLN_FIELD_PASSES;
            CHECK((info.target != 0) == refers);
            CHECK((info.choice_count > 0) == (info.type == BLN_FIELD_CHOICE));
            for (int32_t w = 0; w < info.choice_count; ++w) {
                const char* word = nullptr;
                const char* doc = nullptr;
                REQUIRE(bln_field_choice(kind, info.name, static_cast<size_t>(w), &word, &doc, nullptr) == BLN_OK);
                CHECK(word[0] != '\0');
                CHECK(doc[0] != '\0');
            }
            CHECK(bln_field_choice(kind, info.name, static_cast<size_t>(info.choice_count), nullptr, nullptr,
                                   nullptr) == (info.choice_count > 0 ? BLN_E_RANGE : BLN_E_NAME));
        }
        bln_field_info info{};
        info.size = sizeof info;
        CHECK(bln_field_at(kind, bln_field_count(kind), &info, nullptr) == BLN_E_RANGE);
    }
    bln_field_info info{};
    CHECK(bln_field_at(BLN_KIND_SITE, 0, &info, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_field_at(BLN_KIND_SITE, 0, nullptr, nullptr) == BLN_E_ARGUMENT);
    info.size = sizeof info;
    CHECK(bln_field_at(7, 0, &info, nullptr) == BLN_E_NAME);
    CHECK(bln_field_choice(BLN_KIND_CIRCUIT, nullptr, 0, nullptr, nullptr, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_field_choice(BLN_KIND_CIRCUIT, "colour", 0, nullptr, nullptr, nullptr) == BLN_E_NAME);
}

TEST_CASE("table: an older caller's struct is filled as far as it goes") {
    struct {
        bln_field_info info;
        unsigned char guard[16];
    } box{};
    for (unsigned char& g : box.guard) g = 0xAB;
    box.info.doc = nullptr;
    box.info.size = static_cast<uint32_t>(offsetof(bln_field_info, doc));
    REQUIRE(bln_field_at(BLN_KIND_CIRCUIT, 4, &box.info, nullptr) == BLN_OK);
    CHECK(std::string(box.info.name) == "breaker_amps");
    CHECK(std::string(box.info.unit) == "A");
    CHECK(box.info.doc == nullptr);
    CHECK(box.info.size == offsetof(bln_field_info, doc));
    box.info.size = sizeof box;  // a newer caller: the library stays within what it knows
    REQUIRE(bln_field_at(BLN_KIND_CIRCUIT, 4, &box.info, nullptr) == BLN_OK);
    for (const unsigned char g : box.guard) CHECK(g == 0xAB);
}

TEST_CASE("time: instants go to text and back") {
    bln_instant at = 5;
    CHECK(bln_instant_parse("2026-02-30T00:00:00Z", &at, nullptr) == BLN_E_VALUE);
    CHECK(at == 5);
    CHECK(bln_instant_parse(nullptr, &at, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_instant_parse("2026-03-01T01:30:00.25+01:30", nullptr, nullptr) == BLN_E_ARGUMENT);
    REQUIRE(bln_instant_parse("2026-03-01T01:30:00.25+01:30", &at, nullptr) == BLN_OK);
    bln_text* text = nullptr;
    REQUIRE(bln_instant_text(at, &text, nullptr) == BLN_OK);
    CHECK(std::string(bln_text_data(text)) == "2026-03-01T00:00:00.25Z");
    bln_text_free(text);
    CHECK(bln_instant_text(BLN_END_OF_TIME, &text, nullptr) == BLN_E_RANGE);
    CHECK(text == nullptr);
}

TEST_CASE("policy: keys have defaults, ranges and sources, and are set one by one or together") {
    const int32_t domain = GENERATE(as<int32_t>{}, BLN_POLICY_CHECK, BLN_POLICY_LIVE, BLN_POLICY_ENERGY, BLN_POLICY_PHASE_TEST, BLN_POLICY_TRACE);
    REQUIRE(bln_policy_count(domain) > 1);
    CHECK(bln_policy_count(11) == 0);
    bln_policy* p = nullptr;
    CHECK(bln_policy_new(11, &p, nullptr) == BLN_E_RANGE);
    CHECK(bln_policy_new(domain, nullptr, nullptr) == BLN_E_ARGUMENT);
    REQUIRE(bln_policy_new(domain, &p, nullptr) == BLN_OK);
    bln_policy_info first{};
    for (size_t i = bln_policy_count(domain); i-- > 0;) {
        first = {};
        first.size = sizeof first;
        REQUIRE(bln_policy_at(domain, i, &first, nullptr) == BLN_OK);
        CHECK(first.doc[0] != '\0');
        CHECK(first.source[0] != '\0');
        CHECK((first.low <= first.initial && first.initial <= first.high));
        double value = -1;
        CHECK(bln_policy_get(p, first.key, &value, nullptr) == BLN_OK);
        CHECK(value == first.initial);
        CHECK(bln_policy_set(p, first.key, first.high, nullptr) == BLN_OK);
        CHECK(bln_policy_set(p, first.key, first.high + 1, nullptr) == BLN_E_VALUE);
        CHECK(bln_policy_set(p, first.key, std::numeric_limits<double>::quiet_NaN(), nullptr) == BLN_E_NOT_FINITE);
        CHECK(bln_policy_get(p, first.key, &value, nullptr) == BLN_OK);
        CHECK(value == first.high);
    }
    const std::string key(first.key);
    const auto read = [&](const std::string& json, bln_error** e) {
        return bln_policy_read(p, json.data(), json.size(), e);
    };
    const std::string low = std::to_string(static_cast<long long>(first.low));
    bln_error* e = nullptr;
    CHECK(read("{\"" + key + "\": " + low + ", \"colour\": 1}", &e) == BLN_E_NAME);
    CHECK(std::string(bln_error_pointer(e, 0)) == "/colour");
    CHECK(bln_error_line(e, 0) == 1);
    bln_error_free(e);
    double value = -1;
    CHECK(bln_policy_get(p, key.c_str(), &value, nullptr) == BLN_OK);
    CHECK(value == first.high);  // all or nothing
    CHECK(read("{\"" + key + "\": \"1\"}", nullptr) == BLN_E_TYPE);
    CHECK(read("[]", nullptr) == BLN_E_TYPE);
    CHECK(read("", nullptr) == BLN_E_SYNTAX);
    CHECK(read("{\"" + key + "\": 1, \"" + key + "\": 1}", nullptr) == BLN_E_DUPLICATE);
    CHECK(read("{\"" + key + "\": " + low + "}", nullptr) == BLN_OK);
    CHECK(bln_policy_get(p, key.c_str(), &value, nullptr) == BLN_OK);
    CHECK(value == first.low);
    CHECK(bln_policy_get(p, "colour", &value, nullptr) == BLN_E_NAME);
    CHECK(bln_policy_set(p, "colour", 1, nullptr) == BLN_E_NAME);
    CHECK(bln_policy_set(p, nullptr, 1, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_policy_set(nullptr, key.c_str(), 1, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_policy_read(nullptr, "{}", 2, nullptr) == BLN_E_ARGUMENT);
    bln_policy_info info{};
    info.size = sizeof info;
    CHECK(bln_policy_at(domain, bln_policy_count(domain), &info, nullptr) == BLN_E_RANGE);
    bln_policy_free(p);
    bln_policy_free(nullptr);
}
