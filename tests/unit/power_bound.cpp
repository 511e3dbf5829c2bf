// Worst-case bounds, weighted geometric medians, other uses of the channels at hand.
#include "power/bound.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <random>

#include "power/arrangement.hpp"
#include "power/failure.hpp"
#include "power/nominal.hpp"
#include "power/realise.hpp"
#include "power/recompute.hpp"
#include "power/repoint.hpp"
#include "site/topology.hpp"

using namespace bln;

namespace {

Form form_of(ServiceKind kind, std::string_view load, std::string_view arrangement = {}) {
    as_of::service s;
    s.kind = kind;
    Form f(supply_of(s));
    f.add_load();
    for (std::size_t i = 0; i < load.size(); ++i) f.add_conductor(conductor_of(load.substr(i, 1)));
    if (!arrangement.empty()) add_arrangement(f, arrangement);
    return f;
}
constexpr auto wye = ServiceKind::four_wire_wye;
constexpr auto split = ServiceKind::single_phase_three_wire;
constexpr double none = std::numeric_limits<double>::infinity();
using Spread = std::array<double, terminal_count>;

Complex error_of(const Form& f, const Potentials& v, std::span<const Complex> i,
                 std::span<const Complex> weights = {}) {
    Complex sum;
    for (std::size_t e = 0; e < f.elements().size(); ++e) {
        Complex a, b;
        for (std::size_t t = 0; t < terminal_count; ++t) a += f.elements()[e].volts[t].real() * v.volts[t];
        for (std::size_t k = 0; k < i.size(); ++k) b += f.amps(e)[k].real() * i[k];
        sum += (weights.empty() ? Complex(f.elements()[e].weight.real()) : weights[e]) * a * std::conj(b);
    }
    for (std::size_t k = 0; k < i.size(); ++k) sum -= v.volts[index_of(f.conductors()[k].on)] * std::conj(i[k]);
    return sum;
}

}  // namespace

TEST_CASE("a weighted median is certified by its dual, whatever the points") {
    std::mt19937_64 random(3);
    std::uniform_real_distribution<double> unit(-1, 1);
    for (int round = 0; round < 3000; ++round) {
        const std::size_t n = 1 + random() % 9;
        std::vector<Complex> g(n), y(n);
        std::vector<double> w(n);
        for (std::size_t k = 0; k < n; ++k) {
            g[k] = {unit(random), round % 3 == 0 ? 0.0 : unit(random)};         // every third set on a line
            if (k > 0 && round % 5 == 0 && random() % 2 == 0) g[k] = g[k - 1];  // points that coincide
            w[k] = round % 7 == 0 ? 1 : std::abs(unit(random)) * (random() % 4 == 0 ? 100 : 1);
            if (random() % 9 == 0) w[k] = 0;
        }
        const Weber best = weber(g, w, y);
        Complex sum, value;
        double total = 0;
        for (std::size_t k = 0; k < n; ++k) {
            sum += y[k];
            value += g[k] * std::conj(y[k]);
            total += w[k];
            CHECK(std::abs(y[k]) <= w[k] * (1 + 1e-12));
        }
        CHECK(std::abs(sum) <= 1e-12 * (1 + total));
        CHECK(value.real() == Approx(best.attained).margin(1e-10 * (1 + total)));
        CHECK(best.attained <= best.least + 1e-12 * total);
        CHECK(best.least - best.attained <= 1e-7 * total);
    }
}

TEST_CASE("published geometry: the point of least total distance of a triangle") {
    // Fermat's point: from an angle of at least 120 degrees the vertex itself, otherwise the point that sees all sides
    // under 120 degrees; of an equilateral triangle of side 1, total distance sqrt(3). Common practice, no source.
    std::vector<Complex> y(3);
    const std::vector<double> w(3, 1.0);
    const Complex third = std::polar(1.0, M_PI / 3);
    CHECK(weber(std::vector<Complex>{0, 1, third}, w, y).least == Approx(std::sqrt(3.0)));
    const Weber wide = weber(std::vector<Complex>{0, 1, std::polar(1.0, 2.2)}, w, y);
    CHECK(std::abs(wide.median) == 0);
    CHECK(wide.least == Approx(2));
    CHECK(wide.attained == Approx(2));
}

TEST_CASE("bounds of arrangements equal their closed forms") {
    // One CT round both legs in opposite senses: error -1/2 (V_A+V_B)(I_A+I_B)*. At nominal 120 V legs nothing; when
    // each leg may stray by 2 %, at most 1/2 * (2.4 + 2.4) * (I_A + I_B).
    Form f = form_of(split, "ABN", "opposed_ct_line_to_line");
    const auto& c = f.conductors();
    Potentials at = nominal_potentials(f, 1, 120);
    Spread spread{};
    for (std::size_t k = 0; k < 2; ++k) spread[index_of(c[k].on)] = 2.4;
    const std::array<double, 3> amps{50, 30, none};
    Bound b = worst_case(f, at, spread, amps);
    CHECK(b.at_voltages == Approx(0).margin(1e-9));
    CHECK(b.from_spread == Approx(0.5 * 4.8 * 80));
    CHECK(b.attained == Approx(b.total()));
    CHECK(std::abs(error_of(f, b.volts, b.amps)) == Approx(b.attained));

    // Two wattmeters on four wires: -V_B I_Sigma*, at most V_B times the neutral's limit.
    f = form_of(wye, "ABCN", "two_wattmeter");
    at = nominal_potentials(f, 1, 120);
    b = worst_case(f, at, Spread{}, std::array<double, 4>{100, 100, 100, 25});
    CHECK(b.at_voltages == Approx(120 * 25.0));
    CHECK(b.attained == Approx(b.at_voltages));
    CHECK(worst_case(f, at, Spread{}, std::array<double, 4>{100, 100, 100, none}).at_voltages == Approx(120 * 300.0));

    // An exact form has no error under any voltages.
    f = form_of(wye, "ABCN", "line_to_neutral");
    spread.fill(50);
    b = worst_case(f, at, spread, std::array<double, 4>{100, 100, 100, none});
    CHECK(b.total() == 0);
    CHECK(b.attained == 0);
}

TEST_CASE("no admissible state exceeds a bound, and the attained one is admissible") {
    std::mt19937_64 random(11);
    std::uniform_real_distribution<double> unit(-1, 1);
    const auto phasor = [&] { return std::polar(std::sqrt(std::abs(unit(random))), 3.1416 * unit(random)); };
    for (const Arrangement& a : arrangements()) {
        std::string_view load = a.most_phases == 3 ? "ABCN" : "ABN";
        if (a.name == "floating_common" || a.name == "high_leg_two_element") continue;
        const Form f = form_of(wye, load, a.name);
        const Potentials at = nominal_potentials(f, 1, 230);
        Spread spread{};
        for (std::size_t t = 0; t < 3; ++t) spread[t] = 5 + 3 * static_cast<double>(t);
        std::vector<double> amps(load.size(), 40);
        amps[1] = 15;
        amps.back() = none;
        const Bound b = worst_case(f, at, spread, amps);
        INFO(a.name);
        CHECK(b.attained <= b.total() * (1 + 1e-9));
        CHECK(b.attained >= 0.7 * b.total() - 1e-9);
        CHECK(b.attained_at_voltages == Approx(b.at_voltages).margin(1e-6));
        CHECK(std::abs(error_of(f, b.volts, b.amps)) >= b.attained * (1 - 1e-9));
        for (std::size_t t = 0; t < 3; ++t) CHECK(std::abs(b.volts.volts[t] - at.volts[t]) <= spread[t] * (1 + 1e-9));
        for (std::size_t k = 0; k + 1 < amps.size(); ++k) CHECK(std::abs(b.amps[k]) <= amps[k] * (1 + 1e-9));
        for (int round = 0; round < 200; ++round) {
            Potentials v = at;
            for (std::size_t t = 0; t < 3; ++t) v.volts[t] += spread[t] * phasor();
            std::vector<Complex> i(load.size());
            Complex sum;
            for (std::size_t k = 0; k + 1 < i.size(); ++k) sum += i[k] = amps[k] * phasor();
            i.back() = -sum;
            CHECK(std::abs(error_of(f, v, i)) <= b.total() * (1 + 1e-12) + 1e-9);
        }
    }
}

TEST_CASE("bounds refuse what they cannot know") {
    const auto status = [](auto&& call) {
        try {
            call();
        } catch (const Failure& f) {
            return f.items().front().status;
        }
        return bln_status{BLN_OK};
    };
    const Form f = form_of(wye, "ABCN", "floating_common");
    const Potentials at = nominal_potentials(f, 1, 120);
    const std::array<double, 4> amps{1, 1, 1, 1};
    CHECK(status([&] { (void)worst_case(f, at, Spread{}, amps); }) == BLN_E_ABSENT);
    const Form g = form_of(wye, "ABCN", "two_wattmeter");
    CHECK(status([&] { (void)worst_case(g, at, Spread{}, std::array<double, 4>{1, none, 1, none}); }) == BLN_E_ABSENT);
    CHECK(status([&] { (void)worst_case(g, at, Spread{}, std::array<double, 4>{1, -1, 1, 1}); }) == BLN_E_VALUE);
    CHECK(status([&] { (void)worst_case(g, at, Spread{}, std::array<double, 4>{1, NAN, 1, 1}); }) == BLN_E_NOT_FINITE);
    CHECK(status([&] { (void)worst_case(g, at, Spread{-1}, amps); }) == BLN_E_VALUE);
    CHECK(status([&] { (void)worst_case(g, at, Spread{none}, amps); }) == BLN_E_NOT_FINITE);
    CHECK(status([&] { (void)worst_case(g, at, Spread{}, std::array<double, 3>{}); }) == BLN_E_ARGUMENT);
    CHECK(status([&] { (void)worst_case(g, Potentials{}, Spread{}, amps); }) == BLN_E_ABSENT);
}

TEST_CASE("one CT doubled on a wye: its inverse takes P from Q at nominal voltages") {
    // S = 3/4 (S_reg + j S_reg / sqrt(3)) with the CT on the leading leg: P = 3/4 (P_reg - Q_reg / sqrt(3)); derived.
    const Form f = form_of(wye, "AB", "one_ct_doubled");
    CHECK_FALSE(realise(f));
    const auto exact = recompute(f);
    REQUIRE(exact);
    // In place of the weight 2.
    CHECK((*exact)[0] == Quadratic{Rational(3, 2), Rational(1, 2)});
    const auto measured = recompute(f, nominal_potentials(f, 1, 277));
    REQUIRE(measured);
    CHECK(std::abs((*measured)[0] - (*exact)[0].value()) < 1e-12);
    Spread spread{};
    spread[0] = spread[1] = 2;
    const std::array<double, 2> amps{10, 10};
    const Bound b = worst_case(f, nominal_potentials(f, 1, 277), spread, amps, *measured);
    CHECK(b.at_voltages == Approx(0).margin(1e-9));
    // R = (c - 1) V_A + V_B: |c - 1| = 1.
    CHECK(b.from_spread == Approx(10 * 2 * (std::abs((*measured)[0] - 1.0) + 1)));
    CHECK(b.attained == Approx(b.total()));
    CHECK(reuse(f, 0b1111) == (reuse_repoint_reweigh | reuse_recompute));
    CHECK(reuse(f, 0) == reuse_recompute);
}

TEST_CASE("re-pointing changes as few references as it can") {
    Form f = form_of(wye, "ABN");
    f.add_element(voltage_between(0, 3), std::array{Rational(1), Rational(0), Rational(0)}, 1);
    f.add_element(voltage_between(2, 3), std::array{Rational(0), Rational(1), Rational(0)}, 1);
    const auto found = repoint(f, 0b1111, false);
    REQUIRE(found);
    CHECK_FALSE((*found)[0].changed);
    REQUIRE((*found)[1].changed);
    CHECK((*found)[1].plus == 1);
    CHECK((*found)[1].minus == 3);
    CHECK(reuse(f, 0b1111) == (reuse_repoint | reuse_repoint_reweigh | reuse_recompute));
    // A reversed CT: another weight, or the reference the other way round.
    Form r = form_of(wye, "AN");
    r.add_element(voltage_between(0, 3), std::array{Rational(-1), Rational(0)}, 1);
    CHECK(reuse(r, 0) == (reuse_repoint | reuse_reweigh | reuse_repoint_reweigh | reuse_recompute));
    CHECK((*repoint(r, 0, false))[0].plus == 3);
    // What no channel measures, none can give.
    CHECK(reuse(form_of(wye, "ABN", "both_legs_one_ct"), 0b1111) == 0);
    CHECK(reuse(form_of(wye, "ABCN", "line_to_neutral"), 0) == reuse_as_is);
}

TEST_CASE("summed-current arrangements fail at orders 3, 9, 15") {
    // 1 + a^-h + a^h = 3 where 3 divides h, otherwise 0; even orders stand with them.
    const auto orders = nominal_orders(form_of(wye, "ABCN", "two_and_a_half_element"));
    CHECK(orders.failing() == (1U << 3 | 1U << 6 | 1U << 9 | 1U << 12 | 1U << 15));
}
