// The metering form through the public header: arrangements by hand and by name, evaluation of columns,
// refusals, overflow.
#include <blondel/blondel.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <complex>
#include <memory>
#include <random>
#include <string>
#include <vector>

namespace {

struct Free {
    void operator()(bln_arrangement* p) const { bln_arrangement_free(p); }
    void operator()(bln_form* p) const { bln_form_free(p); }
    void operator()(bln_text* p) const { bln_text_free(p); }
    void operator()(bln_error* p) const { bln_error_free(p); }
};
template <class T>
using Owned = std::unique_ptr<T, Free>;
using Complex = std::complex<double>;

Owned<bln_arrangement> begin(const char* service, const char* load) {
    bln_arrangement* a = nullptr;
    REQUIRE(bln_arrangement_new(service, &a, nullptr) == BLN_OK);
    Owned<bln_arrangement> owned(a);
    REQUIRE(bln_arrangement_load(a, load, nullptr) == BLN_OK);
    return owned;
}
Owned<bln_form> form_of(const bln_arrangement* a) {
    bln_form* f = nullptr;
    REQUIRE(bln_form_of_arrangement(a, &f, nullptr) == BLN_OK);
    return Owned<bln_form>(f);
}
Owned<bln_form> form_of(const char* service, const char* load, const char* name) {
    auto a = begin(service, load);
    REQUIRE(bln_arrangement_use(a.get(), name, nullptr) == BLN_OK);
    return form_of(a.get());
}
std::string words(const bln_form* f, int32_t what) {
    bln_text* t = nullptr;
    REQUIRE(bln_form_words(f, what, &t, nullptr) == BLN_OK);
    Owned<bln_text> owned(t);
    return bln_text_data(t);
}
int exact(const bln_form* f) {
    int32_t out = -1;
    REQUIRE(bln_form_exact(f, &out, nullptr) == BLN_OK);
    return out;
}

bln_column column(const double* data) { return {data, sizeof(double), nullptr, BLN_TYPE_F64, 0}; }
bln_out_column out_column(double* data, uint8_t* validity = nullptr) {
    return {data, sizeof(double), validity, BLN_TYPE_F64, 0};
}

/// Columns of `rows` phasors each, for `count` quantities.
struct Table {
    std::vector<std::vector<double>> data;
    std::vector<bln_column> columns;
    Table(std::size_t count, std::size_t rows) : data(2 * count, std::vector<double>(rows)) {
        for (const auto& d : data) columns.push_back(column(d.data()));
    }
    void set(std::size_t i, std::size_t row, Complex z) {
        data[2 * i][row] = z.real();
        data[2 * i + 1][row] = z.imag();
    }
};

}  // namespace

TEST_CASE("every named arrangement can be used, and has a name and a meaning") {
    REQUIRE(bln_arrangement_name_count() > 10);
    for (size_t i = 0; i < bln_arrangement_name_count(); ++i) {
        const char *name = nullptr, *doc = nullptr;
        REQUIRE(bln_arrangement_name_at(i, &name, &doc, nullptr) == BLN_OK);
        CHECK(std::string(doc).size() > 10);
        bool used = false;
        for (const char* load : {"ABN", "ABCN"}) {
            auto a = begin("high_leg_delta", load);
            used = used || bln_arrangement_use(a.get(), name, nullptr) == BLN_OK;
        }
        CHECK(used);
    }
    CHECK(bln_arrangement_name_at(1000, nullptr, nullptr, nullptr) == BLN_E_RANGE);
}

TEST_CASE("a form says in words and numbers what it proves") {
    const auto f = form_of("single_phase_three_wire", "ABN", "opposed_ct_line_to_line");
    CHECK(exact(f.get()) == 0);
    CHECK(words(f.get(), BLN_FORM_ERROR) == "−½·(V_A+V_B)·(I_A+I_B)*");
    CHECK(words(f.get(), BLN_FORM_CONDITION) == "vanishes when V_A + V_B = 0 or I_A + I_B = 0");
    CHECK(words(f.get(), BLN_FORM_REGISTERED) == "½·V_AB·(I_A−I_B)*");
    CHECK(words(f.get(), BLN_FORM_VERDICT) == "Right only as far as the voltages are nominal.");
    size_t fewest = 0, rows = 0, columns = 0;
    REQUIRE(bln_form_fewest_elements(f.get(), &fewest, nullptr) == BLN_OK);
    CHECK(fewest == 2);
    int32_t reference = -1, terminals[8];
    size_t conductors[3];
    int64_t num[8], den[8];
    REQUIRE(bln_form_residual(f.get(), &rows, &columns, &reference, terminals, conductors, num, den, 8, nullptr) ==
            BLN_OK);
    CHECK(rows == 2);
    CHECK(columns == 2);
    CHECK(reference == BLN_TERMINAL_N);
    for (int i = 0; i < 4; ++i) {
        CHECK(num[i] == -1);
        CHECK(den[i] == 2);
    }
    CHECK(bln_form_residual(f.get(), nullptr, nullptr, nullptr, nullptr, nullptr, num, den, 3, nullptr) == BLN_E_RANGE);
    uint32_t right = 0;
    REQUIRE(bln_form_nominal(f.get(), &right, nullptr, nullptr) == BLN_OK);
    CHECK(right == 0xFFFEU);
    double re = 0, im = 0;
    const auto doubled = form_of("four_wire_wye", "AB", "one_ct_doubled");
    REQUIRE(bln_form_registration(doubled.get(), 0, 1, &re, &im, nullptr) == BLN_OK);
    CHECK(re == Approx(1));
    CHECK(im == Approx(-1 / std::sqrt(3.0)));
    CHECK(bln_form_registration(doubled.get(), 0, 0, &re, &im, nullptr) == BLN_E_ABSENT);
    CHECK(bln_form_registration(doubled.get(), 0, 9, &re, &im, nullptr) == BLN_E_RANGE);
    bln_text* json = nullptr;
    REQUIRE(bln_form_json(f.get(), &json, nullptr) == BLN_OK);
    Owned<bln_text> owned(json);
    CHECK(std::string(bln_text_data(json)).find("\"matrix\":[[\"-1/2\",\"-1/2\"],[\"-1/2\",\"-1/2\"]]") !=
          std::string::npos);
}

TEST_CASE("elements by hand, weights found") {
    auto a = begin("four_wire_wye", "ABC");
    const int64_t ab[] = {1, -1, 0, 0, 0, 0, 0, 0}, cb[] = {0, -1, 1, 0, 0, 0, 0, 0};
    const int64_t ia[] = {5, 0, 0}, ic[] = {0, 0, -1};
    const int64_t over[] = {200, 1, 1};
    REQUIRE(bln_arrangement_element(a.get(), ab, nullptr, ia, over, 3, 1, 1, nullptr) == BLN_OK);
    REQUIRE(bln_arrangement_element(a.get(), cb, nullptr, ic, nullptr, 3, 1, 1, nullptr) == BLN_OK);
    const auto f = form_of(a.get());
    CHECK(exact(f.get()) == 0);
    int64_t num[2], den[2];
    int32_t found = 0, unique = 0;
    REQUIRE(bln_form_realise(f.get(), num, den, &found, &unique, nullptr) == BLN_OK);
    CHECK(found == 1);
    CHECK(unique == 1);
    CHECK(num[0] == 40);
    CHECK(den[0] == 1);
    CHECK(num[1] == -1);
    int64_t volts[8], volts_den[8], amps[3], amps_den[3], weight, weight_den;
    const char* channel = nullptr;
    REQUIRE(bln_form_element_at(f.get(), 0, volts, volts_den, amps, amps_den, &weight, &weight_den, &channel,
                                nullptr) == BLN_OK);
    CHECK(volts[1] == -1);
    CHECK(amps[0] == 1);
    CHECK(amps_den[0] == 40);
    CHECK(std::string(channel).empty());
    int32_t terminal = -1, counted = -1, pole = -1;
    size_t load = 9;
    REQUIRE(bln_form_conductor_at(f.get(), 2, &terminal, &load, &counted, nullptr, &pole, nullptr) == BLN_OK);
    CHECK(terminal == BLN_TERMINAL_C);
    CHECK(load == 0);
    CHECK(counted == 1);
    CHECK(pole == 3);
}

TEST_CASE("exact forms register the truth for any phasors, against any datum") {
    std::mt19937_64 random(20240607);
    std::uniform_real_distribution<double> any(-400, 400);
    const struct {
        const char *service, *load, *name;
    } exact_ones[] = {{"single_phase_two_wire", "AN", "line_to_neutral"},
                      {"four_wire_wye", "AB", "line_to_line"},
                      {"single_phase_three_wire", "ABN", "line_to_neutral"},
                      {"two_legs_of_wye", "ABN", "line_to_neutral"},
                      {"four_wire_wye", "ABCN", "line_to_neutral"},
                      {"high_leg_delta", "ABCN", "line_to_neutral"},
                      {"four_wire_wye", "ABC", "two_wattmeter"},
                      {"three_wire_delta", "ABC", "two_wattmeter"},
                      {"corner_grounded_delta", "ABC", "two_wattmeter"},
                      {"three_wire_delta", "ABC", "floating_common"},
                      {"four_wire_wye", "ABC", "virtual_third_current"}};
    constexpr std::size_t rows = 600;  // more than two blocks
    for (const auto& c : exact_ones) {
        const auto f = form_of(c.service, c.load, c.name);
        REQUIRE(exact(f.get()) == 1);
        const std::size_t n = bln_form_conductor_count(f.get());
        Table volts(BLN_TERMINAL_COUNT, rows), amps(n, rows);
        for (std::size_t r = 0; r < rows; ++r) {
            for (std::size_t t = 0; t < BLN_TERMINAL_COUNT; ++t) volts.set(t, r, {any(random), any(random)});
            Complex rest;
            for (std::size_t k = 0; k + 1 < n; ++k) {
                const Complex i(any(random), any(random));
                amps.set(k, r, i);
                rest -= i;
            }
            amps.set(n - 1, r, rest);
        }
        std::vector<double> p(rows), q(rows), pt(rows), qt(rows);
        const bln_out_column registered[] = {out_column(p.data()), out_column(q.data())};
        const bln_out_column truth[] = {out_column(pt.data()), out_column(qt.data())};
        REQUIRE(bln_form_evaluate(f.get(), rows, volts.columns.data(), amps.columns.data(), registered, truth, nullptr,
                                  nullptr) == BLN_OK);
        for (std::size_t r = 0; r < rows; ++r) {
            CHECK(p[r] == Approx(pt[r]).margin(1e-6));
            CHECK(q[r] == Approx(qt[r]).margin(1e-6));
        }
    }
}

TEST_CASE("exact forms register the truth sample by sample, whatever the waveform") {
    // Instantaneous power is the real part with no imaginary parts: a sample is a phasor of one number.
    const auto f = form_of("high_leg_delta", "ABCN", "line_to_neutral");
    std::mt19937_64 random(7);
    std::uniform_real_distribution<double> any(-1, 1);
    constexpr std::size_t rows = 512;
    Table volts(BLN_TERMINAL_COUNT, rows), amps(4, rows);
    double expected = 0, measured = 0;
    std::vector<double> p(rows), q(rows);
    double harmonics[7][16][2];
    for (auto& wave : harmonics)
        for (auto& h : wave) h[0] = any(random), h[1] = any(random);
    for (std::size_t r = 0; r < rows; ++r) {
        const auto wave = [&](int w) {
            double x = 0;
            for (int h = 0; h < 16; ++h)
                x += harmonics[w][h][0] * std::cos(2 * M_PI * h * static_cast<double>(r) / rows + harmonics[w][h][1]);
            return x;
        };
        double sum = 0, power = 0;
        const double neutral = 3 * wave(6);
        for (std::size_t k = 0; k < 3; ++k) {
            const double v = 170 * wave(static_cast<int>(k)), i = 20 * wave(static_cast<int>(k) + 3);
            volts.set(k, r, v);
            amps.set(k, r, i);
            sum += i;
            power += (v - neutral) * i;
        }
        volts.set(BLN_TERMINAL_N, r, neutral);
        amps.set(3, r, -sum);
        expected += power / rows;
    }
    const bln_out_column registered[] = {out_column(p.data()), out_column(q.data())};
    REQUIRE(bln_form_evaluate(f.get(), rows, volts.columns.data(), amps.columns.data(), registered, nullptr, nullptr,
                              nullptr) == BLN_OK);
    for (const double x : p) measured += x / rows;
    CHECK(measured == Approx(expected).epsilon(1e-12));
}

TEST_CASE("inexact forms miss by their residual") {
    const auto f = form_of("four_wire_wye", "ABCN", "two_and_a_half_element");
    Table volts(BLN_TERMINAL_COUNT, 1), amps(4, 1);
    const Complex va(120, 3), vb(-55, -110), vc(-60, 101), ia(7, -2), ib(4, 4), ic(-3, 8);
    volts.set(0, 0, va), volts.set(1, 0, vb), volts.set(2, 0, vc);
    amps.set(0, 0, ia), amps.set(1, 0, ib), amps.set(2, 0, ic);
    amps.columns[6].data = amps.columns[7].data = nullptr;  // what the others leave
    volts.columns[6].data = volts.columns[7].data = nullptr;
    double p = 0, q = 0, pt = 0, qt = 0;
    const bln_out_column registered[] = {out_column(&p), out_column(&q)}, truth[] = {out_column(&pt), out_column(&qt)};
    REQUIRE(bln_form_evaluate(f.get(), 1, volts.columns.data(), amps.columns.data(), registered, truth, nullptr,
                              nullptr) == BLN_OK);
    const Complex error = -(va + vb + vc) * std::conj(ib);
    CHECK(p - pt == Approx(error.real()));
    CHECK(q - qt == Approx(error.imag()));
}

TEST_CASE("absent and non-finite items make a row absent, not wrong") {
    const auto f = form_of("single_phase_two_wire", "AN", "line_to_neutral");
    Table volts(BLN_TERMINAL_COUNT, 3), amps(2, 3);
    for (std::size_t r = 0; r < 3; ++r) volts.set(0, r, 120), amps.set(0, r, 10), amps.set(1, r, -10);
    const uint8_t validity = 0b101;
    volts.columns[0].validity = &validity;
    amps.data[0][2] = NAN;
    double p[3], q[3];
    uint8_t there = 0xFF;
    const bln_out_column registered[] = {out_column(p, &there), out_column(q)};
    REQUIRE(bln_form_evaluate(f.get(), 3, volts.columns.data(), amps.columns.data(), registered, nullptr, nullptr,
                              nullptr) == BLN_OK);
    CHECK((there & 7) == 1);
    CHECK(p[0] == Approx(1200));
    CHECK(std::isnan(p[1]));
    CHECK(std::isnan(p[2]));
    volts.columns[0].data = volts.columns[1].data = nullptr;
    CHECK(bln_form_evaluate(f.get(), 3, volts.columns.data(), amps.columns.data(), registered, nullptr, nullptr,
                            nullptr) == BLN_E_ARGUMENT);
}

TEST_CASE("what an arrangement refuses leaves it as it was") {
    bln_arrangement* none = nullptr;
    CHECK(bln_arrangement_new("five_wire", &none, nullptr) == BLN_E_NAME);
    CHECK(none == nullptr);
    CHECK(bln_arrangement_new(nullptr, &none, nullptr) == BLN_E_ARGUMENT);
    auto a = begin("three_wire_delta", "ABC");
    CHECK(bln_arrangement_load(a.get(), "ABN", nullptr) == BLN_E_VALUE);
    CHECK(bln_arrangement_load(a.get(), "", nullptr) == BLN_E_VALUE);
    CHECK(bln_arrangement_set(a.get(), "rotation", "ACB", nullptr) == BLN_E_STATE);
    CHECK(bln_arrangement_use(a.get(), "line_to_neutral", nullptr) == BLN_E_VALUE);
    CHECK(bln_arrangement_use(a.get(), "no_such", nullptr) == BLN_E_NAME);
    const int64_t lone[] = {1, 0, 0, 0, 0, 0, 0, 0}, pair[] = {1, -1, 0, 0, 0, 0, 0, 0}, one[] = {1, 0, 0};
    const int64_t zero[] = {0, 1, 1};
    CHECK(bln_arrangement_element(a.get(), lone, nullptr, one, nullptr, 3, 1, 1, nullptr) == BLN_E_VALUE);
    CHECK(bln_arrangement_element(a.get(), pair, nullptr, one, nullptr, 2, 1, 1, nullptr) == BLN_E_ARGUMENT);
    CHECK(bln_arrangement_element(a.get(), pair, nullptr, one, zero, 3, 1, 1, nullptr) == BLN_E_RANGE);
    CHECK(bln_arrangement_element(a.get(), pair, nullptr, one, nullptr, 3, 1, 0, nullptr) == BLN_E_RANGE);
    int32_t terminal = 0;
    for (int i = 0; i < 3; ++i) {
        CHECK(bln_arrangement_floating(a.get(), &terminal, nullptr) == BLN_OK);
        CHECK(terminal == BLN_TERMINAL_FLOATING + i);
    }
    bln_error* err = nullptr;
    CHECK(bln_arrangement_floating(a.get(), &terminal, &err) == BLN_E_RANGE);
    Owned<bln_error> owned(err);
    CHECK(bln_error_count(err) == 1);
    const auto f = form_of(a.get());
    CHECK(bln_form_conductor_count(f.get()) == 3);
    CHECK(bln_form_element_count(f.get()) == 0);
    bln_arrangement* empty = nullptr;
    REQUIRE(bln_arrangement_new("four_wire_wye", &empty, nullptr) == BLN_OK);
    Owned<bln_arrangement> keep(empty);
    CHECK(bln_arrangement_set(empty, "rotation", "BAC", nullptr) == BLN_E_NAME);
    CHECK(bln_arrangement_set(empty, "kind", "four_wire_wye", nullptr) == BLN_E_NAME);
    CHECK(bln_arrangement_set(empty, "rotation", "ACB", nullptr) == BLN_OK);
    bln_form* form = nullptr;
    CHECK(bln_form_of_arrangement(empty, &form, nullptr) == BLN_E_STATE);
    CHECK(form == nullptr);
    CHECK(bln_form_built(nullptr) == 0);
    bln_form_free(nullptr);
}

TEST_CASE("numbers beyond 64 bits are an error, not a wrong proof") {
    auto a = begin("four_wire_wye", "ABC");
    const int64_t pair[] = {1, -1, 0, 0, 0, 0, 0, 0}, huge[] = {INT64_MAX, INT64_MIN + 1, 0};
    REQUIRE(bln_arrangement_element(a.get(), pair, nullptr, huge, nullptr, 3, 3, 1, nullptr) == BLN_OK);
    const auto f = form_of(a.get());
    int32_t out = 7;
    CHECK(bln_form_exact(f.get(), &out, nullptr) == BLN_E_OVERFLOW);
    CHECK(out == 7);
}
