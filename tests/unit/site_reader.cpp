#include "site/reader.hpp"

#include <catch2/catch.hpp>
#include <string>

#include "site/instant.hpp"
#include "site/value_json.hpp"

using namespace bln;

namespace {

constexpr std::string_view everything = R"({
  "blondel": "1",
  "name": "Lindenhof",
  "ext": {"b": 1e2, "a": [null, {}]},
  "circuits": {
    "dated": {"panel": "LP1", "spaces": [1, 3], "neutral": false, "breaker_amps": 20.5, "role": "premises",
              "ext": {"color": "\u00e9"}},
    "C2": {"breaker_amps": {"dated": [
        {"value": 20, "to": "2026-03-01T00:00:00Z"},
        {"value": 3e1, "from": "2026-03-01T00:00:00Z", "recorded_at": "2026-03-02T08:00:00+01:00",
         "reason": "larger oven", "evidence": "E1"}]}}
  },
  "cts": {"T1": {"passes": {"dated": 1, "C2:N": "-2/1"}}, "T2": {"passes": {"dated": [{"value": {"dated": 2}}]}}},
  "zone": "Europe/Berlin",
  "channels": {"k1": {"multiplier": "2/4", "cts": {}}},
  "points": {"P": {"circuits": ["dated", "C2"]}},
  "profiles": {"pr": {"references": ["A", "\u0042", ""]}},
  "evidence": {"E1": {"at": "2026-02-27T10:00:00.5+01:00", "value": -1e-3}}
})";

std::string value(const Model& m, Kind kind, std::string_view id, std::string_view field, std::size_t i = 0) {
    const std::int32_t at = m.find(kind, id);
    REQUIRE(at >= 0);
    const int f = info(kind).find(field);
    REQUIRE(f >= 0);
    const Cell* cell = m.entities(kind)[static_cast<std::size_t>(at)].find(static_cast<std::size_t>(f));
    if (cell == nullptr || i >= cell->assignments.size()) return "absent";
    std::string out;
    append_value_json(out, info(kind).fields[f], cell->assignments[i].value);
    return out;
}

void check_everything(const Model& m) {
    CHECK(value(m, Kind::site, "", "name") == "\"Lindenhof\"");
    CHECK(value(m, Kind::site, "", "address") == "absent");
    CHECK(value(m, Kind::site, "", "zone") == "\"Europe/Berlin\"");
    CHECK(m.entities(Kind::site)[0].ext == R"({"b": 1e2, "a": [null, {}]})");
    CHECK(m.entities(Kind::circuit).size() == 2);
    CHECK(m.entities(Kind::circuit)[0].ext == R"({"color": "\u00e9"})");
    CHECK(value(m, Kind::circuit, "dated", "panel") == "\"LP1\"");
    CHECK(value(m, Kind::circuit, "dated", "spaces") == "[1,3]");
    CHECK(value(m, Kind::circuit, "dated", "neutral") == "false");
    CHECK(value(m, Kind::circuit, "dated", "breaker_amps") == "20.5");
    CHECK(value(m, Kind::circuit, "dated", "role") == "\"premises\"");
    CHECK(value(m, Kind::circuit, "C2", "breaker_amps", 0) == "20");
    CHECK(value(m, Kind::circuit, "C2", "breaker_amps", 1) == "30");
    const Assignment& a = m.entities(Kind::circuit)[1].cells[0].assignments[1];
    CHECK(a.from == *parse_instant("2026-03-01T00:00:00Z"));
    CHECK(a.to == end_of_time);
    CHECK(a.recorded_at == *parse_instant("2026-03-02T07:00:00Z"));
    CHECK(a.reason == "larger oven");
    CHECK(a.evidence == "E1");
    CHECK(value(m, Kind::ct, "T1", "passes") == R"({"dated":1,"C2:N":-2})");
    CHECK(value(m, Kind::ct, "T2", "passes") == R"({"dated":2})");
    CHECK(value(m, Kind::channel, "k1", "multiplier") == "\"1/2\"");
    CHECK(value(m, Kind::channel, "k1", "cts") == "{}");
    CHECK(value(m, Kind::point, "P", "circuits") == R"(["dated","C2"])");
    CHECK(value(m, Kind::profile, "pr", "references") == R"(["A","B",""])");
    CHECK(value(m, Kind::evidence, "E1", "at") == "\"2026-02-27T09:00:00.5Z\"");
    CHECK(value(m, Kind::evidence, "E1", "value") == "-0.001");
}

std::vector<ErrorItem> refusal(const std::string& text) {
    try {
        (void)read_site(text);
    } catch (Failure& f) {
        return f.items();
    }
    return {};
}

}  // namespace

TEST_CASE("a site file with every type of field is read") {
    const auto model = read_site(everything);
    check_everything(*model);
    check_everything(*model->clone());
}

TEST_CASE("errors of fields are all listed, in order, and syntax comes first") {
    const std::string text =
        "{\"blondel\":\"1\",\n"
        "\"services\":{\"S\":{\"kilovolts_ln\":0.12,\"frequency_hz\":\"60 Hz\",\"kind\":\"wye\"}},\n"
        "\"rooms\":{\"R\":{\"x\":[{}]}},\n"
        "\"circuits\":{\"C 1\":{\"role\":7},\"C2\":{\"spaces\":[1,\"2\",3.5,[],5000],\"neutral\":null}}}";
    const std::vector<ErrorItem> e = refusal(text);
    REQUIRE(e.size() == 10);
    const auto is = [&](std::size_t i, bln_status status, const char* pointer, const char* subject, const char* at) {
        INFO(i << " " << e[i].message);
        CHECK(e[i].status == status);
        CHECK(e[i].pointer == pointer);
        CHECK(e[i].subject == subject);
        CHECK(e[i].byte == text.find(at));
    };
    is(0, BLN_E_UNIT, "/services/S/kilovolts_ln", "S", "\"kilovolts_ln\"");
    is(1, BLN_E_UNIT, "/services/S/frequency_hz", "S", "\"60 Hz\"");
    is(2, BLN_E_VALUE, "/services/S/kind", "S", "\"wye\"");
    is(3, BLN_E_FIELD, "/rooms", "", "\"rooms\"");
    is(4, BLN_E_VALUE, "/circuits/C 1", "", "\"C 1\"");
    is(5, BLN_E_TYPE, "/circuits/C2/spaces/1", "C2", "\"2\"");
    is(6, BLN_E_TYPE, "/circuits/C2/spaces/2", "C2", "3.5");
    is(7, BLN_E_TYPE, "/circuits/C2/spaces/3", "C2", "[],5");
    is(8, BLN_E_VALUE, "/circuits/C2/spaces", "C2", "[1,");
    is(9, BLN_E_TYPE, "/circuits/C2/neutral", "C2", "null");
    CHECK(e[9].line == 4);

    const std::vector<ErrorItem> cut = refusal(text.substr(0, text.size() - 1));
    REQUIRE(cut.size() == 11);
    CHECK(cut[0].status == BLN_E_SYNTAX);
    CHECK(cut[1].status == BLN_E_UNIT);
}

TEST_CASE("no more than a hundred errors are listed") {
    std::string text = "{\"blondel\":\"1\",\"circuits\":{";
    for (int i = 0; i < 300; ++i) text += "\"C" + std::to_string(i) + "\":{\"role\":1},";
    CHECK(refusal(text + "\"Z\":{}}}").size() == most_errors);
}

// Wherever a file breaks off and whichever byte is damaged, the answer is a record or a status.
TEST_CASE("a damaged site file never does more than fail") {
    const std::string good(everything);
    const auto read = [](const std::string& text) -> bool {
        try {
            return read_site(text) != nullptr;
        } catch (const Failure& f) {
            CHECK_FALSE(f.items().empty());
            for (const ErrorItem& e : f.items()) {
                if (e.status < 200 || e.status >= 410 || e.line == 0 || e.column == 0 || e.byte > text.size() ||
                    e.message.empty())
                    FAIL_CHECK("status " << e.status << " at byte " << e.byte);
            }
            return false;
        }
    };
    for (std::size_t n = 0; n < good.size(); ++n) {
        INFO("cut at " << n);
        CHECK_FALSE(read(good.substr(0, n)));
    }
    int accepted = 0;
    for (std::size_t i = 0; i < good.size(); ++i) {
        for (const char c : {'\0', '\x80', '"', '{', '}', '[', ']', ',', ':', '1', 'e', '\\', ' ', '\xFF'}) {
            std::string bad = good;
            bad[i] = c;
            INFO("byte " << i << " made " << static_cast<int>(c));
            accepted += read(bad) ? 1 : 0;
        }
        std::string dropped = good;
        dropped.erase(i, 1);
        accepted += read(dropped) ? 1 : 0;
    }
    CHECK(accepted > 0);
}
