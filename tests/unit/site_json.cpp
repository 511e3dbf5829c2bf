#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <string>

#include "site/json_tree.hpp"

using namespace bln;

namespace {

ErrorItem refusal(std::string_view text, const JsonLimits& limits = {}) {
    try {
        (void)parse_json(text, limits);
    } catch (const Failure& f) {
        return f.items().front();
    }
    return {BLN_OK, "accepted", "", ""};
}

}  // namespace

TEST_CASE("a JSON text keeps order, number texts and places") {
    const std::string text = "{ \"b\" : [1, 2.50, -3e2],\n  \"a\":{\"\\u00e9\\n\":true, \"n\":null}}";
    const JsonDocument doc = parse_json(text);
    CHECK(to_json(doc.root) == "{\"b\":[1,2.50,-3e2],\"a\":{\"\xC3\xA9\\n\":true,\"n\":null}}");
    const Json& third = doc.root.items[0].items[2];
    CHECK(text.substr(third.begin, third.end - third.begin) == "-3e2");
    const Json& a = *doc.root.find("a");
    CHECK(text.substr(a.begin, a.end - a.begin) == "{\"\\u00e9\\n\":true, \"n\":null}");
    const ErrorItem e = doc.item(a.items[1], BLN_E_TYPE, "x");
    CHECK(e.pointer == "/a/n");
    CHECK(e.line == 2);
    CHECK(e.column == 29);
    CHECK(e.byte == text.find("null"));
    CHECK(doc.pointer_of(third) == "/b/2");
    CHECK(doc.pointer_of(doc.root).empty());
}

TEST_CASE("a JSON text that is wrong is refused with status, pointer and place") {
    struct Row {
        std::string text;
        bln_status status;
        std::string pointer;
        std::uint64_t line, column, byte;
    };
    using namespace std::string_literals;
    const Row rows[] = {
        {"", BLN_E_SYNTAX, "", 1, 1, 0},
        {" \n ", BLN_E_SYNTAX, "", 2, 2, 3},
        {"{\"a\":1", BLN_E_SYNTAX, "/a", 1, 7, 6},
        {"{\"a\":1,}", BLN_E_SYNTAX, "/a", 1, 8, 7},
        {"[1,]", BLN_E_SYNTAX, "/1", 1, 4, 3},
        {"{\"a\" 1}", BLN_E_SYNTAX, "/a", 1, 6, 5},
        {"{a:1}", BLN_E_SYNTAX, "", 1, 2, 1},
        {"{\"a\":1}\n x", BLN_E_SYNTAX, "", 2, 2, 9},
        {"[01]", BLN_E_SYNTAX, "/1", 1, 3, 2},
        {"[1.]", BLN_E_SYNTAX, "/0", 1, 4, 3},
        {"[1e]", BLN_E_SYNTAX, "/0", 1, 4, 3},
        {"[+1]", BLN_E_SYNTAX, "/0", 1, 2, 1},
        {"[\"\\x\"]", BLN_E_SYNTAX, "/0", 1, 3, 2},
        {"[\"a\tb\"]", BLN_E_SYNTAX, "/0", 1, 4, 3},
        {"[\"a", BLN_E_SYNTAX, "/0", 1, 4, 3},
        {"[tru]", BLN_E_SYNTAX, "/0", 1, 5, 4},
        {"// x\n1", BLN_E_SYNTAX, "", 1, 1, 0},
        {"\xEF\xBB\xBF{}", BLN_E_ENCODING, "", 1, 1, 0},
        {"[\"\xC0\xAF\"]", BLN_E_ENCODING, "", 1, 3, 2},
        {"[\"\xED\xA0\x80\"]", BLN_E_ENCODING, "", 1, 3, 2},
        {"[\"\\ud800\"]", BLN_E_ENCODING, "/0", 1, 3, 2},
        {"[\"\\udc00\"]", BLN_E_ENCODING, "/0", 1, 2, 1},
        {"[\"a\\u0000\"]", BLN_E_ENCODING, "/0", 1, 2, 1},
        {"[1,\0]"s, BLN_E_ENCODING, "", 1, 4, 3},
        {"{\"a\":{\"b\":1,\n\"b\":2}}", BLN_E_DUPLICATE, "/a/b", 2, 1, 13},
        {"{\"a\":1,\"\\u0061\":2}", BLN_E_DUPLICATE, "/a", 1, 8, 7},
        {"[NaN]", BLN_E_NOT_FINITE, "/0", 1, 2, 1},
        {"[-Infinity]", BLN_E_NOT_FINITE, "/0", 1, 3, 2},
        {"[nan]", BLN_E_NOT_FINITE, "/0", 1, 3, 2},
        {"[1e999]", BLN_E_NOT_FINITE, "/0", 1, 2, 1},
        {"[-1.7e308,-17e307,1.8e308]", BLN_E_NOT_FINITE, "/2", 1, 19, 18},
    };
    for (const Row& r : rows) {
        INFO(r.text);
        const ErrorItem e = refusal(r.text);
        CHECK(e.status == r.status);
        CHECK(e.pointer == r.pointer);
        CHECK(e.line == r.line);
        CHECK(e.column == r.column);
        CHECK(e.byte == r.byte);
        CHECK_FALSE(e.message.empty());
    }
}

TEST_CASE("depth and size of a JSON text have limits") {
    CHECK(refusal("[[[1]]]", {3, 100}).status == BLN_OK);
    const ErrorItem e = refusal("[[[[1]]]]", {3, 100});
    CHECK(e.status == BLN_E_DEPTH);
    CHECK(e.pointer == "/0/0/0");
    CHECK(e.byte == 3);
    CHECK(refusal("[1,2]", {64, 4}).status == BLN_E_SIZE);
    CHECK(refusal("[1,2]", {64, 5}).status == BLN_OK);
    // Hundred thousand levels neither crash nor pass, whatever the limits say.
    CHECK(refusal(std::string(100000, '['), {0xFFFFFFFFU, 1U << 20U}).status == BLN_E_DEPTH);
}

TEST_CASE("a key that stands twice is found among many") {
    std::string text = "{";
    for (int i = 0; i < 5000; ++i) text += "\"k" + std::to_string(i) + "\":{\"x\":1,\"y\":2},";
    CHECK(refusal(text + "\"z\":1}").status == BLN_OK);
    for (const char* twice : {"k0", "k15", "k16", "k4999"}) {
        const ErrorItem e = refusal(text + "\"" + twice + "\":1}");
        CHECK(e.status == BLN_E_DUPLICATE);
        CHECK(e.pointer == std::string("/") + twice);
        CHECK(e.byte == text.size());
    }
}

TEST_CASE("numbers are converted exactly") {
    const auto integer = [](std::string_view t) {
        std::int64_t v = 77;
        return json_integer(t, v) ? std::to_string(v) : std::string(json_whole(t) ? "too big" : "not whole");
    };
    CHECK(integer("9223372036854775807") == "9223372036854775807");
    CHECK(integer("-9223372036854775808") == "-9223372036854775808");
    CHECK(integer("9223372036854775808") == "too big");
    CHECK(integer("9223372036854775807.000") == "9223372036854775807");
    CHECK(integer("922337203685477580.7e1") == "9223372036854775807");
    CHECK(integer("70e-1") == "7");
    CHECK(integer("75e-1") == "not whole");
    CHECK(integer("0.0007e4") == "7");
    CHECK(integer("0.00075e4") == "not whole");
    CHECK(integer("-0.0e99999999999999999999") == "0");
    CHECK(integer("1e18") == "1000000000000000000");
    CHECK(integer("1e19") == "too big");
    CHECK(integer("1e-9999999999999999999999") == "not whole");
    double v = 0;
    CHECK(json_real("0.1", v));
    CHECK(v == 0.1);
    CHECK(json_real("-1e-999", v));
    CHECK((v == 0 && std::signbit(v)));
    CHECK(json_real("5e-324", v));
    CHECK(v == std::numeric_limits<double>::denorm_min());
    CHECK_FALSE(json_real("1e309", v));
    CHECK_FALSE(json_real("-" + std::string(400, '9'), v));
}

TEST_CASE("trees compare by value") {
    const auto same = [](const char* a, const char* b) { return equal(parse_json(a).root, parse_json(b).root); };
    CHECK(same("{\"a\":1,\"b\":[1e2]}", "{\"b\":[100.0],\"a\":1.0}"));
    CHECK_FALSE(same("[9007199254740993]", "[9007199254740992]"));
    CHECK_FALSE(same("{\"a\":1}", "{\"a\":1,\"b\":1}"));
    CHECK_FALSE(same("[1,2]", "[2,1]"));
    CHECK_FALSE(same("[\"1\"]", "[1]"));
    Json o = Json::of_object();
    o.set("x", Json::of_integer(1));
    o.set("y", Json::of_number(0.25));
    o.set("x", Json::of_string("\x01\"\\"));
    CHECK(to_json(o) == "{\"x\":\"\\u0001\\\"\\\\\",\"y\":0.25}");
}
