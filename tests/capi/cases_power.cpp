// Published worked examples through the form; the format is described in tests/cases/power/README.md.
#include <blondel/blondel.h>
#include <rapidjson/document.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <complex>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <set>
#include <string>
#include <vector>

namespace {

using Complex = std::complex<double>;
using Node = rapidjson::Value;
constexpr std::size_t case_count = 110;
constexpr char letters[] = "ABCNG";

std::size_t terminal(char letter) {
    const std::string all = letters;
    REQUIRE(all.find(letter) != std::string::npos);
    return all.find(letter);
}
Complex polar(const Node& pair) {
    REQUIRE(pair.IsArray());
    REQUIRE(pair.Size() == 2);
    return std::polar(pair[0].GetDouble(), pair[1].GetDouble() * M_PI / 180);
}
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
std::size_t compare(const Node& expected, double got) {
    REQUIRE(expected.IsArray());
    REQUIRE(expected.Size() == 2);
    CHECK(std::abs(got - expected[0].GetDouble()) <= expected[1].GetDouble());
    return 1;
}

struct Case {
    std::string load;
    std::map<char, Complex> volts, amps;
    bln_form* form = nullptr;
    Case() = default;
    Case(const Case&) = delete;
    Case& operator=(const Case&) = delete;
    ~Case() { bln_form_free(form); }

    [[nodiscard]] Complex between(const std::string& pair) const {
        REQUIRE(pair.size() == 3);
        REQUIRE(pair[1] == '-');
        const auto at = [&](char c) { return volts.count(c) != 0 ? volts.at(c) : Complex{}; };
        return at(pair[0]) - at(pair[2]);
    }
};

void build(const Node& root, Case& c) {
    bln_arrangement* a = nullptr;
    only(root["service"], {"kind"}, {"rotation", "legs", "high_leg", "grounded_phase"});
    REQUIRE(bln_arrangement_new(root["service"]["kind"].GetString(), &a, nullptr) == BLN_OK);
    for (const auto& member : root["service"].GetObject())
        if (member.name != "kind")
            REQUIRE(bln_arrangement_set(a, member.name.GetString(), member.value.GetString(), nullptr) == BLN_OK);
    c.load = root["load"].GetString();
    REQUIRE(bln_arrangement_load(a, c.load.c_str(), nullptr) == BLN_OK);
    REQUIRE(root.HasMember("arrangement") != root.HasMember("elements"));
    if (root.HasMember("arrangement")) {
        REQUIRE(bln_arrangement_use(a, root["arrangement"].GetString(), nullptr) == BLN_OK);
    } else {
        for (const Node& e : root["elements"].GetArray()) {
            only(e, {"volts", "amps"}, {});
            const std::string pair = e["volts"].GetString();
            int64_t volts[BLN_TERMINAL_COUNT] = {};
            volts[terminal(pair.at(0))] += 1;
            volts[terminal(pair.at(2))] -= 1;
            std::vector<int64_t> amps(c.load.size());
            for (const auto& turns : e["amps"].GetObject())
                amps.at(c.load.find(turns.name.GetString())) = turns.value.GetInt64();
            REQUIRE(bln_arrangement_element(a, volts, nullptr, amps.data(), nullptr, amps.size(), 1, 1, nullptr) ==
                    BLN_OK);
        }
    }
    REQUIRE(bln_form_of_arrangement(a, &c.form, nullptr) == BLN_OK);
    bln_arrangement_free(a);
}

Complex current(const Node& draw, Complex v) {
    if (draw.HasMember("ohms")) {
        only(draw, {"between", "ohms"}, {});
        return v / Complex(draw["ohms"][0].GetDouble(), draw["ohms"][1].GetDouble());
    }
    if (draw.HasMember("amps")) {
        only(draw, {"between", "amps"}, {});
        return polar(draw["amps"]);
    }
    const double p = draw["watts"].GetDouble();
    if (draw.HasMember("vars")) {
        only(draw, {"between", "watts", "vars"}, {});
        return std::conj(Complex(p, draw["vars"].GetDouble()) / v);
    }
    only(draw, {"between", "watts", "power_factor", "sense"}, {});
    const std::string sense = draw["sense"].GetString();
    REQUIRE((sense == "lagging" || sense == "leading"));
    const double q = p * std::tan(std::acos(draw["power_factor"].GetDouble()));
    return std::conj(Complex(p, sense == "lagging" ? q : -q) / v);
}

void run(const std::filesystem::path& file) {
    INFO(file.string());
    std::ifstream in(file, std::ios::binary);
    const std::string text{std::istreambuf_iterator<char>(in), {}};
    rapidjson::Document root;
    root.Parse(text.c_str());
    REQUIRE_FALSE(root.HasParseError());
    only(root,
         {"job", "id", "title", "source", "provenance", "published_inputs", "service", "load", "volts", "draws",
          "expected"},
         {"notes", "arrangement", "elements"});
    REQUIRE(root["job"] == "form-evaluate");
    const std::set<std::string> origins{"published: seen", "published: from memory", "common practice, no source"};
    REQUIRE(origins.count(root["provenance"].GetString()) == 1);
    REQUIRE(root["source"].GetStringLength() > 10);
    Case c;
    build(root, c);
    for (const auto& v : root["volts"].GetObject()) c.volts[v.name.GetString()[0]] = polar(v.value);
    for (const char k : c.load) c.amps[k] = 0;
    for (const Node& draw : root["draws"].GetArray()) {
        const std::string pair = draw["between"].GetString();
        const Complex i = current(draw, c.between(pair));
        REQUIRE(c.amps.count(pair.at(0)) == 1);
        REQUIRE(c.amps.count(pair.at(2)) == 1);
        c.amps[pair[0]] += i;
        c.amps[pair[2]] -= i;
    }

    // One row of columns.
    double volts[2 * BLN_TERMINAL_COUNT] = {};
    std::vector<double> amps;
    std::vector<bln_column> volt_columns, amp_columns;
    for (const auto& [letter, v] : c.volts) {
        volts[2 * terminal(letter)] = v.real();
        volts[2 * terminal(letter) + 1] = v.imag();
    }
    double scale = 0;
    for (const char k : c.load) {
        amps.push_back(c.amps[k].real());
        amps.push_back(c.amps[k].imag());
        scale += std::abs(c.amps[k]) * (c.volts.count(k) != 0 ? std::abs(c.volts[k]) : 0);
    }
    for (const double& x : volts) volt_columns.push_back({&x, 8, nullptr, BLN_TYPE_F64, 0});
    for (const double& x : amps) amp_columns.push_back({&x, 8, nullptr, BLN_TYPE_F64, 0});
    const std::size_t n = bln_form_element_count(c.form);
    std::vector<double> out(4 + 2 * n);
    std::vector<bln_out_column> outs;
    for (double& x : out) outs.push_back({&x, 8, nullptr, BLN_TYPE_F64, 0});
    REQUIRE(bln_form_evaluate(c.form, 1, volt_columns.data(), amp_columns.data(), outs.data(), outs.data() + 2,
                              outs.data() + 4, nullptr) == BLN_OK);
    const Complex registered(out[0], out[1]), truth(out[2], out[3]);

    std::size_t checks = 0;
    REQUIRE(root["expected"].HasMember("exact"));
    for (const auto& member : root["expected"].GetObject()) {
        const std::string key = member.name.GetString();
        const Node& want = member.value;
        INFO(key);
        if (key == "exact") {
            int32_t exact = -1;
            REQUIRE(bln_form_exact(c.form, &exact, nullptr) == BLN_OK);
            CHECK(exact == (want.GetBool() ? 1 : 0));
            if (want.GetBool()) CHECK(std::abs(registered - truth) <= 1e-9 * scale);
        } else if (key == "fewest_elements") {
            size_t fewest = 0;
            REQUIRE(bln_form_fewest_elements(c.form, &fewest, nullptr) == BLN_OK);
            CHECK(fewest == want.GetUint64());
            ++checks;
        } else if (key == "element_watts") {
            REQUIRE(want.Size() == n);
            for (rapidjson::SizeType e = 0; e < n; ++e) checks += compare(want[e], out[4 + 2 * e]);
        } else if (key == "amps") {
            for (const auto& k : want.GetObject())
                checks += compare(k.value, std::abs(c.amps.at(k.name.GetString()[0])));
        } else if (key == "volts") {
            for (const auto& k : want.GetObject()) checks += compare(k.value, std::abs(c.between(k.name.GetString())));
        } else {
            const std::map<std::string, double> numbers{
                {"registered_watts", registered.real()},
                {"registered_vars", registered.imag()},
                {"registered_va", std::abs(registered)},
                {"true_watts", truth.real()},
                {"true_vars", truth.imag()},
                {"power_factor", truth.real() / std::abs(truth)},
                {"error_percent", 100 * std::abs(registered.real() - truth.real()) / truth.real()}};
            REQUIRE(numbers.count(key) == 1);
            checks += compare(want, numbers.at(key));
        }
    }
    REQUIRE(checks > 0);
}

}  // namespace

TEST_CASE("published examples of power in the form") {
    std::vector<std::filesystem::path> folders;
    for (const auto& entry : std::filesystem::directory_iterator(BLN_TESTS_DIR "/cases/power"))
        if (entry.is_directory()) folders.push_back(entry.path());
    std::sort(folders.begin(), folders.end());
    REQUIRE(folders.size() == case_count);
    for (const auto& folder : folders) run(folder / "case.json");
}
