#include "site/writer.hpp"

#include <catch2/catch.hpp>

#include "site/canonical.hpp"
#include "site/reader.hpp"

using namespace bln;

namespace {

// Every kind and every type of field; histories, ids and texts that are hard to write.
constexpr std::string_view everything = R"({
  "blondel": "1",
  "name": "Weaver's \"Yard\"\n\u0001",
  "zone": "Europe/Berlin",
  "services": {"S1": {"kind": "four_wire_wye", "volts_ln": 230, "volts_ll": 398.37, "frequency_hz": 50}},
  "panels": {"P1": {"service": "S1", "spaces": 24, "bus": "BCA", "ext": {"z": 1.50, "a": [1E2, null]}}, "P0": {}},
  "circuits": {
    "C2": {"panel": "P1", "breaker_amps": {"dated": [{"value": 16.5},
      {"value": 20, "from": "2026-03-01T00:00:00.25+01:00", "to": "2027-03-01T00:00:00Z",
       "recorded_at": "2026-03-02T00:00:00Z", "reason": "breaker \\ exchanged", "evidence": "E1"}]}},
    "C1": {"name": "K\u00fcche: links, rechts", "spaces": [1, 3], "neutral": false, "role": "common"},
    "dated": {"phases": "CAB", "panel": {"dated": [{"value": "P1", "to": "2026-01-01T00:00:00Z"}]}}
  },
  "cts": {"X": {"passes": {"C2": 2, "C1:N": -1}}, "dated": {"passes": {"dated": 1}},
          "Y": {"passes": {"dated": [{"value": {"dated": 1}, "reason": "r"}]}}, "Z": {"passes": {}}},
  "channels": {"K": {"multiplier": "-2/3", "cts": {"X": "3/7", "dated": 1}}, "L": {"multiplier": 4}},
  "profiles": {"F": {"groups": [5, 5], "references": ["A, B", "", "\\"], "full_scale": 0.000001}},
  "points": {"M": {"circuits": ["C2", "C1"], "elements": {"K": 1}}},
  "evidence": {"E1": {"at": "2026-02-28T10:00:00Z", "value": -3.25e-7}},
  "ext": {"\ufb33": 1, "\ud83d\ude00": {"b": 2, "a": 0.0}}
})";

std::string rewritten(std::string_view text, JsonStyle style) { return write_site(*read_site(text), style); }

}  // namespace

TEST_CASE("what is written reads as what was read") {
    const std::string readable = rewritten(everything, JsonStyle::readable);
    CHECK(rewritten(readable, JsonStyle::readable) == readable);
    CHECK(equal(parse_json(readable).root,
                parse_json(rewritten(rewritten(everything, JsonStyle::canonical), JsonStyle::readable)).root));
    // The free parts stay letter for letter.
    CHECK(readable.find(R"("ext": {"z": 1.50, "a": [1E2, null]})") != std::string::npos);
    const auto again = read_site(readable);
    for (std::size_t k = 0; k < kind_count; ++k) {
        const auto kind = static_cast<Kind>(k);
        const auto first = read_site(everything);
        REQUIRE(again->entities(kind).size() == first->entities(kind).size());
        for (std::size_t i = 0; i < first->entities(kind).size(); ++i) {
            const Entity& a = first->entities(kind)[i];
            const Entity& b = again->entities(kind)[i];
            CHECK(a.id == b.id);
            CHECK(a.ext == b.ext);
            REQUIRE(a.cells.size() == b.cells.size());
            for (std::size_t c = 0; c < a.cells.size(); ++c) {
                REQUIRE(a.cells[c].field == b.cells[c].field);
                REQUIRE(a.cells[c].assignments.size() == b.cells[c].assignments.size());
                for (std::size_t n = 0; n < a.cells[c].assignments.size(); ++n) {
                    const Assignment& x = a.cells[c].assignments[n];
                    const Assignment& y = b.cells[c].assignments[n];
                    CHECK(x.from == y.from);
                    CHECK(x.to == y.to);
                    CHECK(x.recorded_at == y.recorded_at);
                    CHECK(x.reason == y.reason);
                    CHECK(x.evidence == y.evidence);
                    CHECK(same(info(kind).fields[a.cells[c].field].type, x.value, y.value));
                }
            }
        }
    }
}

TEST_CASE("the canonical file is what RFC 8785 makes of the readable one") {
    const std::string readable = rewritten(everything, JsonStyle::readable);
    const std::string text = rewritten(everything, JsonStyle::canonical);
    CHECK(text == canonical(parse_json(readable).root));
    CHECK(rewritten(text, JsonStyle::canonical) == text);
    CHECK(text.find('\n') == std::string::npos);
}

TEST_CASE("an empty record is a file, too") {
    CHECK(write_site(Model(), JsonStyle::readable) == "{\n  \"blondel\": \"1\"\n}\n");
    CHECK(write_site(Model(), JsonStyle::canonical) == R"({"blondel":"1"})");
}

TEST_CASE("the readable file has a line for each entity and columns that a person can follow") {
    CHECK(rewritten(R"({"blondel":"1","name":"Two rooms",
      "panels":{"P":{"spaces":12,"name":"Stair"}},
      "circuits":{
        "C1":{"name":"lights","panel":"P","spaces":[1],"breaker_amps":16,"neutral":true},
        "C10":{"name":"cooker","panel":"P","spaces":[3,5],"breaker_amps":32.5},
        "C2":{"panel":"P","spaces":[2],"breaker_amps":{"dated":[{"value":10},{"value":16,"from":"2026-03-01T00:00:00Z"}]},"neutral":true,"ext":{"k":1}},
        "C3":{"name":"spare","panel":"P","role":"spare"}}})",
                    JsonStyle::readable) ==
          R"({
  "blondel": "1",
  "name": "Two rooms",
  "panels": {
    "P": {"name": "Stair", "spaces": 12}
  },
  "circuits": {
    "C1":  {"name": "lights", "panel": "P", "spaces": [1],    "breaker_amps": 16,   "neutral": true},
    "C10": {"name": "cooker", "panel": "P", "spaces": [3, 5], "breaker_amps": 32.5},
    "C2":  {                  "panel": "P", "spaces": [2],    "breaker_amps": {"dated": [{"value": 10}, {"from": "2026-03-01T00:00:00Z", "value": 16}]}, "neutral": true, "ext": {"k":1}},
    "C3":  {"name": "spare",  "panel": "P", "role": "spare"}
  }
}
)");
}
