// Wiring faults as transforms, corrections, and hypotheses that no reading tells apart.
#include "power/fault.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <map>
#include <random>
#include <set>
#include <string>

#include "power/arrangement.hpp"
#include "power/bound.hpp"
#include "power/correction.hpp"
#include "power/failure.hpp"
#include "power/form_words.hpp"
#include "power/hypotheses.hpp"
#include "power/nominal.hpp"
#include "power/realise.hpp"
#include "power/recompute.hpp"
#include "power/repoint.hpp"
#include "site/topology.hpp"

using namespace bln;

namespace {

constexpr auto wye = ServiceKind::four_wire_wye;
constexpr auto split = ServiceKind::single_phase_three_wire;
constexpr auto delta = ServiceKind::three_wire_delta;

Form form_of(ServiceKind kind, std::string_view load, std::string_view arrangement) {
    as_of::service s;
    s.kind = kind;
    Form f(supply_of(s));
    f.add_load();
    for (std::size_t i = 0; i < load.size(); ++i) f.add_conductor(conductor_of(load.substr(i, 1)));
    add_arrangement(f, arrangement);
    return f;
}
Fault one(FaultKind kind, int element, int x = -1, int y = -1, Rational ratio = Rational(1)) {
    return {kind, element, x, y, ratio};
}
/// P_registered / P_true of a balanced load.
double reads(const Form& f, double angle_deg, int element = -1) {
    const auto factor = balanced_registration(f, element);
    REQUIRE(factor);
    return factor->value().real() - factor->value().imag() * std::tan(angle_deg * M_PI / 180);
}
bln_status status_of(const Form& f, const Fault& fault) {
    try {
        (void)with_fault(f, fault);
    } catch (const Failure& e) {
        return e.items().front().status;
    }
    return BLN_OK;
}
/// "BCA+-+": the conductor that each element sees, and its sign.
std::string code(const Hypotheses& h, std::size_t i) {
    std::string on, sign;
    for (std::size_t e = 0; e < h.elements(); ++e) {
        const Placement& p = h.placement_of(i, e);
        on += static_cast<char>('A' + p.on);
        sign += p.sign > 0 ? '+' : '-';
    }
    return on + sign;
}
std::string factor_text(const Quadratic& q) { return q.x.text() + " " + q.y.text(); }
/// Members of each factor of the total, sorted.
std::map<std::string, std::set<std::string>> by_factor(const Hypotheses& h) {
    std::map<std::string, std::set<std::string>> out;
    for (std::size_t i = 0; i < h.size(); ++i)
        out[factor_text(balanced_registration(h.form_of(i)).value())].insert(code(h, i));
    return out;
}

const Form four_wire = form_of(wye, "ABCN", "line_to_neutral");
const Form three_wire = form_of(delta, "ABC", "two_wattmeter");

}  // namespace

TEST_CASE("one channel: six ways on a wye, by closed form") {
    // cos(phi + d) / cos(phi), d by circuit laws; the columns of numbers are printed in the trade's tables of wrong
    // phase association (common practice, no source).
    const Form f = form_of(wye, "ABCN", "line_to_neutral");
    struct Way {
        int on;
        bool reversed;
        double shift;
    };
    for (const Way& w : {Way{0, false, 0}, Way{0, true, 180}, Way{1, false, 120}, Way{1, true, -60},
                         Way{2, false, -120}, Way{2, true, 60}}) {
        Form g = f;
        if (w.on != 0) g = with_fault(g, one(FaultKind::on_conductor, 0, 0, w.on));
        if (w.reversed) g = with_fault(g, one(FaultKind::reversed, 0));
        for (const double phi : {0.0, 18.19, 25.84, 36.87, 60.0, -30.0}) {
            const double expected = std::cos((phi + w.shift) * M_PI / 180) / std::cos(phi * M_PI / 180) / 3;
            CHECK(reads(g, phi, 0) == Approx(expected).margin(1e-12));
        }
    }
    // PF 0.866, on the next lagging conductor and reversed: energy looks right, the sign of Q does not.
    const Form g = with_faults(f, std::vector{one(FaultKind::on_conductor, 0, 0, 1), one(FaultKind::reversed, 0)});
    CHECK(3 * reads(g, 30, 0) == Approx(1));
}

TEST_CASE("faults of a three-element point read as the trade says") {
    const auto with = [](std::vector<Fault> faults) { return with_faults(four_wire, faults); };
    for (const double phi : {0.0, 25.84, 45.0, -20.0}) {
        CHECK(reads(with({one(FaultKind::reversed, 0)}), phi) == Approx(1.0 / 3));
        CHECK(reads(with({one(FaultKind::reversed, 0), one(FaultKind::reversed, 2)}), phi) == Approx(-1.0 / 3));
        CHECK(reads(with({one(FaultKind::reversed, every_element)}), phi) == Approx(-1));
        CHECK(reads(with({one(FaultKind::dead, 1)}), phi) == Approx(2.0 / 3));
        CHECK(reads(with({one(FaultKind::missing, every_element, 0)}), phi) == Approx(2.0 / 3));
        CHECK(reads(with({one(FaultKind::exchanged, 1, -1, 2)}), phi) == Approx(0).margin(1e-12));
        CHECK(reads(with({one(FaultKind::volts_exchanged, every_element, 0, 1)}), phi) == Approx(0).margin(1e-12));
        CHECK(
            reads(with({one(FaultKind::exchanged, 1, -1, 2), one(FaultKind::reversed, 1), one(FaultKind::reversed, 2)}),
                  phi) == Approx(2.0 / 3));
        CHECK(reads(with({one(FaultKind::ratio, every_element, -1, -1, Rational(1, 2))}), phi) == Approx(2));
        const double t = std::tan(phi * M_PI / 180);
        // The leads moved on: element A has the voltage of B.
        CHECK(reads(with({one(FaultKind::volts_rotated, every_element)}), phi) ==
              Approx(-0.5 + std::sqrt(0.75) * t).margin(1e-12));
        CHECK(reads(with({one(FaultKind::volts_rotated, every_element, -1, -1, Rational(-1))}), phi) ==
              Approx(-0.5 - std::sqrt(0.75) * t).margin(1e-12));
    }
    // Hot and neutral in one window: V_A (I_A + I_N)* = -V_A I_B*.
    const Form legs = form_of(split, "ABN", "line_to_neutral");
    CHECK(error_text(with_fault(legs, one(FaultKind::also_round, 0, -1, 2))) == "−V_A·(I_A+I_B)*");
}

TEST_CASE("floating commons give the error of the shift of the reference") {
    const Form floating = with_fault(four_wire, one(FaultKind::floating, every_element, 3));
    CHECK(error_text(floating) == "−E·I_Σ*");
    const Form star = with_fault(four_wire, one(FaultKind::star, every_element, 3));
    CHECK(error_text(star) == "−⅓·(V_A+V_B+V_C)·I_Σ*");
    const Form no_neutral = form_of(wye, "ABC", "line_to_neutral");
    CHECK(with_fault(no_neutral, one(FaultKind::floating, every_element, 3)).exact());
    // 180 degrees supposed on two legs of a wye: leg B reads 1/2 -+ (sqrt(3)/2) tan(phi).
    const Form legs = form_of(ServiceKind::two_legs_of_wye, "ABN", "line_to_neutral");
    const Form supposed = with_fault(legs, one(FaultKind::reference, 1, 3, 0));
    const auto leg = registration(supposed, 1, 2);
    REQUIRE(leg);
    CHECK(leg->value().real() == Approx(0.5));
    CHECK(std::abs(leg->value().imag()) == Approx(std::sqrt(0.75)));
}

TEST_CASE("a fault and its remedy are the identity") {
    CHECK(with_faults(four_wire, std::vector{one(FaultKind::reversed, 1), one(FaultKind::reversed, 1)}).exact());
    CHECK(with_faults(four_wire, std::vector{one(FaultKind::exchanged, 0, -1, 2), one(FaultKind::exchanged, 0, -1, 2)})
              .exact());
    CHECK(with_faults(four_wire, std::vector{one(FaultKind::volts_rotated, every_element),
                                             one(FaultKind::volts_rotated, every_element, -1, -1, Rational(-1))})
              .exact());
    CHECK(with_faults(four_wire, std::vector{one(FaultKind::ratio, 0, -1, -1, Rational(4, 3)),
                                             one(FaultKind::ratio, 0, -1, -1, Rational(3, 4))})
              .exact());
    // Leads moved on and CTs moved on alike: a device whose labels are all shifted is right.
    CHECK(with_faults(four_wire,
                      std::vector{one(FaultKind::volts_rotated, every_element), one(FaultKind::on_conductor, 0, 0, 1),
                                  one(FaultKind::on_conductor, 1, 1, 2), one(FaultKind::on_conductor, 2, 2, 0)})
              .exact());
    CHECK(status_of(four_wire, one(FaultKind::on_conductor, 0, 1, 2)) == BLN_E_VALUE);
    CHECK(status_of(four_wire, one(FaultKind::on_conductor, 0, 0, 0)) == BLN_E_VALUE);
    CHECK(status_of(four_wire, one(FaultKind::on_conductor, every_element, 0, 1)) == BLN_E_VALUE);
    CHECK(status_of(four_wire, one(FaultKind::on_conductor, 0, 0, 9)) == BLN_E_RANGE);
    CHECK(status_of(four_wire, one(FaultKind::reversed, 3)) == BLN_E_RANGE);
    CHECK(status_of(four_wire, one(FaultKind::ratio, 0, -1, -1, Rational(0))) == BLN_E_RANGE);
    CHECK(status_of(four_wire, one(FaultKind::landed, 0, 0, 6)) == BLN_E_RANGE);
    CHECK(status_of(four_wire, one(FaultKind::also_round, 0, -1, 1, Rational(2))) == BLN_E_VALUE);
}

TEST_CASE("48 hypotheses of a three-element point have 19 totals in the factors of the table") {
    HypothesisOptions options;
    options.each_once = true;
    const Hypotheses h(four_wire, options);
    CHECK(h.size() == 48);
    CHECK(h.words(h.recorded()) == "as recorded");
    CHECK(h.classes(Sees::total, Over::balanced).count == 19);
    using Set = std::set<std::string>;
    const auto found = by_factor(h);
    CHECK(found.size() == 19);
    CHECK(found.at("1 0") == Set{"ABC+++"});
    CHECK(found.at("2/3 0") == Set{"ACB+--", "BAC--+", "CBA-+-"});
    CHECK(found.at("1/2 -1/2") == Set{"BCA---"});
    CHECK(found.at("1/2 1/2") == Set{"CAB---"});
    CHECK(found.at("1/3 -1/3") == Set{"ACB+-+", "BAC-++", "CBA++-"});
    CHECK(found.at("1/3 0") == Set{"ABC++-", "ABC+-+", "ABC-++"});
    CHECK(found.at("1/3 1/3") == Set{"ACB++-", "BAC+-+", "CBA-++"});
    CHECK(found.at("1/6 -1/6") == Set{"BCA--+", "BCA-+-", "BCA+--"});
    CHECK(found.at("1/6 1/6") == Set{"CAB--+", "CAB-+-", "CAB+--"});
    CHECK(found.at("0 0") == Set{"ACB+++", "ACB---", "BAC+++", "BAC---", "CBA+++", "CBA---"});
    CHECK(found.at("-1/6 -1/6") == Set{"CAB++-", "CAB+-+", "CAB-++"});
    CHECK(found.at("-1/6 1/6") == Set{"BCA++-", "BCA+-+", "BCA-++"});
    CHECK(found.at("-1/3 -1/3") == Set{"ACB--+", "BAC-+-", "CBA+--"});
    CHECK(found.at("-1/3 0") == Set{"ABC--+", "ABC-+-", "ABC+--"});
    CHECK(found.at("-1/3 1/3") == Set{"ACB-+-", "BAC+--", "CBA--+"});
    CHECK(found.at("-1/2 -1/2") == Set{"CAB+++"});
    CHECK(found.at("-1/2 1/2") == Set{"BCA+++"});
    CHECK(found.at("-2/3 0") == Set{"ACB-++", "BAC++-", "CBA+-+"});
    CHECK(found.at("-1 0") == Set{"ABC---"});

    // Eight families of six while the load angle is unknown; a known load tells all 48 apart.
    const Classes shape = h.classes(Sees::shape, Over::balanced);
    CHECK(shape.count == 8);
    std::map<std::uint32_t, Set> family;
    for (std::size_t i = 0; i < h.size(); ++i) family[shape.of[i]].insert(code(h, i));
    for (const auto& [id, members] : family) CHECK(members.size() == 6);
    CHECK(family[shape.of[h.recorded()]] == Set{"ABC+++", "ABC---", "BCA+++", "CAB+++", "BCA---", "CAB---"});
    CHECK(h.classes(Sees::each, Over::balanced).count == 48);
    CHECK(h.classes(Sees::each, Over::any).count == 48);
}

TEST_CASE("24 hypotheses of a two-element point have 19 totals") {
    HypothesisOptions options;
    options.each_once = true;
    const Hypotheses h(three_wire, options);
    CHECK(h.size() == 24);
    CHECK(h.classes(Sees::total, Over::balanced).count == 19);
    using Set = std::set<std::string>;
    const auto found = by_factor(h);
    CHECK(found.at("1 0") == Set{"AC++"});
    CHECK(found.at("-1 0") == Set{"AC--"});
    CHECK(found.at("0 1/3") == Set{"AC+-"});
    CHECK(found.at("0 -1/3") == Set{"AC-+"});
    CHECK(found.at("0 0") == Set{"CA++", "CA--", "AB++", "AB--", "BC++", "BC--"});
    CHECK(found.at("0 -2/3") == Set{"CA+-"});
    CHECK(found.at("0 2/3") == Set{"CA-+"});
    CHECK(found.at("1 1/3") == Set{"AB+-"});
    CHECK(found.at("1 -1/3") == Set{"BC-+"});
    CHECK(found.at("1/2 -1/2") == Set{"BA--"});
    CHECK(found.at("1/2 1/2") == Set{"CB--"});
    CHECK(found.at("-1/2 1/2") == Set{"BA++"});
    CHECK(found.at("-1/2 -1/2") == Set{"CB++"});
}

TEST_CASE("what is electrically the same is found, not listed") {
    const auto together = [](const Hypotheses& h, const Classes& c, const std::string& a, const std::string& b) {
        std::set<std::uint32_t> of_a, of_b;
        for (std::size_t i = 0; i < h.size(); ++i) {
            if (code(h, i) == a) of_a.insert(c.of[i]);
            if (code(h, i) == b) of_b.insert(c.of[i]);
        }
        REQUIRE(of_a.size() == 1);
        REQUIRE(of_b.size() == 1);
        return of_a == of_b;
    };
    // A two-pole load line to line: i_B = -i_A.
    const Hypotheses pair(form_of(wye, "AB", "line_to_neutral"), {});
    const Classes c = pair.classes(Sees::each, Over::any);
    CHECK(pair.size() == 16);
    CHECK(c.count == 4);
    CHECK(together(pair, c, "BA++", "AB--"));
    CHECK(together(pair, c, "AB+-", "AA++"));
    CHECK_FALSE(together(pair, c, "AB++", "AB--"));
    // On a centre tap with neutral, other leg = reversed only when the loads of the legs are equal.
    const Hypotheses legs(form_of(split, "ABN", "line_to_neutral"), {});
    const Classes any = legs.classes(Sees::each, Over::any), balanced = legs.classes(Sees::each, Over::balanced);
    CHECK(any.count == 16);
    CHECK(balanced.count == 4);
    CHECK(together(legs, balanced, "BB++", "AB-+"));
    // Leads rotated and CTs rotated the same way.
    HypothesisOptions leads;
    leads.lead_orders = true;
    leads.each_once = true;
    const Hypotheses device(four_wire, leads);
    CHECK(device.size() == 288);
    CHECK(device.classes(Sees::each, Over::any).count == 288);
    // While balanced, the angles of the elements show the places moved, modulo 3, and these add up to 0: 9 triples
    // by 8 senses. Leads moved on by one read as CTs moved back by one; two leads exchanged never as two CTs.
    CHECK(device.classes(Sees::each, Over::balanced).count == 72);
    // Every class holds equal readings: the forms of its members give equal elements for random states.
    std::mt19937_64 random(5);
    std::uniform_real_distribution<double> unit(-1, 1);
    for (int round = 0; round < 50; ++round) {
        const Complex va{unit(random), unit(random)}, vb{unit(random), unit(random)}, i{unit(random), unit(random)};
        std::map<std::uint32_t, std::vector<Complex>> seen;
        for (std::size_t h = 0; h < pair.size(); ++h) {
            const Form f = pair.form_of(h);
            std::vector<Complex> s;
            for (std::size_t e = 0; e < f.elements().size(); ++e) {
                const auto& a = f.elements()[e].volts;
                const Complex volts = a[0].real() * va + a[1].real() * vb;
                const Complex amps = (f.amps(e)[0] - f.amps(e)[1]).real() * i;
                s.push_back(volts * std::conj(amps));
            }
            const auto [at, fresh] = seen.try_emplace(c.of[h], s);
            if (!fresh)
                for (std::size_t e = 0; e < s.size(); ++e) CHECK(std::abs(at->second[e] - s[e]) < 1e-12);
        }
        CHECK(seen.size() == c.count);
        for (auto a = seen.begin(); a != seen.end(); ++a)
            for (auto b = std::next(a); b != seen.end(); ++b)
                CHECK(std::abs(a->second[0] - b->second[0]) + std::abs(a->second[1] - b->second[1]) > 1e-6);
    }
}

TEST_CASE("27 placements by 8 senses, and what hypotheses refuse") {
    const Hypotheses h(four_wire, {});
    CHECK(h.size() == 216);
    HypothesisOptions wide;
    wide.neutral = wide.two_conductors = wide.dead = true;
    wide.ratios = {Rational(1), Rational(1, 2), Rational(2)};
    // (4 single + 12 double) * 2 senses * 3 ratios + dead = 97 for each of three elements.
    CHECK(Hypotheses(four_wire, wide).size() == 97 * 97 * 97);
    HypothesisOptions all = wide;
    all.lead_orders = all.lead_missing = all.common_floating = true;
    CHECK_THROWS_AS(Hypotheses(four_wire, all), Failure);
    HypothesisOptions few;
    few.common_floating = few.lead_missing = few.dead = true;
    const Hypotheses leads(four_wire, few);
    CHECK(leads.size() == 343 * 5);
    CHECK(leads.classes(Sees::each, Over::any).count > 343);
    CHECK_THROWS_AS(leads.classes(Sees::each, Over::nominal), Failure);
    CHECK_THROWS_AS(h.classes(Sees::shape, Over::any), Failure);
    few.ratios.clear();
    CHECK_THROWS_AS(Hypotheses(four_wire, few), Failure);
    CHECK_THROWS_AS(Hypotheses(three_wire, HypothesisOptions{.common_floating = true}), Failure);
    // The table of readings agrees with the form of each hypothesis.
    for (std::size_t i = 0; i < h.size(); i += 7) {
        const Form f = h.form_of(i);
        const NominalVoltages v = nominal_voltages(f.supply(), 1);
        for (std::size_t e = 0; e < h.elements(); ++e) {
            Complex volts;
            for (std::size_t t = 0; t < conductor_count; ++t) volts += f.elements()[e].volts[t].real() * v.u[t].value();
            for (std::size_t k = 0; k < 4; ++k) CHECK(std::abs(h.reads(i, e)[k] - volts * f.amps(e)[k].real()) < 1e-12);
        }
    }
}

TEST_CASE("corrections are exact only by 1, -1 and ratios of CTs") {
    // Reversed, wrong ratio: real weights, exact for every load. Wrong phase: complex, at nominal voltages alone.
    Form g =
        with_faults(four_wire, std::vector{one(FaultKind::reversed, 0), one(FaultKind::ratio, 1, -1, -1, Rational(2))});
    const auto weights = realise(g);
    REQUIRE(weights);
    CHECK(weights->x[0] == Rational(-1));
    CHECK(weights->x[1] == Rational(2));
    CHECK(weights->x[2] == Rational(1));
    g = with_fault(four_wire, one(FaultKind::volts_exchanged, every_element, 0, 1));
    CHECK_FALSE(realise(g));
    CHECK((reuse(g, 0) & reuse_repoint) != 0);
    const auto turned = recompute(g);
    REQUIRE(turned);
    // True S of A from V_B I_A*: V_A / V_B.
    CHECK((*turned)[0] == Quadratic{Rational(-1, 2), Rational(1, 2)});
    // Physics lost: nothing helps.
    CHECK(reuse(with_fault(four_wire, one(FaultKind::dead, 0)), 0b1111) == 0);
}

TEST_CASE("the curve over the load angle, and where there is none") {
    const auto rotated = balanced_registration(with_fault(four_wire, one(FaultKind::volts_rotated, every_element)));
    REQUIRE(rotated);
    CHECK(*correction_at(rotated->value(), 0) == Approx(-2));
    CHECK_FALSE(correction_at(rotated->value(), M_PI / 6));  // reads nothing at 30 degrees
    CHECK_FALSE(correction_at({0, 0}, 0.3));
    CHECK(*correction_at({1.0 / 3, 0}, 0.7) == Approx(3));
    CHECK_THROWS_AS(correction_at({NAN, 0}, 0), Failure);
}

TEST_CASE("the limit of a correction by voltage ratios holds on random spectra") {
    std::mt19937_64 random(17);
    std::uniform_real_distribution<double> unit(-1, 1);
    const auto phasor = [&](double r) { return std::polar(r * std::abs(unit(random)), 3.1416 * unit(random)); };
    for (int round = 0; round < 2000; ++round) {
        // A channel with V_x and the current of conductor y: P is taken as Re((V_y/V_x at nominal) S_reg).
        const Complex nominal_x = 120, nominal_y = std::polar(120.0, -2 * M_PI / 3);
        const double spread = 6;
        const Complex x = nominal_x + phasor(spread), y = nominal_y + phasor(spread), i = phasor(50);
        const Complex registered = x * std::conj(i);
        std::vector<double> volts, amps;
        double harmonic_registered = 0, harmonic_true = 0;
        for (int h = 2; h < 8; ++h) {
            const double v = 8 * std::abs(unit(random)), a = 10 * std::abs(unit(random));
            volts.push_back(v);
            amps.push_back(a);
            harmonic_registered += v * a * unit(random);
            harmonic_true += v * a * unit(random);
        }
        const double corrected = (nominal_y / nominal_x * (registered + harmonic_registered)).real();
        const double truth = (y * std::conj(i)).real() + harmonic_true;
        const double limit =
            correction_limit(std::abs(registered), ratio_spread(nominal_x, nominal_y, spread, spread), volts, amps);
        CHECK(std::abs(corrected - truth) <= limit * (1 + 1e-12));
    }
    CHECK_THROWS_AS(ratio_spread(1, 1, 1, 0), Failure);
    CHECK_THROWS_AS(correction_limit(-1, 0, {}, {}), Failure);
}
