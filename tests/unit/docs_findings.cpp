// docs/findings.md follows from the table of rules and the catalogues of all rooms.
//   BLONDEL_REFRESH_DOCS=1 build/dev/unit "docs: *"   writes it anew
#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "energy/energy.hpp"
#include "plan/phase_test.hpp"
#include "plan/trace.hpp"
#include "proof/live.hpp"
#include "proof/prove.hpp"
#include "rules/check.hpp"
#include "rules/rule.hpp"

using namespace bln;

namespace {

/// Places in braces are code, so that they stand out and Markdown leaves them alone.
std::string prose(std::string_view text) {
    std::string out;
    for (const char c : text) {
        if (c == '{') out += '`';
        if (c == '*' || c == '_') out += '\\';
        out += c;
        if (c == '}') out += '`';
    }
    return out;
}

const Message* message(std::span<const Message> room, std::string_view code) {
    for (const Message& m : room)
        if (m.code == code) return &m;
    return nullptr;
}

void entry(std::string& out, const Message& m, std::string_view severity, std::string_view asks) {
    out += "### " + std::string(m.code) + "\n\n";
    out += "**" + prose(m.title) + "**" + (severity.empty() ? "" : " (" + std::string(severity) + ")") + "\n\n";
    if (!asks.empty()) out += "- Asks: " + std::string(asks) + "\n";
    out += "- Says: " + prose(m.body) + "\n";
    out += "- To do: " + prose(m.action) + "\n\n";
}

std::string_view word(Severity s) {
    return s == Severity::error ? "error" : s == Severity::warning ? "warning" : "note";
}

std::string findings_page() {
    std::string out =
        "# Findings\n\n"
        "Every finding that the library can raise, by code. This page is written from the table of rules and the\n"
        "message catalogue; a test fails when it is stale. In the texts, names in braces stand for facts and subjects\n"
        "of the finding. The identity of a finding is its code, its subjects and its discriminator, never its numbers\n"
        "or its text.\n\n"
        "## Rules over the record\n\n"
        "Raised by `bln_check`. The severity is that of a proven mistake; a note of code `not-checked` says once for\n"
        "each missing field which rules wait for it.\n\n";
    for (const rules::Rule& rule : rules::catalogue()) {
        const Message* m = message(rules_messages(), rule.code);
        REQUIRE(m != nullptr);
        entry(out, *m, word(rule.severity), rule.asks);
    }
    for (const Message& m : rules_messages()) {
        bool is_rule = false;
        for (const rules::Rule& rule : rules::catalogue()) is_rule |= rule.code == m.code;
        if (!is_rule) entry(out, m, "note", {});
    }
    out +=
        "## Readings against the record\n\n"
        "Raised by the live check. The severity depends on the finding and stands in it.\n\n";
    for (const Message& m : live_messages()) entry(out, m, {}, {});
    out +=
        "## Proof of points\n\n"
        "Raised by the proof from live readings, beside what the live check says of the rows themselves.\n\n";
    for (const Message& m : proof_messages()) entry(out, m, {}, {});
    out +=
        "## Energy and sums\n\n"
        "Raised by roll-up and reconciliation. The severity depends on the finding and stands in it.\n\n";
    for (const Message& m : energy_messages()) entry(out, m, {}, {});
    out +=
        "## Voltmeter phase test\n\n"
        "Raised by `bln_phase_test_new`. The severity depends on the finding and stands in it.\n\n";
    for (const Message& m : phase_test_messages()) entry(out, m, {}, {});
    out +=
        "## Tracing circuits\n\n"
        "Raised by `bln_trace_decode`. The severity depends on the finding and stands in it.\n\n";
    for (const Message& m : trace_messages()) entry(out, m, {}, {});
    out += "## Limits that a policy sets\n\nOf the rules over the record (`BLN_POLICY_CHECK`):\n\n";
    out += "| key | default | range | meaning | source of the default |\n| --- | --- | --- | --- | --- |\n";
    for (const PolicyKey& k : rules_policy()) {
        std::ostringstream row;
        row << "| `" << k.key << "` | " << k.initial << " | " << k.low << " to " << k.high << " | " << k.doc << " | "
            << k.source << " |\n";
        out += row.str();
    }
    return out;
}

}  // namespace

TEST_CASE("docs: findings.md is current") {
    const std::string path = std::string(BLN_TESTS_DIR) + "/../docs/findings.md";
    const std::string page = findings_page();
    if (std::getenv("BLONDEL_REFRESH_DOCS") != nullptr) std::ofstream(path, std::ios::binary) << page;
    std::ifstream in(path, std::ios::binary);
    std::ostringstream found;
    found << in.rdbuf();
    if (found.str() != page)
        FAIL("docs/findings.md is stale; run: BLONDEL_REFRESH_DOCS=1 build/dev/unit \"docs: findings.md is current\"");
    SUCCEED();
}

TEST_CASE("docs: codes are slugs, each once in all catalogues") {
    std::vector<std::string_view> codes;
    for (const auto room : {rules_messages(), live_messages(), proof_messages(), energy_messages(),
                            phase_test_messages(), trace_messages()})
        for (const Message& m : room) {
            CHECK(m.code.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789-") == std::string_view::npos);
            CHECK(std::find(codes.begin(), codes.end(), m.code) == codes.end());
            codes.push_back(m.code);
        }
    for (const rules::Rule& rule : rules::catalogue()) CHECK(message(rules_messages(), rule.code) != nullptr);
}
