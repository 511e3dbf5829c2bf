// The suites that others publish for JSON Patch and canonical JSON, from the folder BLONDEL_DATA.
#include <catch2/catch.hpp>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "site/canonical.hpp"
#include "site/json_patch.hpp"

using namespace bln;

namespace {

const char* data_folder() {
    const char* data = std::getenv("BLONDEL_DATA");
    if (data == nullptr) WARN("skipped: BLONDEL_DATA not set");
    return data;
}

/// One file of an archive.
std::string unpacked(const std::string& archive, const std::string& name) {
    const std::string command = "tar -xzOf '" + archive + "' " + name;
    std::FILE* pipe = popen(command.c_str(), "r");
    REQUIRE(pipe != nullptr);
    std::string text;
    for (int c = std::fgetc(pipe); c != EOF; c = std::fgetc(pipe)) text += static_cast<char>(c);
    REQUIRE(pclose(pipe) == 0);
    return text;
}

std::string outcome(const Json& row) {
    try {
        const std::string text = to_json(*row.find("patch"));
        if (row.find("patch")->items.size() == 1 && row.find("patch")->items[0].find("second op") != nullptr)
            return "refused";  // as told_apart() has checked
        const Json result = patched(*row.find("doc"), parse_json(text));
        const Json* expected = row.find("expected");
        if (expected == nullptr) return row.find("error") == nullptr ? "applied" : "accepted";
        return equal(result, *expected) ? "applied" : "another result: " + to_json(result);
    } catch (const Failure& f) {
        const bln_status status = f.items().front().status;
        if (status != BLN_E_PATCH && status != BLN_E_PATCH_TEST) return f.what();
        return row.find("error") == nullptr ? std::string("refused: ") + f.what() : "refused";
    }
}

/// Every case, those that the suite marks as disabled included: all of them are within the RFC.
std::size_t run_suite(const std::string& text) {
    std::size_t cases = 0;
    const JsonDocument suite = parse_json(text);
    REQUIRE(suite.root.is_array());
    for (const Json& row : suite.root.items) {
        if (row.find("patch") == nullptr) continue;
        INFO(to_json(row));
        ++cases;
        CHECK(outcome(row) == (row.find("error") == nullptr ? "applied" : "refused"));
    }
    return cases;
}

/// Each file has one case about an operation that repeats "op". The parser refuses it, and with it the
/// file; so this checks the refusal and gives back the file with the second "op" under another name.
std::string told_apart(std::string text) {
    try {
        (void)parse_json(text);
        FAIL("a repeated key was accepted");
    } catch (const Failure& f) {
        const ErrorItem& item = f.items().front();
        CHECK(item.status == BLN_E_DUPLICATE);
        REQUIRE(text.substr(item.byte, 4) == "\"op\"");
        text.replace(item.byte, 4, "\"second op\"");
    }
    return text;
}

}  // namespace

// json-patch/json-patch-tests @ 2a928f90, Apache-2.0.
TEST_CASE("the published JSON Patch suite") {
    const char* data = data_folder();
    if (data == nullptr) return;
    const std::string archive = std::string(data) + "/suites/json-patch-tests.tar.gz";
    CHECK(run_suite(told_apart(unpacked(archive, "tests.json"))) == 95);
    CHECK(run_suite(told_apart(unpacked(archive, "spec_tests.json"))) == 17);
}

// cyberphone/json-canonicalization @ 19d51d7f, Apache-2.0: input, and the expected bytes.
TEST_CASE("the published canonical JSON suite") {
    const char* data = data_folder();
    if (data == nullptr) return;
    const std::string archive = std::string(data) + "/suites/jcs_testdata.tar.gz";
    for (const std::string name : {"arrays", "french", "structures", "unicode", "values", "weird"}) {
        INFO(name);
        const std::string input = unpacked(archive, "testdata/input/" + name + ".json");
        CHECK(canonical(parse_json(input).root) == unpacked(archive, "testdata/output/" + name + ".json"));
    }
}
