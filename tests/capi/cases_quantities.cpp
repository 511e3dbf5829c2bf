// Published worked examples of quantities; the format is described in tests/cases/quantities/README.md.
#include <array>
#include <cmath>
#include <map>
#include <set>
#include <vector>

#include "cases.hpp"

namespace {

using cases::Json;
constexpr std::size_t case_count = 60;

struct Found {
    double value = 0;
    std::uint8_t why = 0;
};
using All = std::map<std::string, Found>;

bln_column column(const double* data, std::int64_t stride) { return {data, stride, nullptr, BLN_TYPE_F64, 0}; }

std::vector<bln_quantity_info> table() {
    std::vector<bln_quantity_info> rows(bln_quantity_count());
    for (std::size_t i = 0; i < rows.size(); ++i) {
        rows[i].size = sizeof rows[i];
        REQUIRE(bln_quantity_at(i, &rows[i], nullptr) == BLN_OK);
    }
    return rows;
}

std::vector<bln_quantity> numbers() {
    std::vector<bln_quantity> out;
    for (const auto& row : table()) out.push_back(row.quantity);
    return out;
}

All named(const std::vector<double>& values, const std::vector<std::uint8_t>& why) {
    All out;
    const auto rows = table();
    for (std::size_t i = 0; i < rows.size(); ++i) out[rows[i].name] = {values[i], why[i]};
    return out;
}

All of_phasors(const Json& c, std::int32_t phases, std::int32_t wires) {
    std::array<std::array<double, 2>, 6> pairs{};
    bln_phasor_columns columns{};
    columns.size = sizeof columns;
    columns.form = BLN_PHASORS_POLAR;
    for (std::size_t x = 0; x < static_cast<std::size_t>(phases); ++x) {
        pairs[x] = (phases == 1 ? c.at("volts") : c.at("volts").at(x)).get<std::array<double, 2>>();
        pairs[x + 3] = (phases == 1 ? c.at("amps") : c.at("amps").at(x)).get<std::array<double, 2>>();
        for (std::size_t part = 0; part < 2; ++part) {
            columns.v[2 * x + part] = column(&pairs[x][part], 8);
            columns.i[2 * x + part] = column(&pairs[x + 3][part], 8);
        }
    }
    const auto wanted = numbers();
    std::vector<double> values(wanted.size());
    std::vector<std::uint8_t> why(wanted.size());
    bln_error* error = nullptr;
    cases::ok(bln_quantities_of_phasors(&columns, 1, phases, wires, wanted.data(), wanted.size(), values.data(),
                                        why.data(), &error),
              error);
    return named(values, why);
}

All of_spectrum(const Json& c) {
    struct Row {
        double order, v_re, v_im, i_re, i_im;
    };
    std::vector<Row> rows;
    for (const Json& o : c.at("orders")) {
        const auto five = o.get<std::array<double, 5>>();
        const double a = five[2] * 3.14159265358979323846 / 180, b = five[4] * 3.14159265358979323846 / 180;
        rows.push_back(
            {five[0], five[1] * std::cos(a), five[1] * std::sin(a), five[3] * std::cos(b), five[3] * std::sin(b)});
    }
    const bln_spectrum spectrum{sizeof(bln_spectrum),
                                c.at("values") == "peak" ? BLN_VALUES_PEAK : BLN_VALUES_RMS,
                                rows.size(),
                                column(&rows[0].order, sizeof(Row)),
                                column(&rows[0].v_re, sizeof(Row)),
                                column(&rows[0].v_im, sizeof(Row)),
                                column(&rows[0].i_re, sizeof(Row)),
                                column(&rows[0].i_im, sizeof(Row))};
    const auto wanted = numbers();
    std::vector<double> values(wanted.size());
    std::vector<std::uint8_t> why(wanted.size());
    bln_error* error = nullptr;
    cases::ok(bln_quantities_of_spectrum(&spectrum, wanted.data(), wanted.size(), values.data(), why.data(), &error),
              error);
    return named(values, why);
}

All of_lines(const Json& c) {
    const auto v = c.at("volts").get<std::array<double, 3>>();
    All out;
    bln_error* error = nullptr;
    cases::ok(
        bln_unbalance_of_lines(v[0], v[1], v[2], &out["unbalance_line"].value, &out["unbalance_lines"].value, &error),
        error);
    return out;
}

std::uint8_t reason(const std::string& word) {
    const std::map<std::string, int> words{
        {"current", BLN_UNDEFINED_CURRENT}, {"voltage", BLN_UNDEFINED_VOLTAGE}, {"power", BLN_UNDEFINED_POWER}};
    REQUIRE(words.count(word) == 1);
    return static_cast<std::uint8_t>(words.at(word));
}

void run(const Json& c) {
    const std::string kind = c.at("kind");
    const std::map<std::string, std::vector<std::string>> own{{"channel", {"volts", "amps"}},
                                                              {"three_phase", {"wires", "volts", "amps"}},
                                                              {"spectrum", {"values", "orders"}},
                                                              {"lines", {"volts"}}};
    REQUIRE(own.count(kind) == 1);
    std::set<std::string> allowed{"job",   "id",   "title",   "source", "provenance", "published_inputs",
                                  "notes", "kind", "expected"};
    allowed.insert(own.at(kind).begin(), own.at(kind).end());
    for (const std::string& key : allowed) {
        INFO(key);
        REQUIRE(c.contains(key));
    }
    for (const auto& item : c.items()) {
        INFO(item.key());
        REQUIRE((allowed.count(item.key()) == 1 || item.key() == "undefined"));
    }
    REQUIRE(c.at("job") == "quantities");
    REQUIRE(!c.at("expected").empty());
    const All found = kind == "channel"       ? of_phasors(c, 1, 0)
                      : kind == "three_phase" ? of_phasors(c, 3, c.at("wires"))
                      : kind == "spectrum"    ? of_spectrum(c)
                                              : of_lines(c);
    for (const auto& item : c.at("expected").items()) {
        INFO(item.key());
        REQUIRE(found.count(item.key()) == 1);
        const Found f = found.at(item.key());
        CHECK(f.why == BLN_DEFINED);
        const auto wanted = item.value().get<std::array<double, 2>>();
        CHECK(std::abs(f.value - wanted[0]) <= wanted[1]);
    }
    const Json undefined = c.value("undefined", Json::object());
    for (const auto& item : undefined.items()) {
        INFO(item.key());
        CHECK(found.at(item.key()).why == reason(item.value()));
        CHECK(found.at(item.key()).value == 0);
    }
}

}  // namespace

TEST_CASE("quantities: every published case, and as many as there should be") {
    std::size_t count = 0;
    for (const auto& entry :
         std::filesystem::directory_iterator(std::filesystem::path(BLN_TESTS_DIR) / "cases/quantities")) {
        if (!entry.is_directory()) continue;
        INFO(entry.path().filename().string());
        run(Json::parse(cases::bytes_of(entry.path() / "case.json")));
        ++count;
    }
    CHECK(count == case_count);
}
