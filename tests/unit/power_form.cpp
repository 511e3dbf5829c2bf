// The arrangements of the trade and their errors. The closed forms follow from circuit laws
// (docs/theory/form.md derives them); each is one row of the table of arrangements there.
#include "power/form.hpp"

#include <catch2/catch.hpp>
#include <string>
#include <string_view>

#include "power/arrangement.hpp"
#include "power/failure.hpp"
#include "power/form_words.hpp"
#include "power/nominal.hpp"
#include "power/realise.hpp"
#include "site/topology.hpp"

using namespace bln;

namespace {

Form form_of(ServiceKind kind, std::string_view load, std::string_view arrangement) {
    as_of::service s;
    s.kind = kind;
    Form f(supply_of(s));
    f.add_load();
    for (std::size_t i = 0; i < load.size(); ++i) f.add_conductor(conductor_of(load.substr(i, 1)));
    add_arrangement(f, arrangement);
    return f;
}

constexpr auto wye = ServiceKind::four_wire_wye;
constexpr auto split = ServiceKind::single_phase_three_wire;
constexpr auto delta = ServiceKind::three_wire_delta;
constexpr auto high = ServiceKind::high_leg_delta;
constexpr auto corner = ServiceKind::corner_grounded_delta;

std::string error(ServiceKind kind, std::string_view load, std::string_view arrangement) {
    return error_text(form_of(kind, load, arrangement));
}

std::string failing(ServiceKind kind, std::string_view load, std::string_view arrangement) {
    const std::uint16_t orders = nominal_orders(form_of(kind, load, arrangement)).failing();
    std::string out;
    for (int h = 1; h <= highest_order; ++h)
        if ((orders >> h & 1U) != 0) out += (out.empty() ? "" : " ") + std::to_string(h);
    return out;
}

}  // namespace

TEST_CASE("the error of every arrangement has its closed form") {
    CHECK(error(ServiceKind::single_phase_two_wire, "AN", "line_to_neutral") == "0");
    CHECK(error(wye, "AB", "line_to_line") == "0");
    CHECK(error(wye, "ABN", "line_to_line") == "−V_B·(I_A+I_B)*");
    CHECK(error(split, "ABN", "line_to_neutral") == "0");
    CHECK(error(ServiceKind::two_legs_of_wye, "ABN", "line_to_neutral") == "0");
    CHECK(error(split, "ABN", "opposed_ct_line_to_line") == "−½·(V_A+V_B)·(I_A+I_B)*");
    CHECK(error(split, "AB", "opposed_ct_line_to_line") == "0");
    CHECK(error(split, "ABN", "opposed_ct_line_to_neutral") == "−(V_A+V_B)·I_B*");
    CHECK(error(split, "ABN", "both_legs_one_ct") == "V_AB·I_B*");
    CHECK(error(wye, "AB", "one_ct_doubled") == "(V_A+V_B)·I_A*");
    CHECK(error(wye, "ABC", "two_wattmeter") == "0");
    CHECK(error(delta, "ABC", "two_wattmeter") == "0");
    CHECK(error(wye, "ABCN", "two_wattmeter") == "−V_B·I_Σ*");
    CHECK(error(delta, "ABC", "floating_common") == "0");
    CHECK(error(wye, "ABC", "floating_common") == "0");
    CHECK(error(wye, "ABCN", "floating_common") == "−E·I_Σ*");
    CHECK(error(wye, "ABCN", "star_point") == "−⅓·(V_A+V_B+V_C)·I_Σ*");
    CHECK(error(wye, "ABCN", "two_and_a_half_element") == "−(V_A+V_B+V_C)·I_B*");
    CHECK(error(wye, "ABC", "virtual_third_current") == "0");
    CHECK(error(wye, "ABCN", "virtual_third_current") == "−V_B·I_Σ*");
    CHECK(error(wye, "ABCN", "one_ct_tripled") == "2·V_A·I_A* − V_B·I_B* − V_C·I_C*");
    CHECK(error(wye, "ABCN", "two_cts_for_three") == "½·V_A·I_A* − V_B·I_B* + ½·V_C·I_C*");
    CHECK(error(high, "ABCN", "high_leg_two_element") == "−½·(V_A+V_C)·(I_A+I_C)*");
    CHECK(error(corner, "ABC", "two_wattmeter") == "0");
    // Leakage to ground returns in the grounded phase and costs nothing.
    CHECK(error(corner, "ABCG", "two_wattmeter") == "0");
}

TEST_CASE("what makes the error vanish is said in words") {
    CHECK(condition_text(form_of(split, "ABN", "opposed_ct_line_to_line")) ==
          "vanishes when V_A + V_B = 0 or I_A + I_B = 0");
    CHECK(condition_text(form_of(wye, "ABCN", "two_wattmeter")) == "vanishes when V_B = 0 or I_A + I_B + I_C = 0");
    CHECK(condition_text(form_of(wye, "ABCN", "one_ct_tripled")) ==
          "vanishes for every load when V_A = 0 and V_B = 0 and V_C = 0; at any voltages when I_A = 0 and I_B = 0 and "
          "I_C = 0; otherwise only where the products cancel");
    CHECK(condition_text(form_of(wye, "ABCN", "line_to_neutral")) == "vanishes always");
}

TEST_CASE("what is registered reads as in the trade") {
    CHECK(registered_text(form_of(wye, "ABC", "two_wattmeter")) == "V_AB·I_A* − V_BC·I_C*");
    CHECK(registered_text(form_of(high, "ABCN", "high_leg_two_element")) == "½·V_AC·(I_A−I_C)* + V_B·I_B*");
    CHECK(registered_text(form_of(wye, "AB", "one_ct_doubled")) == "2·V_A·I_A*");
    CHECK(registered_text(form_of(delta, "ABC", "star_point")).substr(0, 31) == "⅓·(2·V_A−V_B−V_C)·I_A*");
}

TEST_CASE("the fewest elements are the rank of the true form") {
    const auto fewest = [](ServiceKind kind, std::string_view load) {
        as_of::service s;
        s.kind = kind;
        Form f(supply_of(s));
        f.add_load();
        for (std::size_t i = 0; i < load.size(); ++i) f.add_conductor(conductor_of(load.substr(i, 1)));
        return f.fewest_elements();
    };
    CHECK(fewest(ServiceKind::single_phase_two_wire, "AN") == 1);
    CHECK(fewest(wye, "AB") == 1);
    CHECK(fewest(split, "ABN") == 2);
    CHECK(fewest(ServiceKind::two_legs_of_wye, "ABN") == 2);
    CHECK(fewest(wye, "ABC") == 2);
    CHECK(fewest(wye, "ABCN") == 3);
    CHECK(fewest(high, "ABCN") == 3);
    CHECK(fewest(corner, "ABC") == 2);
    CHECK(fewest(corner, "ABCG") == 2);
    CHECK(fewest(delta, "ABC") == 2);
}

TEST_CASE("nominal voltages make some arrangements right, at some orders") {
    CHECK(failing(wye, "ABCN", "two_and_a_half_element") == "3 6 9 12 15");
    CHECK(failing(split, "ABN", "opposed_ct_line_to_line") == "");
    CHECK(failing(split, "ABN", "opposed_ct_line_to_neutral") == "");
    CHECK(failing(split, "AB", "one_ct_doubled") == "");
    CHECK(failing(high, "ABCN", "high_leg_two_element") == "");
    // v_A + v_B + v_C is the high leg itself: all of its power is lost.
    CHECK(failing(high, "ABCN", "two_and_a_half_element") == "1 2 4 5 7 8 10 11 13 14");
    CHECK_FALSE(nominal_orders(form_of(wye, "AB", "one_ct_doubled")).exact_at_fundamental());
    CHECK_FALSE(nominal_orders(form_of(wye, "ABCN", "floating_common")).exact_at_fundamental());
    // Balanced voltages put the star point at the neutral, except for what all three have in common.
    CHECK(failing(wye, "ABCN", "star_point") == "3 6 9 12 15");
    CHECK(nominal_orders(form_of(high, "ABCN", "high_leg_two_element")).without ==
          (1U << 3 | 1U << 6 | 1U << 9 | 1U << 12 | 1U << 15));
}

TEST_CASE("registered over true for loads between two conductors") {
    const auto factor = [](ServiceKind kind, std::string_view load, std::string_view arrangement, std::size_t x,
                           std::size_t y) { return registration(form_of(kind, load, arrangement), x, y).value(); };
    // One CT doubled on a two-pole load of a wye: 1 - j/sqrt(3) on the leading leg, the conjugate on the
    // lagging one; x + y j sqrt(3) holds it exactly.
    CHECK(factor(wye, "AB", "one_ct_doubled", 0, 1) == Quadratic{Rational(1), Rational(-1, 3)});
    CHECK(factor(wye, "BA", "one_ct_doubled", 0, 1) == Quadratic{Rational(1), Rational(1, 3)});
    CHECK(factor(split, "AB", "one_ct_doubled", 0, 1) == Quadratic{Rational(1), Rational(0)});
    // Half the line voltage on two legs of a wye: 3/4 for loads to neutral, 1 between the legs.
    CHECK(factor(wye, "ABN", "opposed_ct_line_to_line", 0, 2) == Quadratic{Rational(3, 4), Rational(1, 4)});
    CHECK(factor(wye, "ABN", "opposed_ct_line_to_line", 1, 2) == Quadratic{Rational(3, 4), Rational(-1, 4)});
    CHECK(factor(wye, "ABN", "opposed_ct_line_to_line", 0, 1) == Quadratic{Rational(1), Rational(0)});
    // Two-wattmeter on a four-wire load: nothing of B-N, 1.5 P -+ 0.866 Q of A-N and C-N.
    CHECK(factor(wye, "ABCN", "two_wattmeter", 1, 3).is_zero());
    CHECK(factor(wye, "ABCN", "two_wattmeter", 0, 3) == Quadratic{Rational(3, 2), Rational(1, 2)});
    CHECK(factor(wye, "ABCN", "two_wattmeter", 2, 3) == Quadratic{Rational(3, 2), Rational(-1, 2)});
    // Grounded phase to ground: no voltage, no factor.
    CHECK_FALSE(registration(form_of(corner, "ABCG", "two_wattmeter"), 1, 3));
}

TEST_CASE("published tables of two-leg arrangements on a wye are met") {
    // tan(phi) of the power factors 1, 0.95, 0.9, 0.8, 0.5; P_reg / P_true = Re F - Im F tan(phi).
    const auto ratio = [](const Quadratic& f, double pf) {
        return f.value().real() - f.value().imag() * std::sqrt(1 - pf * pf) / pf;
    };
    const Quadratic leading = *registration(form_of(wye, "AB", "one_ct_doubled"), 0, 1);
    const Quadratic lagging = *registration(form_of(wye, "BA", "one_ct_doubled"), 0, 1);
    const struct {
        double pf, leading, lagging;
    } rows[] = {{1, 1, 1},           {0.99, 1.082, 0.918}, {0.98, 1.117, 0.883}, {0.95, 1.190, 0.810},
                {0.9, 1.280, 0.720}, {0.85, 1.358, 0.642}, {0.8, 1.433, 0.567},  {0.5, 2, 0}};
    for (const auto& row : rows) {
        CHECK(ratio(leading, row.pf) == Approx(row.leading).margin(5e-4));
        CHECK(ratio(lagging, row.pf) == Approx(row.lagging).margin(5e-4));
    }
    const Form opposed = form_of(wye, "ABN", "opposed_ct_line_to_line");
    CHECK(ratio(*registration(opposed, 0, 2), 0.9) == Approx(0.54).margin(5e-3));
    CHECK(ratio(*registration(opposed, 1, 2), 0.9) == Approx(0.96).margin(5e-3));
}

TEST_CASE("real weights are found where they exist and refused where they do not") {
    Form wrong = form_of(wye, "ABC", "two_cts_for_three");
    CHECK_FALSE(realise(wrong));  // products v_B i are missing
    const auto right = realise(form_of(wye, "AB", "line_to_line"));
    REQUIRE(right);
    CHECK(right->unique);
    CHECK(right->x[0] == Rational(1));
    // A tripled ratio that nobody told the device: the weight undoes it.
    Form f = form_of(wye, "ABCN", "line_to_neutral");
    Form scaled(f.supply());
    scaled.add_load();
    for (const LoadConductor& k : f.conductors()) scaled.add_conductor(k.on);
    for (std::size_t e = 0; e < 3; ++e) {
        Small<Rational, 8> amps;
        for (const Rational& b : f.amps(e)) amps.push_back(b * Rational(e == 1 ? -3 : 1, e == 2 ? 2 : 1));
        scaled.add_element(f.elements()[e].volts, amps.span(), Rational(1));
    }
    CHECK_FALSE(scaled.exact());
    const auto weights = realise(scaled);
    REQUIRE(weights);
    CHECK(weights->x[0] == Rational(1));
    CHECK(weights->x[1] == Rational(-1, 3));
    CHECK(weights->x[2] == Rational(2));
    CHECK_FALSE(realise(form_of(wye, "ABCN", "two_wattmeter")));
}

TEST_CASE("what cannot be a form is refused") {
    as_of::service s;
    s.kind = delta;
    Form f(supply_of(s));
    CHECK_THROWS_AS(f.add_conductor(Conductor::A), Failure);  // before any load
    f.add_load();
    CHECK_THROWS_AS(f.add_conductor(Conductor::N), Failure);  // not served
    for (const Conductor c : {Conductor::A, Conductor::B, Conductor::C}) f.add_conductor(c);
    const Rational amps[] = {Rational(1), Rational(0), Rational(0)};
    VoltageRow lone{};
    lone[0] = Rational(1);
    CHECK_THROWS_AS(f.add_element(lone, amps, Rational(1)), Failure);
    CHECK_THROWS_AS(f.add_element(voltage_between(0, index_of(Conductor::N)), amps, Rational(1)), Failure);
    CHECK_THROWS_AS(f.add_element(voltage_between(0, 1), {amps, 2}, Rational(1)), Failure);
    CHECK_THROWS_AS(add_arrangement(f, "line_to_neutral"), Failure);
    CHECK_THROWS_AS(add_arrangement(f, "nonsense"), Failure);
    CHECK_THROWS_AS(add_arrangement(f, "line_to_line"), Failure);
    CHECK(f.elements().empty());
    const Rational huge[] = {Rational(INT64_MAX), Rational(INT64_MIN + 1), Rational(0)};
    f.add_element(voltage_between(0, 1), huge, Rational(3));
    try {
        (void)f.exact();
        FAIL("an overflow went unnoticed");
    } catch (const Failure& e) {
        CHECK(e.items().front().status == BLN_E_OVERFLOW);
    }
}

TEST_CASE("nominal voltages of a high-leg delta close the triangle of its windings") {
    as_of::service s;
    s.kind = high;
    const auto at = [&](int order) { return nominal_voltages(supply_of(s), order); };
    const Quadratic down{Rational(0), Rational(-1)}, up{Rational(0), Rational(1)};
    CHECK(at(1).u[1] == down);  // sequence ABC: B lags A by 90 degrees
    CHECK(at(2).u[1] == up);
    CHECK(at(7).u[1] == down);
    CHECK_FALSE(at(9).any);
    s.rotation = Rotation::ACB;
    CHECK(at(1).u[1] == up);
    s.rotation = Rotation::unknown;
    s.high_leg = Phase::C;
    const NominalVoltages v = at(1);
    CHECK(v.u[2] == down);
    // Three sides of twice the low leg, 120 degrees apart in the order A-B, B-C, C-A.
    const Quadratic ab = v.u[0] - v.u[1], bc = v.u[1] - v.u[2], back{Rational(-1, 2), Rational(-1, 2)};
    CHECK(ab * back == bc);
    CHECK(std::abs(ab.value()) == Approx(2));
}

TEST_CASE("a load without neutral is told in the currents that leave the shortest error") {
    as_of::service s;
    s.kind = delta;
    Form f(supply_of(s));
    f.add_load();
    for (const Conductor c : {Conductor::A, Conductor::B, Conductor::C}) f.add_conductor(c);
    const Rational first[] = {Rational(1), Rational(0), Rational(0)}, last[] = {Rational(0), Rational(0), Rational(-1)};
    f.add_element(voltage_between(0, 1), first, Rational(1));
    f.add_element(voltage_between(2, 1), last, Rational(1));  // the CT on C hangs the wrong way
    CHECK(error_text(f) == "2·V_BC·I_C*");
}

TEST_CASE("weights that are not the only ones are said not to be") {
    Form f = form_of(wye, "AB", "line_to_line");
    const Rational back[] = {Rational(0), Rational(-1)};
    f.add_element(voltage_between(0, 1), back, Rational(1));  // the same current, seen on the other leg
    const auto weights = realise(f);
    REQUIRE(weights);
    CHECK_FALSE(weights->unique);
}
