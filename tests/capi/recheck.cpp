// A check that follows edits says what a whole check says, and looks at little.
#include <algorithm>
#include <catch2/catch.hpp>
#include <map>
#include <string>
#include <vector>

#include "generated_site.hpp"
#include "operators.hpp"

namespace {

using Lines = std::vector<std::string>;

/// Identity, severity, verdict and facts of every finding, and the coverage, in one order.
Lines lines(const bln_report* report, bool coverage) {
    Lines out;
    for (std::size_t i = 0; i < bln_report_count(report); ++i) {
        bln_finding f{};
        f.size = sizeof f;
        REQUIRE(bln_report_at(report, i, &f, nullptr) == BLN_OK);
        bln_text *identity = nullptr, *body = nullptr;
        REQUIRE(bln_report_identity(report, i, &identity, nullptr) == BLN_OK);
        REQUIRE(bln_report_text(report, i, BLN_TEXT_BODY, nullptr, &body, nullptr) == BLN_OK);
        out.push_back(std::string(bln_text_data(identity)) + " " + std::to_string(f.severity) + " " +
                      std::to_string(f.verdict) + " " + f.pointer + " " + f.waiver + " " + bln_text_data(body));
        bln_text_free(identity);
        bln_text_free(body);
    }
    if (coverage) {
        bln_text* json = nullptr;
        REQUIRE(bln_report_json(report, &json, nullptr) == BLN_OK);
        const std::string text = bln_text_data(json);
        out.push_back(text.substr(text.find("\"coverage\"")));
        bln_text_free(json);
    }
    std::sort(out.begin(), out.end());
    return out;
}

Lines whole(const bln_draft* draft) {
    bln_site* site = nullptr;
    bln_view* view = nullptr;
    bln_report* report = nullptr;
    REQUIRE(bln_draft_freeze(draft, &site, nullptr) == BLN_OK);
    REQUIRE(bln_view_new(site, BLN_END_OF_TIME, BLN_END_OF_TIME, &view, nullptr) == BLN_OK);
    REQUIRE(bln_check(view, nullptr, nullptr, nullptr, &report, nullptr) == BLN_OK);
    Lines out = lines(report, true);
    bln_report_free(report);
    bln_view_free(view);
    bln_site_free(site);
    return out;
}

Lines followed(const bln_recheck* recheck) {
    bln_report* report = nullptr;
    REQUIRE(bln_recheck_report(recheck, &report, nullptr) == BLN_OK);
    Lines out = lines(report, true);
    bln_report_free(report);
    return out;
}

struct Changes {
    Lines appeared, gone, changed;
};
Changes update(bln_recheck* recheck, const bln_draft* draft) {
    bln_report *appeared = nullptr, *gone = nullptr, *changed = nullptr;
    REQUIRE(bln_recheck_update(recheck, draft, nullptr, nullptr, &appeared, &gone, &changed, nullptr) == BLN_OK);
    Changes out{lines(appeared, false), lines(gone, false), lines(changed, false)};
    bln_report_free(appeared);
    bln_report_free(gone);
    bln_report_free(changed);
    return out;
}

}  // namespace

TEST_CASE("recheck: after every mistake it says what a whole check says") {
    for (const std::uint32_t seed : {3U, 4U}) {
        bln_site* site = support::generated_site(35, seed);
        for (const support::Operator& o : support::operators()) {
            support::Spoiled spoiled(site, seed);
            bln_recheck* recheck = nullptr;
            REQUIRE(bln_recheck_new(spoiled.draft(), BLN_END_OF_TIME, BLN_END_OF_TIME, nullptr, nullptr, nullptr,
                                    &recheck, nullptr) == BLN_OK);
            const Lines before = followed(recheck);
            if (!o.spoil(spoiled).none()) {
                INFO(o.name << ", site " << seed);
                const Changes changes = update(recheck, spoiled.draft());
                const Lines after = followed(recheck);
                CHECK(after == whole(spoiled.draft()));
                // What appeared and went makes one state of the other.
                CHECK(after.size() == before.size() + changes.appeared.size() - changes.gone.size());
                const Changes nothing = update(recheck, spoiled.draft());
                CHECK((nothing.appeared.empty() && nothing.gone.empty() && nothing.changed.empty()));
            }
            bln_recheck_free(recheck);
        }
        bln_site_free(site);
    }
}

TEST_CASE("recheck: a chain of edits ends where a whole check ends") {
    bln_draft* draft = support::generated_draft(140, 9);
    bln_recheck* recheck = nullptr;
    REQUIRE(bln_recheck_new(draft, BLN_END_OF_TIME, BLN_END_OF_TIME, nullptr, nullptr, nullptr, &recheck, nullptr) ==
            BLN_OK);
    bln_site* site = nullptr;
    REQUIRE(bln_draft_freeze(draft, &site, nullptr) == BLN_OK);
    std::uint32_t random = 17;
    const auto draw = [&](std::size_t below) {
        random = random * 1664525U + 1013904223U;
        return static_cast<std::size_t>(random >> 8U) % below;
    };
    const auto some = [&](bln_kind kind) { return bln_site_id(site, kind, draw(bln_site_count(site, kind))); };
    std::uint64_t most = 0;
    for (int i = 0; i < 60; ++i) {
        switch (draw(8)) {
            case 0: {
                const char* key = some(BLN_KIND_CHANNEL);
                const std::int64_t one = 1;
                REQUIRE(bln_draft_set_terms(draft, BLN_KIND_POINT, some(BLN_KIND_POINT), "elements", &key, &one,
                                            nullptr, 1, nullptr, nullptr) == BLN_OK);
                break;
            }
            case 1:
                REQUIRE(bln_draft_set_real(draft, BLN_KIND_CIRCUIT, some(BLN_KIND_CIRCUIT), "breaker_amps",
                                           10.0 + static_cast<double>(draw(90)), nullptr, nullptr) == BLN_OK);
                break;
            case 2:
                REQUIRE(bln_draft_set_text(draft, BLN_KIND_CT, some(BLN_KIND_CT), "mark_faces",
                                           draw(2) == 0 ? "load" : "source", nullptr, nullptr) == BLN_OK);
                break;
            case 3: {
                const std::int64_t space = static_cast<std::int64_t>(draw(46)) + 1;
                REQUIRE(bln_draft_set_integers(draft, BLN_KIND_CIRCUIT, some(BLN_KIND_CIRCUIT), "spaces", &space, 1,
                                               nullptr, nullptr) == BLN_OK);
                break;
            }
            case 4: {
                const char* key = some(BLN_KIND_CIRCUIT);
                const std::int64_t one = 1;
                REQUIRE(bln_draft_set_terms(draft, BLN_KIND_CT, some(BLN_KIND_CT), "passes", &key, &one, nullptr, 1,
                                            nullptr, nullptr) == BLN_OK);
                break;
            }
            case 5:
                REQUIRE(bln_draft_clear(draft, BLN_KIND_CHANNEL, some(BLN_KIND_CHANNEL), "reference", nullptr) ==
                        BLN_OK);
                break;
            case 6:
                REQUIRE(bln_draft_set_text(draft, BLN_KIND_POINT, some(BLN_KIND_POINT), "premises",
                                           some(BLN_KIND_PREMISES), nullptr, nullptr) == BLN_OK);
                break;
            default:
                REQUIRE(bln_draft_set_text(draft, BLN_KIND_CT, some(BLN_KIND_CT), "serial", i % 2 == 0 ? "same" : "N5",
                                           nullptr, nullptr) == BLN_OK);
        }
        if (draw(3) == 0) continue;  // several edits at once
        INFO("step " << i);
        (void)update(recheck, draft);
        most = std::max(most, bln_recheck_reached(recheck));
        CHECK(followed(recheck) == whole(draft));
    }
    CHECK(most > 0);
    bln_recheck_free(recheck);
    bln_draft_free(draft);
    bln_site_free(site);
}

TEST_CASE("recheck: an entity more, another draft, waivers, and a draft that is gone") {
    bln_draft* draft = support::generated_draft(14, 2);
    bln_recheck* recheck = nullptr;
    REQUIRE(bln_recheck_new(draft, BLN_END_OF_TIME, BLN_END_OF_TIME, nullptr, nullptr, nullptr, &recheck, nullptr) ==
            BLN_OK);
    REQUIRE(bln_draft_add(draft, BLN_KIND_PREMISES, "late", nullptr) == BLN_OK);
    REQUIRE(bln_draft_set_text(draft, BLN_KIND_PREMISES, "late", "occupancy", "tenant", nullptr, nullptr) == BLN_OK);
    const Changes more = update(recheck, draft);
    REQUIRE(more.appeared.size() == 1);
    CHECK(more.appeared.front().rfind("premises-without-point|premises:late|", 0) == 0);
    REQUIRE(bln_draft_add(draft, BLN_KIND_WAIVER, "w", nullptr) == BLN_OK);
    (void)update(recheck, draft);
    REQUIRE(bln_draft_set_text(draft, BLN_KIND_WAIVER, "w", "finding", "premises-without-point|premises:late|", nullptr,
                               nullptr) == BLN_OK);
    REQUIRE(bln_draft_set_text(draft, BLN_KIND_WAIVER, "w", "reason", "moves in later", nullptr, nullptr) == BLN_OK);
    const Changes waived = update(recheck, draft);
    CHECK(waived.changed.size() == 1);
    CHECK(followed(recheck) == whole(draft));
    bln_draft* other = support::generated_draft(21, 5);
    bln_draft_free(draft);
    (void)update(recheck, other);
    CHECK(followed(recheck) == whole(other));
    bln_draft_free(other);
    CHECK(followed(recheck).size() == 1);  // a correct site: its coverage alone
    bln_recheck_free(recheck);
}

TEST_CASE("recheck: what is wrong is refused") {
    bln_draft* draft = support::generated_draft(7, 2);
    bln_policy* policy = nullptr;
    bln_recheck* recheck = nullptr;
    REQUIRE(bln_policy_new(BLN_POLICY_LIVE, &policy, nullptr) == BLN_OK);
    CHECK(bln_recheck_new(draft, 0, 0, policy, nullptr, nullptr, &recheck, nullptr) == BLN_E_ARGUMENT);
    CHECK(recheck == nullptr);
    CHECK(bln_recheck_new(nullptr, 0, 0, nullptr, nullptr, nullptr, &recheck, nullptr) == BLN_E_ARGUMENT);
    const auto stop = [](void*, std::uint64_t, std::uint64_t) -> std::int32_t { return 1; };
    CHECK(bln_recheck_new(draft, 0, 0, nullptr, stop, nullptr, &recheck, nullptr) == BLN_E_CANCELLED);
    CHECK(bln_recheck_update(nullptr, draft, nullptr, nullptr, nullptr, nullptr, nullptr, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_recheck_reached(nullptr) == 0);
    bln_policy_free(policy);
    bln_draft_free(draft);
}
