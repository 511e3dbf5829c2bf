// A record as text, patches, and JSON in general, through the public header.
#include <catch2/catch.hpp>
#include <cstring>
#include <string>

#include "blondel/blondel.h"

namespace {

constexpr const char* file =
    R"({"blondel": "1", "circuits": {"C1": {"breaker_amps": 16, "panel": "P"}}, "panels": {"P": {"spaces": 12}}})";

bln_site* site_of(const std::string& text) {
    bln_site* site = nullptr;
    REQUIRE(bln_site_read(text.data(), text.size(), nullptr, &site, nullptr) == BLN_OK);
    return site;
}

std::string taken(bln_text* text) {
    std::string out(bln_text_data(text), bln_text_size(text));
    bln_text_free(text);
    return out;
}

std::string written(const bln_site* site, std::int32_t style) {
    bln_text* text = nullptr;
    REQUIRE(bln_site_json(site, style, &text, nullptr) == BLN_OK);
    return taken(text);
}

std::string digest(const bln_site* site) {
    bln_text* text = nullptr;
    REQUIRE(bln_site_digest(site, &text, nullptr) == BLN_OK);
    return taken(text);
}

}  // namespace

TEST_CASE("capi writing: both styles, and the digest of the canonical one") {
    bln_site* site = site_of(file);
    CHECK(written(site, BLN_JSON_READABLE) ==
          "{\n  \"blondel\": \"1\",\n  \"panels\": {\n    \"P\": {\"spaces\": 12}\n  },\n"
          "  \"circuits\": {\n    \"C1\": {\"panel\": \"P\", \"breaker_amps\": 16}\n  }\n}\n");
    const std::string canonical =
        R"({"blondel":"1","circuits":{"C1":{"breaker_amps":16,"panel":"P"}},"panels":{"P":{"spaces":12}}})";
    CHECK(written(site, BLN_JSON_CANONICAL) == canonical);
    // Computed with sha256sum (GNU coreutils) over that text.
    CHECK(digest(site) == "b24ed3b39909ee5588c108fcad0bc8422c7ea4f2e7f57b6e15752deb9b57fbc7");

    bln_text* text = nullptr;
    bln_error* error = nullptr;
    CHECK(bln_site_json(site, 11, &text, &error) == BLN_E_RANGE);
    CHECK(text == nullptr);
    bln_error_free(error);
    CHECK(bln_site_json(nullptr, BLN_JSON_READABLE, &text, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_site_json(site, BLN_JSON_READABLE, nullptr, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_site_digest(nullptr, &text, nullptr) == BLN_E_ARGUMENT);
    bln_site_free(site);
}

TEST_CASE("capi writing: a difference is a patch of the draft") {
    bln_site* before = site_of(file);
    bln_draft* draft = nullptr;
    REQUIRE(bln_draft_of(before, &draft, nullptr) == BLN_OK);
    bln_when march{};
    march.size = sizeof march;
    REQUIRE(bln_instant_parse("2026-03-01T00:00:00Z", &march.from, nullptr) == BLN_OK);
    march.to = BLN_END_OF_TIME;
    march.recorded_at = BLN_BEGIN_OF_TIME;
    march.reason = "larger oven";
    REQUIRE(bln_draft_set_real(draft, BLN_KIND_CIRCUIT, "C1", "breaker_amps", 25, &march, nullptr) == BLN_OK);
    bln_site* after = nullptr;
    REQUIRE(bln_draft_freeze(draft, &after, nullptr) == BLN_OK);
    bln_draft_free(draft);

    bln_text* text = nullptr;
    REQUIRE(bln_site_difference(before, after, &text, nullptr) == BLN_OK);
    const std::string patch = taken(text);
    CHECK(
        patch ==
        "[\n  {\"op\": \"replace\", \"path\": \"/circuits/C1/breaker_amps\", \"value\": {\"dated\": [{\"value\": 16}, "
        "{\"from\": \"2026-03-01T00:00:00Z\", \"reason\": \"larger oven\", \"value\": 25}]}}\n]\n");
    REQUIRE(bln_draft_of(before, &draft, nullptr) == BLN_OK);
    CHECK(bln_draft_patch(draft, patch.data(), patch.size(), nullptr, nullptr) == BLN_OK);
    bln_site* again = nullptr;
    REQUIRE(bln_draft_freeze(draft, &again, nullptr) == BLN_OK);
    CHECK(digest(again) == digest(after));
    CHECK(digest(again) != digest(before));
    REQUIRE(bln_site_difference(again, after, &text, nullptr) == BLN_OK);
    CHECK(taken(text) == "[]");

    // All or nothing: the first operation would have been fine.
    const std::string bad = R"([{"op": "remove", "path": "/circuits/C1/panel"}, {"op": "remove", "path": "/cts/X"}])";
    bln_error* error = nullptr;
    CHECK(bln_draft_patch(draft, bad.data(), bad.size(), nullptr, &error) == BLN_E_PATCH);
    CHECK(std::string(bln_error_pointer(error, 0)) == "/1/path");
    CHECK(bln_error_line(error, 0) == 1);
    bln_error_free(error);
    bln_site* unchanged = nullptr;
    REQUIRE(bln_draft_freeze(draft, &unchanged, nullptr) == BLN_OK);
    CHECK(digest(unchanged) == digest(after));

    CHECK(bln_draft_patch(nullptr, "[]", 2, nullptr, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_draft_patch(draft, nullptr, 2, nullptr, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_site_difference(before, nullptr, &text, nullptr) == BLN_E_ARGUMENT);
    CHECK(text == nullptr);
    bln_draft_free(draft);
    for (bln_site* s : {before, after, again, unchanged}) bln_site_free(s);
}

TEST_CASE("capi writing: a remedy tests what it relies on and appends a dated assignment") {
    const std::string record =
        R"({"blondel": "1", "channels": {"K1": {"polarity": {"dated": [{"value": "normal"}]}}, "K2": {"polarity": "normal"}}})";
    const std::string remedy = R"([
      {"op": "test", "path": "/channels/K2/polarity", "value": "normal"},
      {"op": "replace", "path": "/channels/K2/polarity", "value": {"dated": [{"value": "normal"},
        {"from": "2026-03-01T00:00:00Z", "value": "inverted"}]}},
      {"op": "test", "path": "/channels/K2/polarity/dated/1/value", "value": "inverted"},
      {"op": "add", "path": "/channels/K2/polarity/dated/-", "value": {"from": "2026-04-01T00:00:00Z", "value": "normal"}}])";
    bln_draft* draft = nullptr;
    REQUIRE(bln_draft_read(record.data(), record.size(), nullptr, &draft, nullptr) == BLN_OK);
    REQUIRE(bln_draft_patch(draft, remedy.data(), remedy.size(), nullptr, nullptr) == BLN_OK);
    bln_site* site = nullptr;
    REQUIRE(bln_draft_freeze(draft, &site, nullptr) == BLN_OK);
    size_t count = 0;
    CHECK(bln_site_history(site, BLN_KIND_CHANNEL, "K2", "polarity", &count, nullptr) == BLN_OK);
    CHECK(count == 3);
    bln_error* error = nullptr;
    CHECK(bln_draft_patch(draft, remedy.data(), remedy.size(), nullptr, &error) == BLN_E_PATCH_TEST);
    CHECK(std::string(bln_error_pointer(error, 0)) == "/0/value");
    bln_error_free(error);
    bln_site_free(site);
    bln_draft_free(draft);
}

TEST_CASE("capi writing: JSON in general") {
    bln_text* text = nullptr;
    bln_error* error = nullptr;
    const std::string json = R"( {"b": [1.0, 1e2], "a": "\u00e9"} )";
    REQUIRE(bln_json_canonical(json.data(), json.size(), nullptr, &text, nullptr) == BLN_OK);
    CHECK(taken(text) == "{\"a\":\"\xc3\xa9\",\"b\":[1,100]}");
    text = nullptr;
    CHECK(bln_json_canonical("[1,", 3, nullptr, &text, &error) == BLN_E_SYNTAX);
    CHECK(bln_error_byte(error, 0) == 3);
    CHECK(text == nullptr);
    bln_error_free(error);
    error = nullptr;
    CHECK(bln_json_canonical("[1e999]", 7, nullptr, &text, nullptr) == BLN_E_NOT_FINITE);
    CHECK(bln_json_canonical(nullptr, 7, nullptr, &text, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_json_canonical("", 0, nullptr, &text, nullptr) == BLN_E_SYNTAX);

    bln_limits limits{};
    limits.size = sizeof limits;
    limits.max_depth = 2;
    limits.max_bytes = 5;
    CHECK(bln_json_canonical("[[[]]]", 6, &limits, &text, nullptr) == BLN_E_SIZE);
    limits.max_bytes = 600;
    CHECK(bln_json_canonical("[[[]]]", 6, &limits, &text, nullptr) == BLN_E_DEPTH);
    CHECK(bln_json_canonical("[[]]", 4, &limits, &text, nullptr) == BLN_OK);
    CHECK(taken(text) == "[[]]");

    const std::string patch = R"([{"op": "add", "path": "/-", "value": 2.50}])";
    REQUIRE(bln_json_patch_apply("[1]", 3, patch.data(), patch.size(), &limits, &text, nullptr) == BLN_OK);
    CHECK(taken(text) == "[1,2.50]");
    text = nullptr;
    CHECK(bln_json_patch_apply("{}", 2, patch.data(), patch.size(), nullptr, &text, &error) == BLN_OK);
    CHECK(taken(text) == "{\"-\":2.50}");
    text = nullptr;
    CHECK(bln_json_patch_apply("7", 1, patch.data(), patch.size(), nullptr, &text, &error) == BLN_E_PATCH);
    CHECK(std::string(bln_error_pointer(error, 0)) == "/0/path");
    bln_error_free(error);
    error = nullptr;
    CHECK(bln_json_patch_apply("{]", 2, patch.data(), patch.size(), nullptr, &text, &error) == BLN_E_SYNTAX);
    CHECK(std::string(bln_error_subject(error, 0)) == "document");
    bln_error_free(error);
    error = nullptr;
    CHECK(bln_json_patch_apply("{}", 2, "[", 1, nullptr, &text, &error) == BLN_E_SYNTAX);
    CHECK(std::string(bln_error_subject(error, 0)) == "patch");
    bln_error_free(error);
    CHECK(text == nullptr);
}

TEST_CASE("capi writing: the schema is JSON and names its dialect") {
    bln_text* text = nullptr;
    REQUIRE(bln_schema(&text, nullptr) == BLN_OK);
    const std::string schema = taken(text);
    CHECK(schema.find("https://json-schema.org/draft/2020-12/schema") != std::string::npos);
    REQUIRE(bln_json_canonical(schema.data(), schema.size(), nullptr, &text, nullptr) == BLN_OK);
    bln_text_free(text);
    CHECK(bln_schema(nullptr, nullptr) == BLN_E_ARGUMENT);
}
