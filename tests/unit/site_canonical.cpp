#include "site/canonical.hpp"

#include <catch2/catch.hpp>

using namespace bln;

namespace {
std::string canon(std::string_view text) { return canonical(parse_json(text).root); }
}  // namespace

// RFC 8785, 3.2.2 (input) and 3.2.3 (result).
TEST_CASE("the sample object of RFC 8785") {
    CHECK(canon(R"({
  "numbers": [333333333.33333329, 1E30, 4.50,
              2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
})") == "{\"literals\":[null,true,false],\"numbers\":[333333333.3333333,1e+30,4.5,0.002,1e-27],"
        "\"string\":\"\xe2\x82\xac$\\u000f\\nA'B\\\"\\\\\\\\\\\"/\"}");
}

// RFC 8785, 3.2.3: the test of sorting by UTF-16 code units.
TEST_CASE("keys sort by UTF-16 code units") {
    CHECK(canon(R"({
  "\u20ac": "Euro Sign",
  "\r": "Carriage Return",
  "\ufb33": "Hebrew Letter Dalet With Dagesh",
  "1": "One",
  "\ud83d\ude00": "Emoji: Grinning Face",
  "\u0080": "Control",
  "\u00f6": "Latin Small Letter O With Diaeresis"
})") == "{\"\\r\":\"Carriage Return\",\"1\":\"One\",\"\xc2\x80\":\"Control\","
        "\"\xc3\xb6\":\"Latin Small Letter O With Diaeresis\",\"\xe2\x82\xac\":\"Euro Sign\","
        "\"\xf0\x9f\x98\x80\":\"Emoji: Grinning Face\",\"\xef\xac\xb3\":\"Hebrew Letter Dalet With Dagesh\"}");
    CHECK(canonical_less("a", "ab"));
    CHECK_FALSE(canonical_less("ab", "a"));
    CHECK_FALSE(canonical_less("a", "a"));
    CHECK(canonical_less("\xee\x80\x80", "\xef\xbf\xbd"));      // U+E000 before U+FFFD
    CHECK(canonical_less("\xf4\x8f\xbf\xbf", "\xee\x80\x80"));  // U+10FFFF before U+E000
    CHECK(canonical_less("\xed\x9f\xbf", "\xf0\x90\x80\x80"));  // U+D7FF before U+10000
    CHECK(canonical_less("\xf0\x90\x80\x80", "\xf0\x90\x80\x81"));
}

TEST_CASE("canonical text is canonical") {
    for (const char* text : {"[]", "{}", "\"\"", "0", "null", R"({"":[{"a":{}}]})"}) CHECK(canon(text) == text);
    CHECK(canon(" [ -0.0 , 1.0 , 10e-1 ]\n") == "[0,1,1]");
}
