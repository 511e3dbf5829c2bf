// Functions over the record that may need memory.
#include <cstdint>
#include <cstdio>
#include <cstring>
#include <string>

#include "scenario.hpp"

namespace {

constexpr const char* patch = R"([{"op":"test","path":"/circuits/lift/role","value":"common"},
 {"op":"replace","path":"/circuits/lift/breaker_amps","value":70},
 {"op":"add","path":"/circuits/spare","value":{"role":"spare"}}])";

bln_when dated() {
    bln_when when{};
    when.size = sizeof when;
    when.from = 1'800'000'000'000'000;
    when.to = BLN_END_OF_TIME;
    when.recorded_at = 1'800'000'000'000'000;
    when.reason = "found on a visit, after the cover was taken off";
    when.evidence = "visit";
    return when;
}

bln_policy_info first_key() {
    bln_policy_info row{};
    row.size = sizeof row;
    (void)bln_policy_at(BLN_POLICY_CHECK, 0, &row, nullptr);
    return row;
}

bln_status try_instant_parse(Fixture&, bln_error** e) {
    bln_instant at = 0;
    return bln_instant_parse("2026-03-01T12:00:00.5+01:00", &at, e);
}

bln_status try_instant_text(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_instant_text(1'700'000'000'000'001, out, e); });
}

bln_status try_field_at(Fixture&, bln_error** e) {
    bln_field_info row{};
    row.size = sizeof row;
    return bln_field_at(BLN_KIND_CIRCUIT, 0, &row, e);
}

bln_status try_field_choice(Fixture&, bln_error** e) {
    const char* word = nullptr;
    return bln_field_choice(BLN_KIND_CIRCUIT, "role", 0, &word, nullptr, e);
}

bln_status try_schema(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_schema(out, e); });
}

bln_status try_limits_default(Fixture&, bln_error** e) {
    bln_limits limits{};
    limits.size = sizeof limits;
    return bln_limits_default(&limits, e);
}

bln_status try_draft_new(Fixture& f, bln_error** e) {
    return made<bln_draft>(f, bln_draft_free, [&](auto out) { return bln_draft_new(out, e); });
}

bln_status try_draft_read(Fixture& f, bln_error** e) {
    return made<bln_draft>(f, bln_draft_free, [&](auto out) {
        return bln_draft_read(site_json.data(), site_json.size(), nullptr, out, e);
    });
}

bln_status try_draft_of(Fixture& f, bln_error** e) {
    return made<bln_draft>(f, bln_draft_free, [&](auto out) { return bln_draft_of(f.site, out, e); });
}

bln_status try_draft_add(Fixture& f, bln_error** e) {
    return bln_draft_add(f.draft, BLN_KIND_CIRCUIT, "pump-room-of-the-old-mill", e);
}

bln_status try_draft_remove(Fixture& f, bln_error** e) {
    return bln_draft_remove(f.draft, BLN_KIND_CIRCUIT, "lift", e);
}

bln_status try_draft_set_text(Fixture& f, bln_error** e) {
    const bln_when when = dated();
    return bln_draft_set_text(f.draft, BLN_KIND_CIRCUIT, "lift", "panel", "another-panel-of-the-house", &when, e);
}

bln_status try_draft_set_integer(Fixture& f, bln_error** e) {
    return bln_draft_set_integer(f.draft, BLN_KIND_CHANNEL, "D.2", "primary_amps", 200, nullptr, e);
}

bln_status try_draft_set_real(Fixture& f, bln_error** e) {
    const bln_when when = dated();
    return bln_draft_set_real(f.draft, BLN_KIND_CIRCUIT, "lift", "breaker_amps", 63, &when, e);
}

bln_status try_draft_set_ratio(Fixture& f, bln_error** e) {
    return bln_draft_set_ratio(f.draft, BLN_KIND_CHANNEL, "D.2", "multiplier", 3, 2, nullptr, e);
}

bln_status try_draft_set_integers(Fixture& f, bln_error** e) {
    static const std::int64_t spaces[] = {2, 4, 6};
    return bln_draft_set_integers(f.draft, BLN_KIND_CIRCUIT, "lift", "spaces", spaces, 3, nullptr, e);
}

bln_status try_draft_set_texts(Fixture& f, bln_error** e) {
    static const char* const landed[] = {"B", "C", "A", "N"};
    return bln_draft_set_texts(f.draft, BLN_KIND_DEVICE, "D", "landed", landed, 4, nullptr, e);
}

bln_status try_draft_set_terms(Fixture& f, bln_error** e) {
    static const char* const keys[] = {"D.1", "D.3"};
    static const std::int64_t nums[] = {1, 1};
    static const std::int64_t dens[] = {2, 1};
    return bln_draft_set_terms(f.draft, BLN_KIND_POINT, "b1", "elements", keys, nums, dens, 2, nullptr, e);
}

bln_status try_draft_clear(Fixture& f, bln_error** e) {
    return bln_draft_clear(f.draft, BLN_KIND_CIRCUIT, "lift", "role", e);
}

bln_status try_draft_set_ext(Fixture& f, bln_error** e) {
    static constexpr const char* ext = R"({"drawing":"E-104, sheet 3"})";
    return bln_draft_set_ext(f.draft, BLN_KIND_CIRCUIT, "lift", ext, std::strlen(ext), e);
}

bln_status try_draft_patch(Fixture& f, bln_error** e) {
    return bln_draft_patch(f.draft, patch, std::strlen(patch), nullptr, e);
}

bln_status try_draft_freeze(Fixture& f, bln_error** e) {
    return made<bln_site>(f, bln_site_free, [&](auto out) { return bln_draft_freeze(f.draft, out, e); });
}

bln_status try_site_read(Fixture& f, bln_error** e) {
    return made<bln_site>(f, bln_site_free,
                          [&](auto out) { return bln_site_read(site_json.data(), site_json.size(), nullptr, out, e); });
}

bln_status try_site_json(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_site_json(f.site, BLN_JSON_READABLE, out, e); });
}

bln_status try_site_json_again(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_site_json(f.site, BLN_JSON_CANONICAL, out, e); });
}

bln_status try_site_digest(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_site_digest(f.site, out, e); });
}

bln_status try_site_difference(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_site_difference(f.site, f.other_site, out, e); });
}

bln_status try_site_history(Fixture& f, bln_error** e) {
    std::size_t n = 0;
    return bln_site_history(f.site, BLN_KIND_CIRCUIT, "flat-2", "breaker_amps", &n, e);
}

bln_status try_site_assignment(Fixture& f, bln_error** e) {
    bln_when when{};
    when.size = sizeof when;
    return made_text(f, [&](bln_text** out) {
        return bln_site_assignment(f.site, BLN_KIND_CIRCUIT, "flat-2", "breaker_amps", 1, &when, out, e);
    });
}

bln_status try_view_new(Fixture& f, bln_error** e) {
    return made<bln_view>(f, bln_view_free,
                          [&](auto out) { return bln_view_new(f.site, BLN_END_OF_TIME, BLN_END_OF_TIME, out, e); });
}

bln_status try_view_text(Fixture& f, bln_error** e) {
    const char* out = nullptr;
    return bln_view_text(f.view, BLN_KIND_CIRCUIT, "lift", "role", &out, e);
}

bln_status try_view_integer(Fixture& f, bln_error** e) {
    std::int64_t out = 0;
    return bln_view_integer(f.view, BLN_KIND_CHANNEL, "D.2", "primary_amps", &out, e);
}

bln_status try_view_real(Fixture& f, bln_error** e) {
    double out = 0;
    return bln_view_real(f.view, BLN_KIND_CIRCUIT, "lift", "breaker_amps", &out, e);
}

bln_status try_view_ratio(Fixture& f, bln_error** e) {
    std::int64_t num = 0;
    std::int64_t den = 0;
    return bln_view_ratio(f.view, BLN_KIND_CHANNEL, "D.1", "multiplier", &num, &den, e);
}

bln_status try_view_size(Fixture& f, bln_error** e) {
    std::size_t out = 0;
    return bln_view_size(f.view, BLN_KIND_CIRCUIT, "lift", "spaces", &out, e);
}

bln_status try_view_item_integer(Fixture& f, bln_error** e) {
    std::int64_t out = 0;
    return bln_view_item_integer(f.view, BLN_KIND_CIRCUIT, "lift", "spaces", 1, &out, e);
}

bln_status try_view_item_text(Fixture& f, bln_error** e) {
    const char* out = nullptr;
    return bln_view_item_text(f.view, BLN_KIND_DEVICE, "D", "landed", 1, &out, e);
}

bln_status try_view_item_term(Fixture& f, bln_error** e) {
    const char* key = nullptr;
    std::int64_t num = 0;
    std::int64_t den = 0;
    return bln_view_item_term(f.view, BLN_KIND_POINT, "b2", "elements", 0, &key, &num, &den, e);
}

bln_status try_view_json(Fixture& f, bln_error** e) {
    return made_text(f,
                     [&](bln_text** out) { return bln_view_json(f.view, BLN_KIND_POINT, "b2", "elements", out, e); });
}

bln_status try_policy_new(Fixture& f, bln_error** e) {
    return made<bln_policy>(f, bln_policy_free, [&](auto out) { return bln_policy_new(BLN_POLICY_CHECK, out, e); });
}

bln_status try_policy_set(Fixture& f, bln_error** e) {
    const bln_policy_info row = first_key();
    return bln_policy_set(f.policy, row.key, row.high, e);
}

bln_status try_policy_get(Fixture& f, bln_error** e) {
    double out = 0;
    return bln_policy_get(f.policy, first_key().key, &out, e);
}

bln_status try_policy_at(Fixture&, bln_error** e) {
    bln_policy_info row{};
    row.size = sizeof row;
    return bln_policy_at(BLN_POLICY_CHECK, 0, &row, e);
}

bln_status try_policy_read(Fixture& f, bln_error** e) {
    const bln_policy_info row = first_key();
    char json[200];
    const int n = std::snprintf(json, sizeof json, "{\"%s\":%.17g}", row.key, row.low);
    return bln_policy_read(f.policy, json, static_cast<std::size_t>(n), e);
}

bln_status try_report_at(Fixture& f, bln_error** e) {
    bln_finding row{};
    row.size = sizeof row;
    return bln_report_at(f.report, 0, &row, e);
}

bln_status try_report_subject(Fixture& f, bln_error** e) {
    bln_kind kind = 0;
    const char* id = nullptr;
    return bln_report_subject(f.report, 0, 0, &kind, &id, e);
}

bln_status try_report_identity(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_report_identity(f.report, 0, out, e); });
}

bln_status try_report_json(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_report_json(f.report, out, e); });
}

bln_status try_report_text(Fixture& f, bln_error** e) {
    return made_text(f,
                     [&](bln_text** out) { return bln_report_text(f.report, 0, BLN_TEXT_BODY, f.catalogue, out, e); });
}

bln_status try_catalogue_english(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_catalogue_english(out, e); });
}

bln_status try_catalogue_read(Fixture& f, bln_error** e) {
    return made<bln_catalogue>(f, bln_catalogue_free, [&](auto out) {
        return bln_catalogue_read(bln_text_data(f.text), bln_text_size(f.text), out, e);
    });
}

bln_status try_report_fact(Fixture& f, bln_error** e) {
    bln_fact row{};
    row.size = sizeof row;
    return bln_report_fact(f.report, f.with_fact, 0, &row, e);
}

bln_status try_check(Fixture& f, bln_error** e) {
    return made<bln_report>(f, bln_report_free,
                            [&](auto out) { return bln_check(f.view, f.policy, nullptr, nullptr, out, e); });
}

bln_status try_json_canonical(Fixture& f, bln_error** e) {
    return made_text(
        f, [&](bln_text** out) { return bln_json_canonical(site_json.data(), site_json.size(), nullptr, out, e); });
}

bln_status try_json_patch_apply(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) {
        return bln_json_patch_apply(site_json.data(), site_json.size(), patch, std::strlen(patch), nullptr, out, e);
    });
}

const Scenario rows[] = {
    {"bln_instant_parse", try_instant_parse},
    {"bln_instant_text", try_instant_text},
    {"bln_field_at", try_field_at},
    {"bln_field_choice", try_field_choice},
    {"bln_schema", try_schema},
    {"bln_limits_default", try_limits_default},
    {"bln_draft_new", try_draft_new},
    {"bln_draft_read", try_draft_read},
    {"bln_draft_of", try_draft_of},
    {"bln_draft_add", try_draft_add},
    {"bln_draft_remove", try_draft_remove},
    {"bln_draft_set_text", try_draft_set_text},
    {"bln_draft_set_integer", try_draft_set_integer},
    {"bln_draft_set_real", try_draft_set_real},
    {"bln_draft_set_ratio", try_draft_set_ratio},
    {"bln_draft_set_integers", try_draft_set_integers},
    {"bln_draft_set_texts", try_draft_set_texts},
    {"bln_draft_set_terms", try_draft_set_terms},
    {"bln_draft_clear", try_draft_clear},
    {"bln_draft_set_ext", try_draft_set_ext},
    {"bln_draft_patch", try_draft_patch},
    {"bln_draft_freeze", try_draft_freeze},
    {"bln_site_read", try_site_read},
    {"bln_site_json", try_site_json},
    {"bln_site_json", try_site_json_again},
    {"bln_site_digest", try_site_digest},
    {"bln_site_difference", try_site_difference},
    {"bln_site_history", try_site_history},
    {"bln_site_assignment", try_site_assignment},
    {"bln_view_new", try_view_new},
    {"bln_view_text", try_view_text},
    {"bln_view_integer", try_view_integer},
    {"bln_view_real", try_view_real},
    {"bln_view_ratio", try_view_ratio},
    {"bln_view_size", try_view_size},
    {"bln_view_item_integer", try_view_item_integer},
    {"bln_view_item_text", try_view_item_text},
    {"bln_view_item_term", try_view_item_term},
    {"bln_view_json", try_view_json},
    {"bln_policy_new", try_policy_new},
    {"bln_policy_set", try_policy_set},
    {"bln_policy_get", try_policy_get},
    {"bln_policy_at", try_policy_at},
    {"bln_policy_read", try_policy_read},
    {"bln_report_at", try_report_at},
    {"bln_report_subject", try_report_subject},
    {"bln_report_identity", try_report_identity},
    {"bln_report_json", try_report_json},
    {"bln_report_text", try_report_text},
    {"bln_catalogue_english", try_catalogue_english},
    {"bln_catalogue_read", try_catalogue_read},
    {"bln_report_fact", try_report_fact},
    {"bln_check", try_check},
    {"bln_json_canonical", try_json_canonical},
    {"bln_json_patch_apply", try_json_patch_apply},
};

}  // namespace

std::span<const Scenario> record_scenarios() { return rows; }
