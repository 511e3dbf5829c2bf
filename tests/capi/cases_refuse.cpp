// The cases of tests/cases/refuse: each file is refused with exactly the errors that its case names.
#include <rapidjson/document.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <set>
#include <string>
#include <vector>

#include "blondel/blondel.h"

namespace {

namespace fs = std::filesystem;
using rapidjson::Value;

constexpr std::size_t number_of_cases = 120;

std::string bytes_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    REQUIRE(in.good());
    return {std::istreambuf_iterator<char>(in), {}};
}

/// Exactly these keys, some of which may be missing.
void check_keys(const Value& object, const std::set<std::string>& required, const std::set<std::string>& optional) {
    REQUIRE(object.IsObject());
    std::set<std::string> found;
    for (const auto& member : object.GetObject()) {
        const std::string key = member.name.GetString();
        INFO("key " << key);
        CHECK(found.insert(key).second);
        CHECK((required.count(key) == 1 || optional.count(key) == 1));
    }
    for (const std::string& key : required) {
        INFO("key " << key);
        REQUIRE(found.count(key) == 1);
    }
}

void check_errors(const Value& wanted, bln_status status, const bln_error* error) {
    REQUIRE(wanted.Size() > 0);
    CHECK(std::string(bln_status_name(status)) == wanted[0]["status"].GetString());
    CHECK(bln_error_count(error) == wanted.Size());
    for (rapidjson::SizeType i = 0; i < wanted.Size(); ++i) {
        const Value& e = wanted[i];
        check_keys(e, {"status", "pointer", "subject", "line", "column", "byte"}, {});
        INFO("error " << i << ": " << bln_error_message(error, i));
        CHECK(std::string(bln_status_name(bln_error_status(error, i))) == e["status"].GetString());
        CHECK(std::string(bln_error_pointer(error, i)) == e["pointer"].GetString());
        CHECK(std::string(bln_error_subject(error, i)) == e["subject"].GetString());
        CHECK(bln_error_line(error, i) == e["line"].GetUint64());
        CHECK(bln_error_column(error, i) == e["column"].GetUint64());
        CHECK(bln_error_byte(error, i) == e["byte"].GetUint64());
        CHECK(std::string(bln_error_message(error, i)).size() > 10);
    }
}

void run(const fs::path& folder) {
    std::set<std::string> files;
    for (const auto& entry : fs::directory_iterator(folder)) files.insert(entry.path().filename().string());
    CHECK(files == std::set<std::string>{"case.json", "site.json"});
    const std::string text = bytes_of(folder / "case.json");
    rapidjson::Document c;
    c.Parse(text.data(), text.size());
    REQUIRE_FALSE(c.HasParseError());
    check_keys(c, {"job", "about", "errors"}, {"limits"});
    CHECK(std::string(c["job"].GetString()) == "refuse");
    CHECK(c["about"].GetStringLength() > 0);

    bln_limits limits{};
    limits.size = sizeof limits;
    REQUIRE(bln_limits_default(&limits, nullptr) == BLN_OK);
    if (c.HasMember("limits")) {
        check_keys(c["limits"], {}, {"max_depth", "max_bytes"});
        if (c["limits"].HasMember("max_depth")) limits.max_depth = c["limits"]["max_depth"].GetUint();
        if (c["limits"].HasMember("max_bytes")) limits.max_bytes = c["limits"]["max_bytes"].GetUint64();
    }
    const std::string json = bytes_of(folder / "site.json");
    bln_site* site = nullptr;
    bln_error* error = nullptr;
    const bln_status status = bln_site_read(json.data(), json.size(), &limits, &site, &error);
    CHECK(site == nullptr);
    check_errors(c["errors"], status, error);
    bln_error_free(error);

    error = nullptr;
    bln_draft* draft = nullptr;
    CHECK(bln_draft_read(json.data(), json.size(), &limits, &draft, &error) == status);
    CHECK(draft == nullptr);
    check_errors(c["errors"], status, error);
    bln_error_free(error);
}

}  // namespace

TEST_CASE("cases: refuse") {
    const fs::path root = fs::path(BLN_TESTS_DIR) / "cases" / "refuse";
    std::vector<fs::path> folders;
    for (const auto& entry : fs::directory_iterator(root))
        if (entry.is_directory()) folders.push_back(entry.path());
    std::sort(folders.begin(), folders.end());
    CHECK(folders.size() == number_of_cases);
    for (const fs::path& folder : folders) {
        INFO("case " << folder.filename().string());
        run(folder);
    }
}
