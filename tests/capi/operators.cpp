// Correct generated sites raise no error; a mistake that an operator puts into one raises its finding and hardly
// anything else. The table is printed. BLONDEL_LONG=1 runs all 500 sites, otherwise some.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

#include "generated_site.hpp"
#include "operators.hpp"

namespace {

constexpr std::size_t points_of_a_site = 35;  // five of each service

std::uint32_t sites() {
    const char* all = std::getenv("BLONDEL_LONG");
    return all != nullptr && std::string(all) == "1" ? 500 : 12;
}

/// Codes with their subjects as kind:id, of errors and warnings.
struct Said {
    std::string code;
    bool error;
    std::vector<std::string> subjects;
};

std::vector<Said> checked(const bln_site* site) {
    bln_view* view = nullptr;
    bln_policy* policy = nullptr;
    bln_report* report = nullptr;
    REQUIRE(bln_view_new(site, BLN_END_OF_TIME, BLN_END_OF_TIME, &view, nullptr) == BLN_OK);
    REQUIRE(bln_policy_new(BLN_POLICY_CHECK, &policy, nullptr) == BLN_OK);
    REQUIRE(bln_policy_set(policy, "groups_whole", 1, nullptr) == BLN_OK);
    REQUIRE(bln_policy_set(policy, "notes", 0, nullptr) == BLN_OK);
    REQUIRE(bln_check(view, policy, nullptr, nullptr, &report, nullptr) == BLN_OK);
    std::vector<Said> out;
    for (std::size_t i = 0; i < bln_report_count(report); ++i) {
        bln_finding f{};
        f.size = sizeof f;
        REQUIRE(bln_report_at(report, i, &f, nullptr) == BLN_OK);
        Said said{f.code, f.severity == BLN_ERROR, {}};
        for (std::size_t j = 0; j < f.subject_count; ++j) {
            bln_kind kind = 0;
            const char* id = nullptr;
            REQUIRE(bln_report_subject(report, i, j, &kind, &id, nullptr) == BLN_OK);
            said.subjects.push_back(std::string(bln_kind_name(kind)) + ":" + id);
        }
        out.push_back(std::move(said));
    }
    bln_report_free(report);
    bln_policy_free(policy);
    bln_view_free(view);
    return out;
}

struct Row {
    std::uint32_t tried = 0, met = 0, more = 0;  ///< more: sites with more than one unintended error
    std::string code, example;
};

}  // namespace

TEST_CASE("operators: correct sites raise no error, spoiled ones the intended finding") {
    std::vector<Row> rows(support::operators().size());
    std::uint32_t wrong_sites = 0;
    for (std::uint32_t seed = 1; seed <= sites(); ++seed) {
        bln_site* site = support::generated_site(points_of_a_site, seed);
        for (const Said& s : checked(site)) {
            UNSCOPED_INFO("site " << seed << ": " << s.code << " " << (s.subjects.empty() ? "" : s.subjects.front()));
            ++wrong_sites;
        }
        for (std::size_t i = 0; i < rows.size(); ++i) {
            support::Spoiled spoiled(site, seed);
            const support::Wanted wanted = support::operators()[i].spoil(spoiled);
            if (wanted.none()) continue;
            bln_site* frozen = nullptr;
            REQUIRE(bln_draft_freeze(spoiled.draft(), &frozen, nullptr) == BLN_OK);
            bool met = false;
            std::vector<std::string> others;
            for (const Said& s : checked(frozen)) {
                if (s.code == wanted.code)
                    met = met || std::find(s.subjects.begin(), s.subjects.end(), wanted.subject) != s.subjects.end();
                else if (s.error && std::find(others.begin(), others.end(), s.code) == others.end())
                    others.push_back(s.code);
            }
            bln_site_free(frozen);
            Row& row = rows[i];
            ++row.tried;
            row.met += met ? 1 : 0;
            row.more += others.size() > 1 ? 1 : 0;
            row.code = wanted.code;
            if ((!met || others.size() > 1) && row.example.empty()) {
                row.example = "site " + std::to_string(seed) + ", " + wanted.subject + (met ? ":" : ": missed;");
                for (const std::string& code : others) row.example += " " + code;
            }
        }
        bln_site_free(site);
    }
    CHECK(wrong_sites == 0);
    std::printf(
        "| operator | mistake | intended finding | sites | found | more than one unintended error |\n"
        "| --- | --- | --- | --- | --- | --- |\n");
    std::uint32_t tried = 0, met = 0, more = 0;
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const Row& r = rows[i];
        const support::Operator& o = support::operators()[i];
        std::printf("| %s | %s | %s | %u | %u | %u |\n", o.name, o.does, r.code.c_str(), r.tried, r.met, r.more);
        tried += r.tried;
        met += r.met;
        more += r.more;
        INFO(o.name << ": " << r.met << " of " << r.tried << "; " << r.example);
        // Small numbers of sites still have to show every operator at work.
        CHECK(r.tried * 4 >= sites());
        CHECK(r.met * 100 >= r.tried * 97);
        CHECK(r.more == 0);
    }
    std::printf("| %zu operators | | | %u | %u | %u |\n", rows.size(), tried, met, more);
    CHECK(rows.size() >= 40);
}
