// Runs every case folder through the public header. Format: tests/cases/README.md.
#include "cases.hpp"

#include <algorithm>
#include <fstream>
#include <map>
#include <set>
#include <sstream>

namespace cases {
namespace {

/// One line for each kind of job.
const std::map<std::string, Job>& jobs() {
    static const std::map<std::string, Job> all{{"check", check_job}};
    return all;
}

/// Number of cases of each family. A case that vanishes, or is not found, is noticed here.
const std::map<std::string, std::size_t>& counts() {
    static const std::map<std::string, std::size_t> all{{"rules", 154}};
    return all;
}

/// Families with a runner of their own, which counts them itself: cases_<family>.cpp.
const std::set<std::string>& run_elsewhere() {
    static const std::set<std::string> all{"accuracy", "apportion",  "demand",     "energy", "expected",
                                           "faults",   "live",       "phase_test", "plan",   "power",
                                           "proof",    "quantities", "refuse",     "trace"};
    return all;
}

const std::filesystem::path& root() {
    static const std::filesystem::path path = std::filesystem::path(BLN_TESTS_DIR) / "cases";
    return path;
}

std::vector<std::filesystem::path> folders(const std::filesystem::path& in) {
    std::vector<std::filesystem::path> out;
    for (const auto& entry : std::filesystem::directory_iterator(in))
        if (entry.is_directory()) out.push_back(entry.path());
    std::sort(out.begin(), out.end());
    return out;
}

Case read(const std::filesystem::path& folder) {
    Case c;
    c.folder = folder;
    c.name = folder.parent_path().filename().string() + "/" + folder.filename().string();
    REQUIRE(std::filesystem::exists(folder / "case.json"));
    // The reader of the tests is not the reader under test; it refuses what is no JSON.
    c.json = Json::parse(bytes_of(folder / "case.json"));
    REQUIRE(c.json.is_object());
    return c;
}

void run(const Case& c) {
    INFO(c.name);
    REQUIRE(c.json.contains("job"));
    REQUIRE(!c.json.value("about", "").empty());
    REQUIRE(c.json.contains("origin"));
    keys(c.json.at("origin"), {"kind", "where"}, {});
    const std::set<std::string> origins{"standard", "published", "derivation", "hand"};
    CHECK(origins.count(c.json.at("origin").at("kind").get<std::string>()) == 1);
    CHECK(!c.json.at("origin").at("where").get<std::string>().empty());
    const auto job = jobs().find(c.json.at("job").get<std::string>());
    REQUIRE(job != jobs().end());
    job->second(c);
}

}  // namespace

std::string bytes_of(const std::filesystem::path& path) {
    std::ifstream in(path, std::ios::binary);
    REQUIRE(in);
    std::ostringstream out;
    out << in.rdbuf();
    return out.str();
}

std::string Case::file(const std::string& name_of) const { return bytes_of(folder / name_of); }

void keys(const Json& object, std::initializer_list<std::string_view> required,
          std::initializer_list<std::string_view> allowed) {
    REQUIRE(object.is_object());
    for (const std::string_view key : required) {
        INFO("key " << key << " is required");
        REQUIRE(object.contains(key));
    }
    for (const auto& item : object.items()) {
        INFO("key " << item.key() << " is unknown");
        const bool known = std::find(required.begin(), required.end(), item.key()) != required.end() ||
                           std::find(allowed.begin(), allowed.end(), item.key()) != allowed.end();
        REQUIRE(known);
    }
}

void ok(bln_status status, bln_error* error) {
    const Held<bln_error> held(error);
    if (status != BLN_OK) FAIL(bln_status_name(status) << ": " << (error ? bln_error_message(error, 0) : ""));
}

std::string taken(bln_text* text) {
    std::string out(bln_text_data(text), bln_text_size(text));
    bln_text_free(text);
    return out;
}

}  // namespace cases

TEST_CASE("cases: every folder, and as many as there should be") {
    std::map<std::string, std::size_t> found;
    for (const auto& family : cases::folders(cases::root())) {
        const std::string name = family.filename().string();
        if (cases::run_elsewhere().count(name) == 1) continue;
        for (const auto& folder : cases::folders(family)) {
            ++found[name];
            cases::run(cases::read(folder));
        }
    }
    CHECK(found == cases::counts());
}

TEST_CASE("cases: every rule has a case that raises it and one that just does not") {
    cases::Held<bln_site> site;
    cases::Held<bln_view> view;
    cases::Held<bln_report> report;
    const std::string empty = R"({"blondel":"1"})";
    bln_site* s = nullptr;
    REQUIRE(bln_site_read(empty.data(), empty.size(), nullptr, &s, nullptr) == BLN_OK);
    site.reset(s);
    bln_view* v = nullptr;
    REQUIRE(bln_view_new(s, BLN_END_OF_TIME, BLN_END_OF_TIME, &v, nullptr) == BLN_OK);
    view.reset(v);
    bln_report* r = nullptr;
    REQUIRE(bln_check(v, nullptr, nullptr, nullptr, &r, nullptr) == BLN_OK);
    report.reset(r);
    bln_text* text = nullptr;
    REQUIRE(bln_report_json(r, &text, nullptr) == BLN_OK);
    const cases::Json json = cases::Json::parse(cases::taken(text));
    REQUIRE(json.at("coverage").size() >= 13);
    for (const auto& row : json.at("coverage")) {
        const std::string code = row.at("code");
        INFO(code);
        const auto at = cases::root() / "rules" / code;
        REQUIRE(std::filesystem::exists(at / "case.json"));
        const cases::Case c = cases::read(at);
        bool raises = false;
        for (const auto& f : c.json.at("expect").at("findings")) raises |= f.at("code") == code;
        CHECK(raises);
        std::size_t spared = 0;
        for (const auto& folder : cases::folders(cases::root() / "rules")) {
            if (folder.filename().string().rfind(code + "--", 0) != 0) continue;
            const cases::Case near = cases::read(folder);
            bool near_raises = false;
            for (const auto& f : near.json.at("expect").at("findings")) near_raises |= f.at("code") == code;
            spared += near_raises ? 0U : 1U;
        }
        CHECK(spared >= 1);
    }
}
