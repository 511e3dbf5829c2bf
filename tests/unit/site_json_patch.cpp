#include "site/json_patch.hpp"

#include <catch2/catch.hpp>

using namespace bln;

namespace {

std::string apply(std::string_view document, std::string_view patch, const JsonLimits& limits = {}) {
    return to_json(patched(parse_json(document).root, parse_json(patch), limits));
}

ErrorItem refusal(std::string_view document, std::string_view patch, const JsonLimits& limits = {}) {
    try {
        (void)apply(document, patch, limits);
    } catch (const Failure& f) {
        return f.items().front();
    }
    ErrorItem none;
    none.status = BLN_OK;
    return none;
}

bool same_json(std::string_view a, std::string_view b) { return equal(parse_json(a).root, parse_json(b).root); }

}  // namespace

TEST_CASE("the examples of RFC 6902, appendix A") {
    struct Row {
        const char* section;
        const char* document;
        const char* patch;
        const char* result;
    };
    const Row rows[] = {
        {"A.1", R"({"foo":"bar"})", R"([{"op":"add","path":"/baz","value":"qux"}])", R"({"baz":"qux","foo":"bar"})"},
        {"A.2", R"({"foo":["bar","baz"]})", R"([{"op":"add","path":"/foo/1","value":"qux"}])",
         R"({"foo":["bar","qux","baz"]})"},
        {"A.3", R"({"baz":"qux","foo":"bar"})", R"([{"op":"remove","path":"/baz"}])", R"({"foo":"bar"})"},
        {"A.4", R"({"foo":["bar","qux","baz"]})", R"([{"op":"remove","path":"/foo/1"}])", R"({"foo":["bar","baz"]})"},
        {"A.5", R"({"baz":"qux","foo":"bar"})", R"([{"op":"replace","path":"/baz","value":"boo"}])",
         R"({"baz":"boo","foo":"bar"})"},
        {"A.6", R"({"foo":{"bar":"baz","waldo":"fred"},"qux":{"corge":"grault"}})",
         R"([{"op":"move","from":"/foo/waldo","path":"/qux/thud"}])",
         R"({"foo":{"bar":"baz"},"qux":{"corge":"grault","thud":"fred"}})"},
        {"A.7", R"({"foo":["all","grass","cows","eat"]})", R"([{"op":"move","from":"/foo/1","path":"/foo/3"}])",
         R"({"foo":["all","cows","eat","grass"]})"},
        {"A.8", R"({"baz":"qux","foo":["a",2,"c"]})",
         R"([{"op":"test","path":"/baz","value":"qux"},{"op":"test","path":"/foo/1","value":2}])",
         R"({"baz":"qux","foo":["a",2,"c"]})"},
        {"A.10", R"({"foo":"bar"})", R"([{"op":"add","path":"/child","value":{"grandchild":{}}}])",
         R"({"foo":"bar","child":{"grandchild":{}}})"},
        {"A.11", R"({"foo":"bar"})", R"([{"op":"add","path":"/baz","value":"qux","xyz":123}])",
         R"({"foo":"bar","baz":"qux"})"},
        {"A.14", R"({"/":9,"~1":10})", R"([{"op":"test","path":"/~01","value":10}])", R"({"/":9,"~1":10})"},
        {"A.16", R"({"foo":["bar"]})", R"([{"op":"add","path":"/foo/-","value":["abc","def"]}])",
         R"({"foo":["bar",["abc","def"]]})"},
    };
    for (const Row& row : rows) {
        INFO(row.section);
        CHECK(same_json(apply(row.document, row.patch), row.result));
    }
    // A.9 and A.15: a test that does not hold. A.12: no parent. A.13: op stands twice.
    CHECK(refusal(R"({"baz":"qux"})", R"([{"op":"test","path":"/baz","value":"bar"}])").status == BLN_E_PATCH_TEST);
    CHECK(refusal(R"({"/":9,"~1":10})", R"([{"op":"test","path":"/~01","value":"10"}])").status == BLN_E_PATCH_TEST);
    CHECK(refusal(R"({"foo":"bar"})", R"([{"op":"add","path":"/baz/bat","value":"qux"}])").status == BLN_E_PATCH);
    CHECK(refusal(R"({"foo":"bar"})", R"([{"op":"add","path":"/baz","value":"qux","op":"remove"}])").status ==
          BLN_E_DUPLICATE);
}

// RFC 6901, section 5: its example document and what each pointer evaluates to.
TEST_CASE("pointers lead where RFC 6901 says") {
    const char* document =
        R"({"foo":["bar","baz"],"":0,"a/b":1,"c%d":2,"e^f":3,"g|h":4,"i\\j":5,"k\"l":6," ":7,"m~n":8})";
    const std::pair<const char*, const char*> rows[] = {
        {"", document},
        {"/foo", R"(["bar","baz"])"},
        {"/foo/0", R"("bar")"},
        {"/", "0"},
        {"/a~1b", "1"},
        {"/c%d", "2"},
        {"/e^f", "3"},
        {"/g|h", "4"},
        {"/i\\\\j", "5"},
        {"/k\\\"l", "6"},
        {"/ ", "7"},
        {"/m~0n", "8"},
    };
    for (const auto& [pointer, value] : rows) {
        INFO(pointer);
        const std::string patch = std::string(R"([{"op":"test","path":")") + pointer + R"(","value":)" + value + "}]";
        CHECK(refusal(document, patch).status == BLN_OK);
    }
}

TEST_CASE("a test compares numbers by value and objects without regard to order (RFC 6902, 4.6)") {
    CHECK(refusal(R"({"a":100})", R"([{"op":"test","path":"/a","value":1e2}])").status == BLN_OK);
    CHECK(refusal(R"({"a":0.5})", R"([{"op":"test","path":"/a","value":5.0E-1}])").status == BLN_OK);
    CHECK(refusal(R"({"a":9007199254740993})", R"([{"op":"test","path":"/a","value":9007199254740992}])").status ==
          BLN_E_PATCH_TEST);
    CHECK(
        refusal(R"({"a":{"x":1,"y":[true,null]}})", R"([{"op":"test","path":"/a","value":{"y":[true,null],"x":1.0}}])")
            .status == BLN_OK);
    CHECK(refusal(R"({"a":{"x":1}})", R"([{"op":"test","path":"/a","value":{"x":1,"y":2}}])").status ==
          BLN_E_PATCH_TEST);
    CHECK(refusal(R"({"a":null})", R"([{"op":"test","path":"/a","value":false}])").status == BLN_E_PATCH_TEST);
}

TEST_CASE("a patch that cannot be carried out names the operation and the place") {
    struct Row {
        const char* document;
        const char* patch;
        bln_status status;
        const char* pointer;
    };
    const Row rows[] = {
        {"{}", R"({"op":"add"})", BLN_E_PATCH, ""},
        {"{}", "[7]", BLN_E_PATCH, "/0"},
        {"{}", R"([{"path":"/a"}])", BLN_E_PATCH, "/0"},
        {"{}", R"([{"op":3,"path":"/a"}])", BLN_E_PATCH, "/0/op"},
        {"{}", R"([{"op":"Add","path":"/a","value":1}])", BLN_E_PATCH, "/0/op"},
        {"{}", R"([{"op":"add","value":1}])", BLN_E_PATCH, "/0"},
        {"{}", R"([{"op":"add","path":"/a"}])", BLN_E_PATCH, "/0"},
        {"{}", R"([{"op":"add","path":null,"value":1}])", BLN_E_PATCH, "/0/path"},
        {"{}", R"([{"op":"add","path":"a","value":1}])", BLN_E_PATCH, "/0/path"},
        {"{}", R"([{"op":"add","path":"/a~2","value":1}])", BLN_E_PATCH, "/0/path"},
        {"{}", R"([{"op":"add","path":"/a~","value":1}])", BLN_E_PATCH, "/0/path"},
        {"{}", R"([{"op":"replace","path":"/a","value":1}])", BLN_E_PATCH, "/0/path"},
        {"{}", R"([{"op":"remove","path":""}])", BLN_E_PATCH, "/0/path"},
        {"[1]", R"([{"op":"remove","path":"/-"}])", BLN_E_PATCH, "/0/path"},
        {"[1]", R"([{"op":"add","path":"/2","value":1}])", BLN_E_PATCH, "/0/path"},
        {"[1]", R"([{"op":"add","path":"/00","value":1}])", BLN_E_PATCH, "/0/path"},
        {"[1]", R"([{"op":"add","path":"/-1","value":1}])", BLN_E_PATCH, "/0/path"},
        {"[1]", R"([{"op":"add","path":"/99999999999999999999","value":1}])", BLN_E_PATCH, "/0/path"},
        {R"({"a":1})", R"([{"op":"add","path":"/a/b","value":1}])", BLN_E_PATCH, "/0/path"},
        {R"({"a":1})", R"([{"op":"copy","from":"/b","path":"/c"}])", BLN_E_PATCH, "/0/from"},
        {R"({"a":1})", R"([{"op":"copy","path":"/c"}])", BLN_E_PATCH, "/0"},
        {R"({"a":{"b":1}})", R"([{"op":"move","from":"/a","path":"/a/b"}])", BLN_E_PATCH, "/0/from"},
        {R"({"a":1})", R"([{"op":"test","path":"/a","value":1},{"op":"test","path":"/b","value":1}])", BLN_E_PATCH_TEST,
         "/1/path"},
        {R"({"a":1})", R"([{"op":"test","path":"/a","value":2}])", BLN_E_PATCH_TEST, "/0/value"},
        {R"({"a":1})",
         R"([{"op":"add","path":"/b","value":1},{"op":"add","path":"/c","value":1},{"op":"remove","path":"/a"},{"op":"remove","path":"/a"}])",
         BLN_E_PATCH, "/3/path"},
    };
    for (const Row& row : rows) {
        INFO(row.document << "  " << row.patch);
        const ErrorItem e = refusal(row.document, row.patch);
        CHECK(e.status == row.status);
        CHECK(e.pointer == row.pointer);
        CHECK(e.line == 1);
    }
    const ErrorItem later = refusal("{}", "[\n {\"op\": \"remove\",\n  \"path\": \"/a\"}\n]");
    CHECK(later.line == 3);
    CHECK(later.column == 11);
    CHECK(later.byte == 30);
}

TEST_CASE("moving and copying") {
    CHECK(apply(R"({"a":[1,2,3]})", R"([{"op":"move","from":"/a/0","path":"/a/-"}])") == R"({"a":[2,3,1]})");
    CHECK(apply(R"({"a":1})", R"([{"op":"move","from":"/a","path":"/a"}])") == R"({"a":1})");
    CHECK(apply(R"({"a":{"b":1}})", R"([{"op":"move","from":"/a/b","path":"/a"}])") == R"({"a":1})");
    CHECK(apply(R"({"a":1})", R"([{"op":"copy","from":"","path":"/b"}])") == R"({"a":1,"b":{"a":1}})");
    CHECK(apply(R"({"a":1})", R"([{"op":"replace","path":"","value":[1.50]}])") == "[1.50]");
    CHECK(apply(R"({"a":[1,2]})", R"([{"op":"copy","from":"/a/0","path":"/a/0"}])") == R"({"a":[1,1,2]})");
}

TEST_CASE("a patch cannot blow a document up past its limits") {
    std::string doubling = "[";
    for (int i = 0; i < 60; ++i)
        doubling += std::string(i == 0 ? "" : ",") + R"({"op":"copy","from":"/a","path":"/a/-"})";
    doubling += "]";
    JsonLimits limits;
    limits.max_bytes = 1 << 20;
    const ErrorItem large = refusal(R"({"a":[]})", doubling, limits);
    CHECK(large.status == BLN_E_SIZE);
    CHECK(large.pointer == "/13/path");

    limits.max_depth = 8;
    const ErrorItem deep = refusal(R"({"a":[]})", doubling, limits);
    CHECK(deep.status == BLN_E_DEPTH);
    CHECK(deep.pointer == "/6/path");
}
