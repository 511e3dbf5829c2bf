// Which conductors voltage terminals stand on; phase sequence.
#include "power/references.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <set>

#include "power/failure.hpp"
#include "site/topology.hpp"

using namespace bln;

namespace {

using Complex = std::complex<double>;
constexpr double tolerance = 0.05;

Supply supply(ServiceKind kind, Rotation rotation = Rotation::ABC) {
    as_of::service s;
    s.kind = kind;
    s.rotation = rotation;
    return supply_of(s);
}

Complex at(double volts, double degrees) { return std::polar(volts, degrees * M_PI / 180); }

std::set<std::string> landings(const std::vector<LandingGuess>& all) {
    std::set<std::string> out;
    for (const LandingGuess& g : all) out.insert(std::string(info(g.landing).slug) + " " + g.terminals);
    return out;
}
std::set<std::string> kinds(const std::vector<LandingGuess>& all) {
    std::set<std::string> out;
    for (const LandingGuess& g : all) out.insert(std::string(info(g.landing).slug));
    return out;
}

TerminalVoltages magnitudes(std::array<std::optional<double>, 3> n, std::array<std::optional<double>, 3> l) {
    TerminalVoltages out;
    out.to_neutral = n;
    out.between = l;
    return out;
}
TerminalVoltages phasors(Complex a, Complex b, Complex c) {
    TerminalVoltages out;
    out.phasors = {{a, b, c}};
    return out;
}
bln_status status_of(const Supply& s, double volts, const TerminalVoltages& v, double within = tolerance) {
    try {
        (void)recognise_landing(s, volts, v, within);
    } catch (const Failure& f) {
        return f.items().front().status;
    }
    return BLN_OK;
}

}  // namespace

TEST_CASE("sequence from phasors") {
    const auto abc = phase_sequence({at(120, 10), at(118, -112), at(121, 128)});
    CHECK(abc.sequence == Sequence::abc);
    CHECK(abc.positive > 110);
    CHECK(phase_sequence({at(120, 0), at(120, 120), at(120, -120)}).sequence == Sequence::acb);
    // A dead phase leaves both components alike.
    CHECK(phase_sequence({at(120, 0), 0, 0}).sequence == Sequence::undetermined);
    CHECK_THROWS_AS(phase_sequence({Complex{}, Complex{}, Complex{}}), Failure);
    CHECK_THROWS_AS(phase_sequence({at(NAN, 0), at(120, 0), at(120, 0)}), Failure);
}

TEST_CASE("sequence from the readings of a capacitor and two resistors, worked out as a circuit") {
    for (const double direction : {-1.0, 1.0}) {
        const Complex a = at(120, 0), b = at(120, direction * 120), c = at(120, -direction * 120);
        const Complex y{0, 1};  // capacitor whose reactance equals the resistors
        const Complex star = (a * y + b + c) / (y + 2.0);
        const double vb = std::abs(b - star), vc = std::abs(c - star);
        CHECK(std::max(vb, vc) == Approx(120 * 1.4967).epsilon(1e-3));
        CHECK(phase_sequence(vb, vc).sequence == (direction < 0 ? Sequence::abc : Sequence::acb));
    }
    CHECK(phase_sequence(100, 95).sequence == Sequence::undetermined);
    CHECK_THROWS_AS(phase_sequence(-1, 95), Failure);
    CHECK_THROWS_AS(phase_sequence(0, 0), Failure);
}

TEST_CASE("healthy magnitudes of a wye leave order, sequence and a floating neutral open") {
    const auto all = recognise_landing(supply(ServiceKind::four_wire_wye), 120,
                                       magnitudes({120, 121, 119}, {208, 207, 208}), tolerance);
    CHECK(kinds(all) == std::set<std::string>{"right", "swapped", "rotated", "neutral_floating"});
    CHECK(all.size() == 7);
    CHECK(all.front().landing == Landing::right);
}

TEST_CASE("phasors of a wye see the sequence, not a rotation") {
    for (const Rotation r : {Rotation::ABC, Rotation::ACB}) {
        const double d = r == Rotation::ABC ? -120 : 120;
        const Supply s = supply(ServiceKind::four_wire_wye, r);
        const auto good = recognise_landing(s, 120, phasors(at(120, 50), at(120, 50 + d), at(120, 50 - d)), tolerance);
        CHECK(kinds(good) == std::set<std::string>{"right", "rotated", "neutral_floating"});
        const auto bad = recognise_landing(s, 120, phasors(at(120, 50), at(120, 50 - d), at(120, 50 + d)), tolerance);
        CHECK(kinds(bad) == std::set<std::string>{"swapped", "neutral_floating"});
    }
}

TEST_CASE("a neutral on a phase, a lost phase and tied terminals have patterns of their own") {
    const Supply s = supply(ServiceKind::four_wire_wye);
    CHECK(landings(recognise_landing(s, 120, magnitudes({208, 120, 208}, {120, 120, 208}), tolerance)) ==
          std::set<std::string>{"neutral_exchanged A=A B=N C=C N=B"});
    CHECK(landings(recognise_landing(s, 120, magnitudes({120, 0, 120}, {120, 120, 208}), tolerance)) ==
          std::set<std::string>{"lost A=A B=- C=C N=N"});
    CHECK(kinds(recognise_landing(s, 120, magnitudes({120, 120, 120}, {0, 208, 208}), tolerance)) ==
          std::set<std::string>{"tied"});
    CHECK(kinds(recognise_landing(s, 120, magnitudes({150, 40, 111}, {30, 60, 10}), tolerance)) ==
          std::set<std::string>{"unexplained"});
}

TEST_CASE("a neutral that floats keeps the voltages between phases") {
    const Supply s = supply(ServiceKind::four_wire_wye);
    const Complex drift{25, -18};
    std::array<std::optional<double>, 3> n;
    for (std::size_t i = 0; i < 3; ++i) n[i] = std::abs(at(120, -120.0 * static_cast<double>(i)) - drift);
    CHECK(landings(recognise_landing(s, 120, magnitudes(n, {208, 208, 208}), tolerance)) ==
          std::set<std::string>{"neutral_floating A=A B=B C=C N=-"});
    // Split phase: the two legs see-saw around 240 V.
    CHECK(kinds(recognise_landing(supply(ServiceKind::single_phase_three_wire), 120,
                                  magnitudes({150, 90, {}}, {240, {}, {}}), tolerance)) ==
          std::set<std::string>{"neutral_floating"});
}

TEST_CASE("the high leg names its terminal") {
    const Supply s = supply(ServiceKind::high_leg_delta);
    const auto good = recognise_landing(s, 120, magnitudes({120, 208, 120}, {240, 240, 240}), tolerance);
    CHECK(landings(good) == std::set<std::string>{"right A=A B=B C=C N=N", "swapped A=C B=B C=A N=N",
                                                  "neutral_floating A=A B=B C=C N=-"});
    const auto moved = recognise_landing(s, 120, magnitudes({208, 120, 120}, {240, 240, 240}), tolerance);
    CHECK(kinds(moved).count("right") == 0);
    CHECK(landings(moved).count("swapped A=B B=A C=C N=N") == 1);
}

TEST_CASE("another kind of service shows in its ratio") {
    const auto split = recognise_landing(supply(ServiceKind::single_phase_three_wire), 120,
                                         magnitudes({120, 120, {}}, {208, {}, {}}), tolerance);
    CHECK(landings(split).count("other_service two_legs_of_wye") == 1);
    const auto high = recognise_landing(supply(ServiceKind::four_wire_wye), 277,
                                        magnitudes({120, 208, 120}, {240, 240, 240}), tolerance);
    CHECK(landings(high).count("other_service high_leg_delta, high leg B") == 1);
}

TEST_CASE("deltas without a neutral are read from the voltages between phases") {
    const Supply s = supply(ServiceKind::three_wire_delta);
    const double base = 480 / std::sqrt(3.0);
    CHECK(kinds(recognise_landing(s, base, magnitudes({}, {480, 478, 481}), tolerance)).count("right") == 1);
    CHECK(kinds(recognise_landing(s, base, magnitudes({}, {240, 240, 480}), tolerance)) ==
          std::set<std::string>{"lost"});
    CHECK(status_of(s, base, magnitudes({277, {}, {}}, {})) == BLN_E_VALUE);
    const Supply corner = supply(ServiceKind::corner_grounded_delta);
    CHECK(landings(recognise_landing(corner, base, magnitudes({480, 0, 480}, {480, 480, 480}), tolerance))
              .count("right A=A B=B C=C") == 1);
}

TEST_CASE("what cannot be judged is refused") {
    const Supply s = supply(ServiceKind::four_wire_wye);
    CHECK(status_of(s, 120, {}) == BLN_E_ABSENT);
    CHECK(status_of(s, 120, magnitudes({NAN, {}, {}}, {})) == BLN_E_NOT_FINITE);
    CHECK(status_of(s, 120, magnitudes({-3, {}, {}}, {})) == BLN_E_RANGE);
    CHECK(status_of(s, 0, magnitudes({120, {}, {}}, {})) == BLN_E_RANGE);
    CHECK(status_of(s, 120, magnitudes({120, {}, {}}, {}), 0.6) == BLN_E_RANGE);
    CHECK(status_of(supply(ServiceKind::unknown), 120, magnitudes({120, {}, {}}, {})) == BLN_E_ABSENT);
    CHECK(status_of(supply(ServiceKind::single_phase_three_wire), 120, magnitudes({120, 120, 120}, {})) == BLN_E_VALUE);
}

TEST_CASE("nine voltages against known conductors: order, and transformers displaced by 30 degrees") {
    struct Truth {
        std::array<std::size_t, 3> order;
        int displaced;
        Landing landing;
    };
    const std::vector<Truth> truths{{{0, 1, 2}, 0, Landing::right},     {{1, 2, 0}, 0, Landing::rotated},
                                    {{0, 2, 1}, 0, Landing::swapped},   {{0, 1, 2}, 30, Landing::foreign},
                                    {{2, 0, 1}, -30, Landing::foreign}, {{1, 0, 2}, 180, Landing::foreign}};
    for (const bool acb : {false, true})
        for (const Truth& t : truths) {
            const double step = acb ? 120 : -120;
            std::array<std::array<double, 3>, 3> v{};
            for (std::size_t i = 0; i < 3; ++i)
                for (std::size_t k = 0; k < 3; ++k)
                    v[i][k] = std::abs(at(120, step * static_cast<double>(t.order[i]) + t.displaced) -
                                       at(120, step * static_cast<double>(k)));
            const auto all = recognise_cross(120, acb, v, tolerance);
            const auto found = std::find_if(all.begin(), all.end(), [&](const CrossGuess& g) {
                return g.landing == t.landing && g.displaced == t.displaced;
            });
            REQUIRE(found != all.end());
            CHECK(found->deviation < 1e-12);
            // The mirror image: the other sequence of the known source and the opposite displacement fit as well.
            const auto mirror = recognise_cross(120, !acb, v, tolerance);
            CHECK(std::any_of(mirror.begin(), mirror.end(), [&](const CrossGuess& g) {
                return g.displaced == (t.displaced == 180 ? 180 : -t.displaced) && g.deviation < 1e-12;
            }));
        }
    // 62, 170 and 232 V: another transformer beside a 120 V system.
    const auto foreign = recognise_cross(120, false, {{{62, 232, 170}, {170, 62, 232}, {232, 170, 62}}}, tolerance);
    REQUIRE(foreign.size() == 1);
    CHECK(foreign[0].landing == Landing::foreign);
    CHECK(std::abs(foreign[0].displaced) == 30);
    CHECK(recognise_cross(120, false, {}, tolerance)[0].landing == Landing::unexplained);
}
