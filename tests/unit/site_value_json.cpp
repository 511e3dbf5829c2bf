#include <catch2/catch.hpp>
#include <string>

#include "site/instant.hpp"
#include "site/value_json.hpp"

using namespace bln;

namespace {

std::string written(Kind kind, std::string_view field, const Value& value) {
    const int f = info(kind).find(field);
    REQUIRE(f >= 0);
    std::string out;
    append_value_json(out, info(kind).fields[f], value);
    return out;
}

}  // namespace

TEST_CASE("a value of each type is written in the form of the file") {
    Value v;
    v.text = "a\"b";
    CHECK(written(Kind::site, "name", v) == "\"a\\\"b\"");
    v.integer = 1;
    CHECK(written(Kind::circuit, "role", v) == "\"common\"");
    CHECK(written(Kind::circuit, "neutral", v) == "true");
    CHECK(written(Kind::panel, "spaces", v) == "1");
    CHECK(written(Kind::evidence, "at", v) == "\"1970-01-01T00:00:00.000001Z\"");
    v.real = 277.13;
    CHECK(written(Kind::service, "volts_ln", v) == "277.13");
    v.real = 60;
    CHECK(written(Kind::service, "frequency_hz", v) == "60");
    v.rational = Rational(-3, 6);
    CHECK(written(Kind::channel, "multiplier", v) == "\"-1/2\"");
    v.rational = Rational(2);
    CHECK(written(Kind::channel, "multiplier", v) == "2");
    v.rational = Rational(9007199254740992);
    CHECK(written(Kind::channel, "multiplier", v) == "\"9007199254740992/1\"");
    const std::int64_t integers[] = {1, 3, 5};
    v.integers = integers;
    CHECK(written(Kind::circuit, "spaces", v) == "[1,3,5]");
    const std::string_view texts[] = {"A", "N"};
    v.texts = texts;
    CHECK(written(Kind::profile, "references", v) == "[\"A\",\"N\"]");
    const TermText terms[] = {{"z", Rational(1)}, {"a:N", Rational(-2)}};
    v.terms = terms;
    CHECK(written(Kind::ct, "passes", v) == "{\"z\":1,\"a:N\":-2}");
    CHECK(written(Kind::ct, "passes", Value{}) == "{}");
}
