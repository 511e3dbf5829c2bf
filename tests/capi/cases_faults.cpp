// Published registrations under wiring faults; the format is described in tests/cases/faults/README.md.
#include <blondel/blondel.h>
#include <rapidjson/document.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <set>
#include <string>
#include <vector>

namespace {

using Node = rapidjson::Value;
constexpr std::size_t case_count = 40;

void only(const Node& object, const std::set<std::string>& required, const std::set<std::string>& optional) {
    REQUIRE(object.IsObject());
    std::set<std::string> there;
    for (const auto& member : object.GetObject()) {
        const std::string key = member.name.GetString();
        INFO("key " << key);
        REQUIRE((required.count(key) + optional.count(key)) == 1);
        REQUIRE(there.insert(key).second);
    }
    for (const std::string& key : required) {
        INFO("missing key " << key);
        REQUIRE(there.count(key) == 1);
    }
}

int32_t number(const Node& object, const char* key) {
    if (!object.HasMember(key)) return -1;
    const Node& value = object[key];
    if (value.IsInt()) return value.GetInt();
    const std::string letters = "ABCNG", letter = value.GetString();
    REQUIRE(letter.size() == 1);
    REQUIRE(letters.find(letter) != std::string::npos);
    return static_cast<int32_t>(letters.find(letter));
}

bln_form* faulty(const Node& root) {
    bln_arrangement* a = nullptr;
    only(root["service"], {"kind"}, {"rotation", "legs", "high_leg", "grounded_phase"});
    REQUIRE(bln_arrangement_new(root["service"]["kind"].GetString(), &a, nullptr) == BLN_OK);
    for (const auto& member : root["service"].GetObject())
        if (member.name != "kind")
            REQUIRE(bln_arrangement_set(a, member.name.GetString(), member.value.GetString(), nullptr) == BLN_OK);
    REQUIRE(bln_arrangement_load(a, root["load"].GetString(), nullptr) == BLN_OK);
    REQUIRE(bln_arrangement_use(a, root["arrangement"].GetString(), nullptr) == BLN_OK);
    bln_form* form = nullptr;
    REQUIRE(bln_form_of_arrangement(a, &form, nullptr) == BLN_OK);
    bln_arrangement_free(a);
    REQUIRE(root["faults"].Size() > 0);
    for (const Node& fault : root["faults"].GetArray()) {
        only(fault, {"kind"}, {"element", "x", "y", "ratio"});
        int64_t num = 1, den = 1;
        if (fault.HasMember("ratio")) {
            const std::string ratio = fault["ratio"].GetString();
            const std::size_t slash = ratio.find('/');
            num = std::stoll(ratio.substr(0, slash));
            den = slash == std::string::npos ? 1 : std::stoll(ratio.substr(slash + 1));
        }
        bln_form* next = nullptr;
        REQUIRE(bln_form_fault(form, fault["kind"].GetString(), number(fault, "element"), number(fault, "x"),
                               number(fault, "y"), num, den, &next, nullptr) == BLN_OK);
        bln_form_free(form);
        form = next;
    }
    return form;
}

void run(const Node& root) {
    only(root, {"job", "id", "title", "source", "provenance", "service", "load", "arrangement", "faults", "expected"},
         {"notes"});
    REQUIRE(root["job"] == "form-fault");
    const std::string provenance = root["provenance"].GetString();
    REQUIRE((provenance == "published: seen" || provenance == "published: from memory" ||
             provenance == "common practice, no source"));
    REQUIRE(root["source"].GetStringLength() > 10);
    bln_form* form = faulty(root);
    const Node& expected = root["expected"];
    only(expected, {"registration", "exact"}, {"correction_factor", "correction_percent"});
    const Node& registration = expected["registration"];
    only(registration, {"angle_deg", "value", "tolerance"}, {});
    double re = 0, im = 0;
    REQUIRE(bln_form_balanced(form, -1, &re, &im, nullptr) == BLN_OK);
    const auto angles = registration["angle_deg"].GetArray();
    REQUIRE(angles.Size() > 0);
    REQUIRE(angles.Size() == registration["value"].Size());
    for (rapidjson::SizeType i = 0; i < angles.Size(); ++i)
        CHECK(std::abs(re - im * std::tan(angles[i].GetDouble() * M_PI / 180) - registration["value"][i].GetDouble()) <=
              registration["tolerance"].GetDouble());
    const double first = angles[0].GetDouble();
    double factor = 0;
    uint8_t defined = 0;
    REQUIRE(bln_correction_curve(re, im, 1, &first, &factor, &defined, nullptr) == BLN_OK);
    CHECK((defined != 0) == (std::abs(registration["value"][0].GetDouble()) > registration["tolerance"].GetDouble()));
    if (expected.HasMember("correction_factor"))
        CHECK(std::abs(factor - expected["correction_factor"][0].GetDouble()) <=
              expected["correction_factor"][1].GetDouble());
    if (expected.HasMember("correction_percent"))
        CHECK(std::abs(100 * (factor - 1) - expected["correction_percent"][0].GetDouble()) <=
              expected["correction_percent"][1].GetDouble());
    std::vector<int64_t> num(bln_form_element_count(form)), den(num.size());
    int32_t found = -1;
    REQUIRE(bln_form_realise(form, num.data(), den.data(), &found, nullptr, nullptr) == BLN_OK);
    CHECK((found == 1) == expected["exact"].GetBool());
    bln_form_free(form);
}

}  // namespace

TEST_CASE("published registrations under wiring faults") {
    std::vector<std::filesystem::path> folders;
    for (const auto& entry : std::filesystem::directory_iterator(BLN_TESTS_DIR "/cases/faults"))
        if (entry.is_directory()) folders.push_back(entry.path());
    std::sort(folders.begin(), folders.end());
    CHECK(folders.size() == case_count);
    for (const auto& folder : folders) {
        INFO(folder);
        std::ifstream file(folder / "case.json");
        REQUIRE(file.good());
        const std::string text{std::istreambuf_iterator<char>(file), {}};
        rapidjson::Document document;
        document.Parse(text.data(), text.size());
        REQUIRE_FALSE(document.HasParseError());
        run(document);
    }
}
