#include "site/difference.hpp"

#include <catch2/catch.hpp>
#include <random>

#include "site/json_tree.hpp"
#include "site/reader.hpp"
#include "site/record_patch.hpp"
#include "site/writer.hpp"

using namespace bln;

namespace {

std::string difference(std::string_view before, std::string_view after) {
    return site_difference(*read_site(before), *read_site(after));
}

constexpr std::string_view base = R"({"blondel":"1","name":"N",
  "panels":{"P":{"service":"S","spaces":12,"ext":{"a":1}}},
  "circuits":{"C":{"panel":"P","breaker_amps":16,"role":{"dated":[{"value":"premises"}, {"value":"common","from":"2026-01-01T00:00:00Z"}]}}}})";

std::string canonical_of(const Model& m) { return write_site(m, JsonStyle::canonical); }

/// Draws edits of any kind, dated and plain.
class Editor {
public:
    explicit Editor(unsigned seed) : random_(seed) {}

    void edit(Model& m) {
        const auto kind = static_cast<Kind>(below(kind_count));
        if (kind != Kind::site && (m.entities(kind).empty() || below(4) == 0)) {
            const std::string id = "e" + std::to_string(below(6));
            if (m.find(kind, id) < 0)
                m.add(kind, id);
            else if (below(2) == 0)
                m.remove(kind, id);
            return;
        }
        const auto at = static_cast<std::uint32_t>(below(m.entities(kind).size()));
        const std::size_t f = below(info(kind).field_count);
        const FieldInfo& field = info(kind).fields[f];
        switch (below(6)) {
            case 0:
                m.clear(kind, at, f);
                break;
            case 1:
                m.set_ext(kind, at, below(2) == 0 ? "" : R"({"n": )" + std::to_string(below(3)) + "}");
                break;
            case 2:
            case 3:
                draw(field);
                m.set(kind, at, f, value_);
                break;
            default: {
                draw(field);
                Assignment a;
                a.value = value_;
                if (field.dated) {
                    a.from = static_cast<Instant>(below(5)) * 86'400'000'000;
                    if (below(2) == 0) a.to = a.from + 1;
                    if (below(2) == 0) a.recorded_at = a.from + 5;
                    if (below(3) == 0) a.reason = "why \"so\"";
                    if (below(3) == 0) a.evidence = "e1";
                }
                m.assign(kind, at, f, a);
            }
        }
    }

private:
    std::size_t below(std::size_t n) { return std::uniform_int_distribution<std::size_t>(0, n - 1)(random_); }
    std::int64_t small(const FieldInfo& f) {
        const bool bounded = f.low != 0 || f.high != 0;
        return static_cast<std::int64_t>(bounded ? std::max(f.low, 1.0) : 0) + static_cast<std::int64_t>(below(3));
    }
    void draw(const FieldInfo& f) {
        value_ = {};
        texts_ = {"e1", "e2", "dated"};
        std::shuffle(texts_.begin(), texts_.end(), random_);
        views_.assign(texts_.begin(), texts_.end());
        views_.resize(below(4));
        integers_.assign(below(3), small(f));
        terms_.clear();
        for (const std::string_view v : views_) terms_.push_back({v, Rational(small(f))});
        value_.integers = integers_;
        value_.texts = views_;
        value_.terms = terms_;
        value_.text = f.name == "bus" || f.name == "phases" ? std::string_view("AB") : std::string_view(texts_.front());
        value_.real = static_cast<double>(small(f)) + 0.5;
        value_.rational = Rational(small(f), 3);
        value_.integer = f.type == Type::choice    ? static_cast<std::int64_t>(below(f.choices->size))
                         : f.type == Type::boolean ? static_cast<std::int64_t>(below(2))
                                                   : small(f);
    }

    std::mt19937 random_;
    Value value_;
    std::vector<std::string> texts_;
    std::vector<std::string_view> views_;
    std::vector<std::int64_t> integers_;
    std::vector<TermText> terms_;
};

}  // namespace

TEST_CASE("equal records have no difference, in whatever order they are written") {
    CHECK(difference(base, base) == "[]");
    CHECK(difference(R"({"blondel":"1","cts":{"a":{"passes":{"x":1,"y":2}},"b":{"ext":{"p":1,"q":2}}}})",
                     R"({"cts":{"b":{"ext":{"q":2.0,"p":1}},"a":{"passes":{"y":2,"x":1}}},"blondel":"1"})") == "[]");
}

TEST_CASE("a history that grew is appended to and a plain value gets a history") {
    CHECK(difference(base, R"({"blondel":"1","name":"N",
  "panels":{"P":{"service":"S","spaces":12,"ext":{"a":1}}},
  "circuits":{"C":{"panel":"P","breaker_amps":{"dated":[{"value":16},{"value":20,"from":"2026-03-01T00:00:00Z","evidence":"E"}]},
    "role":{"dated":[{"value":"premises"},{"value":"common","from":"2026-01-01T00:00:00Z"},{"value":"spare","from":"2026-02-01T00:00:00Z"}]}}}})") ==
          R"([
  {"op": "replace", "path": "/circuits/C/breaker_amps", "value": {"dated": [{"value": 16}, {"from": "2026-03-01T00:00:00Z", "evidence": "E", "value": 20}]}},
  {"op": "add", "path": "/circuits/C/role/dated/-", "value": {"from": "2026-02-01T00:00:00Z", "value": "spare"}}
]
)");
}

TEST_CASE("fields, entities and collections come and go by one operation each") {
    CHECK(difference(base, R"({"blondel":"1","zone":"Z",
  "panels":{"P":{"service":"T","ext":{"a":2}},"Q":{"spaces":6}},"evidence":{"E":{},"F":{"by":"me"}}})") ==
          R"([
  {"op": "remove", "path": "/name"},
  {"op": "add", "path": "/zone", "value": "Z"},
  {"op": "replace", "path": "/panels/P/service", "value": "T"},
  {"op": "remove", "path": "/panels/P/spaces"},
  {"op": "replace", "path": "/panels/P/ext", "value": {"a":2}},
  {"op": "add", "path": "/panels/Q", "value": {"spaces": 6}},
  {"op": "remove", "path": "/circuits"},
  {"op": "add", "path": "/evidence", "value": {"E": {}, "F": {"by": "me"}}}
]
)");
}

TEST_CASE("the difference of any two records turns the one into the other") {
    std::size_t operations = 0;
    for (unsigned seed = 0; seed < 400; ++seed) {
        Editor editor(seed);
        Model before;
        for (int i = 0; i < 40; ++i) editor.edit(before);
        const auto after = before.clone();
        for (unsigned i = 0; i < seed % 9; ++i) editor.edit(*after);
        const std::string patch = site_difference(before, *after);
        INFO(seed << ": " << patch);
        const auto result = patched(before, patch);
        REQUIRE(canonical_of(*result) == canonical_of(*after));
        REQUIRE((patch == "[]") == (canonical_of(before) == canonical_of(*after)));
        operations += parse_json(patch).root.items.size();
    }
    CHECK(operations > 400);
}

TEST_CASE("a patch that does not hold leaves the record alone and says where") {
    const auto record = read_site(base);
    const auto refusal = [&](std::string_view patch) {
        const std::string before = canonical_of(*record);
        ErrorItem item;
        item.status = BLN_OK;
        try {
            (void)patched(*record, patch);
        } catch (const Failure& f) {
            item = f.items().front();
        }
        CHECK(canonical_of(*record) == before);
        return item;
    };
    const ErrorItem relied = refusal(R"([{"op":"test","path":"/circuits/C/breaker_amps","value":20},
      {"op":"replace","path":"/circuits/C/breaker_amps","value":25}])");
    CHECK(relied.status == BLN_E_PATCH_TEST);
    CHECK(relied.pointer == "/0/value");
    CHECK(relied.message == "/circuits/C/breaker_amps holds 16, not 20");
    const ErrorItem wrong = refusal(R"([{"op":"replace","path":"/circuits/C/breaker_amps","value":"25 A"}])");
    CHECK(wrong.status == BLN_E_UNIT);
    CHECK(wrong.pointer == "/circuits/C/breaker_amps");
    CHECK(wrong.line == 0);
    CHECK(refusal(R"([{"op":"replace","path":"/blondel","value":"9"}])").status == BLN_E_FORMAT);
    CHECK(refusal(R"([{"op":"add","path":"/circuits/C/colour","value":"red"}])").status == BLN_E_FIELD);
    CHECK(refusal(R"([{"op":"add","path":"/circuits/C/name","value":null}])").status == BLN_E_TYPE);
    CHECK(refusal("[{").status == BLN_E_SYNTAX);
    CHECK(refusal("").status == BLN_E_SYNTAX);
}
