// Published feeder solutions through the form. The data are open but not part of this repository: the folder
// that holds them is named by BLONDEL_DATA.
#include <blondel/blondel.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <complex>
#include <cstdlib>
#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

namespace {

using Complex = std::complex<double>;
using Rows = std::vector<std::map<std::string, std::string>>;

Rows table(const std::string& path) {
    std::ifstream in(path);
    INFO(path);
    REQUIRE(in);
    const auto split = [](const std::string& line) {
        std::vector<std::string> out;
        std::stringstream s(line);
        for (std::string cell; std::getline(s, cell, ',');) {
            while (!cell.empty() && cell.back() == '\r') cell.pop_back();
            out.push_back(cell);
        }
        return out;
    };
    Rows rows;
    std::string line;
    std::getline(in, line);
    const auto head = split(line);
    while (std::getline(in, line)) {
        const auto cells = split(line);
        std::map<std::string, std::string> row;
        for (std::size_t i = 0; i < head.size() && i < cells.size(); ++i) row[head[i]] = cells[i];
        rows.push_back(std::move(row));
    }
    return rows;
}
double number(const std::map<std::string, std::string>& row, const std::string& key) {
    INFO(key);
    REQUIRE(row.count(key) == 1);
    return std::stod(row.at(key));
}
Complex degrees(double magnitude, double angle) { return std::polar(magnitude, angle * M_PI / 180); }

std::string data() {
    const char* folder = std::getenv("BLONDEL_DATA");
    if (folder == nullptr) WARN("skipped: BLONDEL_DATA not set");
    return folder == nullptr ? std::string() : std::string(folder);
}

struct Power {
    Complex registered, truth;
    std::vector<Complex> elements;
};

/// One snapshot through an arrangement: @p volts against the neutral for A, B, C; @p amps by conductor, with the
/// last of every load left to the others where @p amps says NAN.
Power evaluate(bln_arrangement* a, const std::vector<Complex>& volts, const std::vector<Complex>& amps) {
    bln_form* form = nullptr;
    REQUIRE(bln_form_of_arrangement(a, &form, nullptr) == BLN_OK);
    int32_t exact = 0;
    REQUIRE(bln_form_exact(form, &exact, nullptr) == BLN_OK);
    CHECK(exact == 1);
    std::vector<double> v(2 * BLN_TERMINAL_COUNT), i;
    for (std::size_t t = 0; t < volts.size(); ++t) v[2 * t] = volts[t].real(), v[2 * t + 1] = volts[t].imag();
    for (const Complex& z : amps) i.push_back(z.real()), i.push_back(z.imag());
    const auto column = [](const double& x) {
        return bln_column{std::isnan(x) ? nullptr : &x, 8, nullptr, BLN_TYPE_F64, 0};
    };
    std::vector<bln_column> vc, ic;
    for (const double& x : v) vc.push_back(column(x));
    for (const double& x : i) ic.push_back(column(x));
    const std::size_t n = bln_form_element_count(form);
    REQUIRE(bln_form_conductor_count(form) == amps.size());
    std::vector<double> out(4 + 2 * n);
    std::vector<bln_out_column> oc;
    for (double& x : out) oc.push_back({&x, 8, nullptr, BLN_TYPE_F64, 0});
    REQUIRE(bln_form_evaluate(form, 1, vc.data(), ic.data(), oc.data(), oc.data() + 2, oc.data() + 4, nullptr) ==
            BLN_OK);
    bln_form_free(form);
    Power p{{out[0], out[1]}, {out[2], out[3]}, {}};
    for (std::size_t e = 0; e < n; ++e) p.elements.emplace_back(out[4 + 2 * e], out[5 + 2 * e]);
    return p;
}

struct Arrangement {
    bln_arrangement* a = nullptr;
    explicit Arrangement(const char* service) { REQUIRE(bln_arrangement_new(service, &a, nullptr) == BLN_OK); }
    ~Arrangement() { bln_arrangement_free(a); }
    Arrangement(const Arrangement&) = delete;
    Arrangement& operator=(const Arrangement&) = delete;
    void load(const char* conductors) const { REQUIRE(bln_arrangement_load(a, conductors, nullptr) == BLN_OK); }
    void use(const char* name) const { REQUIRE(bln_arrangement_use(a, name, nullptr) == BLN_OK); }
};
const Complex rest(NAN, NAN);

}  // namespace

TEST_CASE("four-wire delta feeder: three elements give the sum of the loads") {
    const std::string folder = data();
    if (folder.empty()) return;
    std::map<std::string, Complex> d;
    for (const auto& row : table(folder + "/ieee_4wire_delta/published_phasors.csv"))
        d[row.at("symbol")] = degrees(number(row, "magnitude"), number(row, "angle_deg"));
    // The neutral taps the winding a-b, so that c is the high leg.
    const std::vector<Complex> volts{d.at("VLan"), -d.at("VLnb"), -d.at("VLnb") - d.at("VLbc")};
    CHECK(std::abs(volts[2]) == Approx(std::sqrt(3.0) * 116.3).epsilon(0.02));
    Arrangement three("high_leg_delta");
    REQUIRE(bln_arrangement_set(three.a, "high_leg", "C", nullptr) == BLN_OK);
    three.load("ABCN");
    three.use("line_to_neutral");
    const Power p = evaluate(three.a, volts, {d.at("Ia"), d.at("Ib"), d.at("Ic"), rest});
    // Single-phase loads as stated: 3 kVA at 0.95 (a-n), 5 kVA at 0.85 (n-b), 10 kVA at 0.90 (a-b). The motor by
    // two elements with a as common: its printed current IMa does not close the sum of its three currents.
    Complex loads;
    for (const auto& [va, pf] : {std::pair(3000, 0.95), std::pair(5000, 0.85), std::pair(10000, 0.9)})
        loads += Complex(va * pf, va * std::sqrt(1 - pf * pf));
    loads += (volts[1] - volts[0]) * std::conj(d.at("IMb")) + (volts[2] - volts[0]) * std::conj(d.at("IMc"));
    CHECK(p.registered.real() == Approx(loads.real()).margin(10));  // printed to 0.01 A and 0.01 degrees
    CHECK(p.registered.imag() == Approx(loads.imag()).margin(10));
    CHECK(std::abs(p.registered - p.truth) < 1e-6);
}

TEST_CASE("low-voltage feeder with 55 single-phase customers") {
    const std::string folder = data();
    if (folder.empty()) return;
    const std::string at = folder + "/ieee_european_lv/";
    std::map<std::string, std::map<std::string, std::string>> currents, voltages, powers;
    for (const auto& row : table(at + "snapshot_offpeak_1min_currents.csv")) currents[row.at("Element")] = row;
    for (const auto& row : table(at + "snapshot_offpeak_1min_voltages_load_buses.csv")) voltages[row.at("Bus")] = row;
    for (const auto& row : table(at + "snapshot_offpeak_1min_powers.csv"))
        if (powers.count(row.at("Element")) == 0) powers[row.at("Element")] = row;
    const auto profile = table(at + "load_profiles_1min_kW.csv").front();
    const Rows loads = table(at + "loads.csv");
    REQUIRE(loads.size() == 55);

    // Every customer: one element, voltage to neutral at its own bus.
    double demand = 0;
    Complex sum;
    for (const auto& row : loads) {
        const std::size_t phase = row.at("phase")[0] - std::size_t{'A'};
        const auto& bus = voltages.at(row.at("bus"));
        const std::string n = std::to_string(phase + 1);
        std::vector<Complex> volts(3);
        volts[phase] = degrees(number(bus, "Magnitude" + n), number(bus, "Angle" + n));
        const auto& load = currents.at("Load." + row.at("name"));
        Arrangement one("four_wire_wye");
        one.load((row.at("phase") + "N").c_str());
        one.use("line_to_neutral");
        const double watts = 1000 * number(profile, row.at("name"));
        const Power p = evaluate(one.a, volts, {degrees(number(load, "I1_1"), number(load, "Ang1_1")), rest});
        CHECK(p.registered.real() == Approx(watts).epsilon(1e-3));
        demand += watts;
        sum += p.registered;
    }
    CHECK(sum.real() == Approx(demand).epsilon(2e-4));
    CHECK(sum.imag() == Approx(demand * std::tan(std::acos(0.95))).epsilon(1e-3));

    // The feeder head: three elements give the sum of the loads and the losses of the cable.
    const auto& head = currents.at("Line.LINE1");
    const auto& bus = voltages.at("1");
    std::vector<Complex> volts, amps;
    for (const char* n : {"1", "2", "3"}) {
        volts.push_back(degrees(number(bus, std::string("Magnitude") + n), number(bus, std::string("Angle") + n)));
        amps.push_back(degrees(number(head, std::string("I1_") + n), number(head, std::string("Ang1_") + n)));
    }
    amps.push_back(rest);
    Arrangement three("four_wire_wye");
    three.load("ABCN");
    three.use("line_to_neutral");
    const Power p = evaluate(three.a, volts, amps);
    CHECK(p.registered.real() == Approx(sum.real()).epsilon(1e-3));
    CHECK(p.registered.real() > sum.real());
    CHECK(p.registered.real() == Approx(1000 * number(powers.at("Line.LINE1"), "P(kW)")).margin(50));
    CHECK(p.registered.imag() == Approx(1000 * number(powers.at("Line.LINE1"), "Q(kvar)")).margin(50));
}

TEST_CASE("four-node feeders: each element gives the power of its phase") {
    const std::string folder = data();
    if (folder.empty()) return;
    const std::string at = folder + "/ieee_feeders/ieee4_balanced_grYgrY_sdpf_";
    std::map<std::string, std::map<std::string, std::string>> volts_at;
    for (const auto& row : table(at + "volts_phase.csv")) volts_at[row.at("id")] = row;
    const Rows currents = table(at + "current_flow.csv"), powers = table(at + "power_flow.csv");
    REQUIRE(currents.size() == powers.size());
    for (std::size_t i = 0; i < currents.size(); ++i) {
        const auto& bus = volts_at.at(currents[i].at("to"));
        std::vector<Complex> volts, amps;
        for (int k = 0; k < 3; ++k) {
            const std::string letter(1, static_cast<char>('A' + k)), ph = "ph" + std::to_string(k + 1);
            volts.push_back(degrees(number(bus, "volt_" + letter), number(bus, "deg_" + letter)));
            amps.push_back(degrees(number(currents[i], "amp_out_I_" + ph), number(currents[i], "deg_out_I_" + ph)));
        }
        amps.push_back(rest);
        Arrangement three("four_wire_wye");
        three.load("ABCN");
        three.use("line_to_neutral");
        const Power p = evaluate(three.a, volts, amps);
        double watts = 0;
        for (std::size_t k = 0; k < 3; ++k) {
            const std::string ph = "ph" + std::to_string(k + 1);
            // Angles are printed to 0.01 degrees: 2e-4 of the apparent power.
            const double margin = 3e-4 * std::abs(p.elements[k]);
            CHECK(p.elements[k].real() == Approx(1000 * number(powers[i], "kW_out_" + ph)).margin(margin));
            CHECK(p.elements[k].imag() == Approx(1000 * number(powers[i], "kVAr_out_" + ph)).margin(margin));
            watts += 1000 * number(powers[i], "kW_out_" + ph);
        }
        CHECK(p.registered.real() == Approx(watts).epsilon(3e-4));
    }

    std::map<std::string, std::vector<std::map<std::string, std::string>>> cases;
    for (const auto& row : table(folder + "/ieee_feeders/ieee4_open_wye_open_delta_opendss_branch_LINE2_at_N3.csv"))
        cases[row.at("case")].push_back(row);
    REQUIRE(cases.size() == 2);
    for (const auto& [name, rows] : cases) {
        INFO(name);
        REQUIRE(rows.size() == 3);
        std::vector<Complex> volts, amps;
        Complex sum;
        for (const auto& row : rows) {
            volts.push_back(std::polar(number(row, "V"), number(row, "V_angle_rad")));
            amps.push_back(std::polar(number(row, "I"), number(row, "I_angle_rad")));
            sum += 1000.0 * Complex(number(row, "kW"), number(row, "kvar"));
        }
        amps.push_back(rest);
        Arrangement three("four_wire_wye");
        three.load("ABCN");
        three.use("line_to_neutral");
        const Power p = evaluate(three.a, volts, amps);
        CHECK(std::abs(p.registered - sum) < 3e-4 * std::abs(sum));
    }
}
