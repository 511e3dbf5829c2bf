// Expected readings, against closed forms of trade practice and against the live check.
#include <catch2/catch.hpp>
#include <cmath>
#include <string>

#include "plan/expected.hpp"
#include "proof/wiring.hpp"
#include "record.hpp"

using namespace bln;
using bln::test::Record;

namespace {

/// A service with one panel, one device of three inputs and one circuit.
Record house(const char* kind, double ln, double ll, const char* rotation = "ABC") {
    Record r;
    r.on(Kind::service, "S").choice("kind", kind).choice("rotation", rotation);
    if (ln > 0) r.real("volts_ln", ln);
    if (ll > 0) r.real("volts_ll", ll);
    r.on(Kind::panel, "P").text("service", "S").integer("spaces", 42);
    r.on(Kind::profile, "prof").integer("inputs", 3).texts("references", {"A", "B", "C", "N", "G"});
    r.on(Kind::device, "D").text("profile", "prof").text("service", "S").texts("landed", {"A", "B", "C", "N", "G"});
    r.on(Kind::ct_type, "T").integer("primary_amps", 100).integer("secondary", 333).choice("mark_faces", "source");
    r.choice("output", "millivolts").text("accuracy_class", "0.5");
    r.on(Kind::circuit, "c").text("panel", "P").choice("load", "resistive").real("breaker_amps", 60);
    return r;
}

void channel(Record& r, const char* id, std::int64_t input, const char* pass, const char* reference,
             const char* faces = "source") {
    const std::string ct = std::string("ct-") + id;
    r.on(Kind::ct, ct).text("type", "T").terms("passes", {{pass, Rational(1)}}).choice("mark_faces", faces);
    r.on(Kind::channel, id).text("device", "D").integer("input", input).terms("cts", {{ct, Rational(1)}});
    r.choice("reference", reference).integer("primary_amps", 100).integer("secondary", 333);
}

ExpectedRow row(const Record& r, const char* id) {
    const View view = r.view();
    const auto rows = expected_readings(view, Policy(live_policy()));
    return rows[static_cast<std::size_t>(Record::at(view, Kind::channel, id))];
}

void offset(const ExpectedRow& r, double low, double high) {
    CHECK(r.state == Expectation::known);
    CHECK(r.offset_low_deg == Approx(low).margin(1e-6));
    CHECK(r.offset_high_deg == Approx(high).margin(1e-6));
    CHECK(r.angle_low_deg == Approx(low - 5).margin(1e-6));
    CHECK(r.angle_high_deg == Approx(high + 5).margin(1e-6));
}

}  // namespace

TEST_CASE("one pole of a wye reads the load's own angle, and says what proves it") {
    Record r = house("four_wire_wye", 120, 208);
    r.on(Kind::circuit, "c").integers("spaces", {1});
    channel(r, "k", 1, "c:1", "A-N");
    const ExpectedRow e = row(r, "k");
    offset(e, 0, 0);
    CHECK(e.sign == 1);
    CHECK(e.volts == Approx(120));
    CHECK(e.volts_low == Approx(102));
    CHECK(e.volts_high == Approx(138));
    // Class 0.5 allows 90 minutes at 5 % of rating: within the guard of 5 degrees, so it holds from 5 A of 100 A on.
    CHECK(e.gate_amps == Approx(1));
    CHECK(e.least_by == LeastBy::accuracy);
    CHECK(e.least_amps == Approx(5));
    CHECK(e.least_watts == Approx(600));
    CHECK(e.load_volts == Approx(120));
    CHECK(e.flags == 0);
}

TEST_CASE("two poles of a wye without neutral: minus and plus thirty degrees, by sequence") {
    Record r = house("four_wire_wye", 120, 208);
    r.on(Kind::circuit, "c").integers("spaces", {1, 3}).flag("neutral", false);
    channel(r, "k1", 1, "c:1", "A-N");
    channel(r, "k2", 2, "c:2", "B-N");
    // Trade practice: pair A-B, A reads phi - 30, B reads phi + 30.
    offset(row(r, "k1"), -30, -30);
    offset(row(r, "k2"), 30, 30);
    CHECK(row(r, "k1").load_volts == Approx(120 * std::sqrt(3.0)));
    r.on(Kind::service, "S").choice("rotation", "ACB");
    offset(row(r, "k1"), 30, 30);
    r.on(Kind::service, "S").clear("rotation");
    CHECK(row(r, "k1").flags == expected_flag::rotation_assumed);
}

TEST_CASE("two elements with a line as common: phi + 30 and phi - 30") {
    Record r = house("three_wire_delta", 0, 480);
    r.on(Kind::circuit, "c").integers("spaces", {1, 3, 5});
    channel(r, "a", 1, "c:1", "A-B");
    channel(r, "c", 2, "c:3", "C-B");
    offset(row(r, "a"), 30, 30);
    offset(row(r, "c"), -30, -30);
    CHECK(row(r, "a").volts == Approx(480));
    CHECK(row(r, "a").load_phases == 3);
    // 5 A on three phases of 480 V: sqrt(3) 480 5.
    CHECK(row(r, "a").least_watts == Approx(std::sqrt(3.0) * 480 * 5));
}

TEST_CASE("a motor on two elements may read either sign") {
    Record r = house("three_wire_delta", 0, 480);
    r.on(Kind::circuit, "c").integers("spaces", {1, 3, 5}).choice("load", "light_motor");
    channel(r, "a", 1, "c:1", "A-B");
    CHECK(row(r, "a").sign == 0);
    CHECK(row(r, "a").angle_high_deg == Approx(110));
}

TEST_CASE("high leg: A-B load reads sixty degrees off on A and thirty on B") {
    Record r = house("high_leg_delta", 120, 240);
    r.on(Kind::circuit, "c").integers("spaces", {1, 3}).flag("neutral", false);
    channel(r, "a", 1, "c:1", "A-N");
    channel(r, "b", 2, "c:2", "B-N");
    const ExpectedRow a = row(r, "a"), b = row(r, "b");
    CHECK(std::abs(a.offset_low_deg) == Approx(60));
    CHECK(std::abs(b.offset_low_deg) == Approx(30));
    CHECK(a.offset_low_deg * b.offset_low_deg < 0);
    CHECK(a.volts == Approx(120));
    CHECK(b.volts == Approx(120 * std::sqrt(3.0)));
    // Check sum of trade practice: 120 I cos 60 + 208 I cos 30 = 240 I.
    const double degree = std::acos(-1.0) / 180;
    CHECK(a.volts * std::cos(a.offset_low_deg * degree) + b.volts * std::cos(b.offset_low_deg * degree) == Approx(240));
}

TEST_CASE("corner grounded: the grounded phase against ground reads nothing, the others stand thirty degrees off") {
    Record r = house("corner_grounded_delta", 0, 240);
    r.on(Kind::circuit, "c").integers("spaces", {1, 3, 5});
    channel(r, "a", 1, "c:1", "A-G");
    channel(r, "b", 2, "c:2", "B-G");
    channel(r, "c", 3, "c:3", "C-G");
    offset(row(r, "a"), 30, 30);
    offset(row(r, "c"), -30, -30);
    CHECK(row(r, "b").state == Expectation::zero_volts);
    CHECK(row(r, "a").volts == Approx(240));
}

TEST_CASE("split phase with a neutral, and a CT that faces the wrong way") {
    Record r = house("single_phase_three_wire", 120, 240);
    r.on(Kind::circuit, "c").integers("spaces", {1, 3}).flag("neutral", true);
    channel(r, "a", 1, "c:1", "A-N");
    channel(r, "b", 2, "c:2", "B-N", "load");
    offset(row(r, "a"), 0, 0);
    offset(row(r, "b"), 180, 180);
    CHECK(row(r, "b").sign == -1);
    r.on(Kind::channel, "b").choice("polarity", "inverted");
    offset(row(r, "b"), 0, 0);
}

TEST_CASE("generation exports by design") {
    Record r = house("four_wire_wye", 120, 208);
    r.on(Kind::circuit, "c").integers("spaces", {1}).choice("load", "generation");
    channel(r, "k", 1, "c:1", "A-N");
    CHECK(row(r, "k").sign == -1);
    CHECK(row(r, "k").angle_low_deg == Approx(165));
}

TEST_CASE("two turns halve the current that proves, a large CT asks more than the breaker gives") {
    Record r = house("four_wire_wye", 120, 208);
    r.on(Kind::circuit, "c").integers("spaces", {1});
    channel(r, "k", 1, "c:1", "A-N");
    r.on(Kind::ct, "ct-k").terms("passes", {{"c:1", Rational(2)}});
    CHECK(row(r, "k").least_amps == Approx(2.5));
    r.on(Kind::ct, "ct-k").terms("passes", {{"c:1", Rational(1)}});
    r.on(Kind::ct_type, "T").integer("primary_amps", 1600).text("accuracy_class", "5");
    r.on(Kind::channel, "k").integer("primary_amps", 1600);
    const ExpectedRow e = row(r, "k");
    CHECK(e.least_amps == Approx(800));
    CHECK(e.flags == (expected_flag::class_silent | expected_flag::beyond_breaker | expected_flag::beyond_heater));
}

TEST_CASE("power-factor classes promise the phase of their parallelogram") {
    Record r = house("four_wire_wye", 120, 208);
    r.on(Kind::circuit, "c").integers("spaces", {1});
    channel(r, "k", 1, "c:1", "A-N");
    r.on(Kind::ct_type, "T").text("accuracy_class", "0.6");
    // Class 0.6 allows 1.2 % at 10 %: at most 2 x 0.012 / 1.333 rad = 62 minutes.
    CHECK(row(r, "k").least_amps == Approx(10));
}

TEST_CASE("what the record lacks is said, not guessed") {
    Record r = house("four_wire_wye", 120, 208);
    r.on(Kind::circuit, "c").integers("spaces", {1});
    channel(r, "k", 1, "c:1", "A-N");
    r.on(Kind::channel, "bare").text("device", "D");
    CHECK(row(r, "bare").state == Expectation::unknown);
    CHECK_FALSE(row(r, "bare").why.empty());
    r.on(Kind::service, "S").clear("volts_ln").clear("volts_ll");
    CHECK(row(r, "k").volts == 0);
    r.on(Kind::service, "S").clear("kind");
    CHECK(row(r, "k").state == Expectation::unknown);
}

TEST_CASE("text and table hold every channel and the cautions") {
    Record r = house("four_wire_wye", 120, 208);
    r.on(Kind::circuit, "c").integers("spaces", {1});
    channel(r, "k", 1, "c:1", "A-N");
    r.on(Kind::channel, "bare").text("device", "D");
    const View view = r.view();
    const auto rows = expected_readings(view, Policy(live_policy()));
    const std::string text = expected_text(view, rows), csv = expected_csv(rows);
    CHECK(text.find("Proof needs at least 5 A here: plug in 600 W at 120 V") != std::string::npos);
    CHECK(text.find("does not prove a conductor dead") != std::string::npos);
    const std::size_t columns = 26;
    for (std::size_t at = 0, line = 0; at < csv.size(); ++line) {
        const std::size_t end = csv.find("\r\n", at);
        REQUIRE(end != std::string::npos);
        std::size_t commas = 0;
        bool quoted = false;
        for (const char ch : csv.substr(at, end - at)) {
            if (ch == '"') quoted = !quoted;
            commas += ch == ',' && !quoted ? 1 : 0;
        }
        CHECK(commas == columns - 1);
        at = end + 2;
    }
}

TEST_CASE("the sheet foretells the bands that the live check holds readings to") {
    struct Service {
        const char* kind;
        double ln, ll;
        int phases;
        bool neutral;
    };
    const Service services[] = {
        {"single_phase_two_wire", 230, 0, 1, true}, {"single_phase_three_wire", 120, 240, 2, true},
        {"two_legs_of_wye", 120, 208, 2, true},     {"four_wire_wye", 277, 480, 3, true},
        {"three_wire_delta", 0, 480, 3, false},     {"high_leg_delta", 120, 240, 3, true},
        {"corner_grounded_delta", 0, 240, 3, false}};
    const Policy policy(live_policy());
    const char* const loads[] = {"resistive", "motor", "drive", "generation", "mixed"};
    const char* const passes[] = {"c:1", "c:2", "c:3"};
    std::size_t compared = 0;
    for (const Service& s : services)
        for (const char* rotation : {"ABC", "ACB"})
            for (const char* load : loads)
                for (int poles = 1; poles <= s.phases; ++poles)
                    for (const bool neutral : {false, true}) {
                        if (neutral && !s.neutral) continue;
                        if (poles == 1 && !neutral) continue;
                        Record r = house(s.kind, s.ln, s.ll, rotation);
                        const std::vector<std::int64_t> spaces{1, 3, 5};
                        r.on(Kind::circuit, "c").integers("spaces", {spaces.begin(), spaces.begin() + poles});
                        r.flag("neutral", neutral).choice("load", load);
                        const char* const lines[] = {"A-N", "B-N", "C-N"};
                        const char* const commons[] = {"A-C", "B-C", "C-B"};
                        const char* const stars[] = {"A-star", "B-star", "C-star"};
                        for (int k = 0; k < poles; ++k) {
                            channel(r, ("k" + std::to_string(k)).c_str(), k + 1, passes[k],
                                    s.neutral ? lines[k] : commons[k]);
                            if (s.phases == 3)
                                channel(r, ("s" + std::to_string(k)).c_str(), k + 11, passes[k], stars[k]);
                        }
                        const View view = r.view();
                        const auto rows = expected_readings(view, policy);
                        for (std::size_t c = 0; c < rows.size(); ++c) {
                            INFO(s.kind << ' ' << rotation << ' ' << load << ' ' << poles << neutral << ' '
                                        << rows[c].channel);
                            const proof::ChannelWiring w = proof::wiring_of(view, static_cast<std::int32_t>(c));
                            REQUIRE(rows[c].state == Expectation::known);
                            REQUIRE(w.known);
                            const auto band = band_of(policy, w.load);
                            CHECK(std::abs(std::remainder(w.recorded.low + band.first - rows[c].angle_low_deg, 360.0)) <
                                  1e-6);
                            CHECK(w.recorded.high - w.recorded.low ==
                                  Approx(rows[c].offset_high_deg - rows[c].offset_low_deg).margin(1e-6));
                            CHECK(w.reference_volts == Approx(rows[c].volts).margin(1e-6));
                            CHECK(rows[c].gate_amps == Approx(least_amps(policy, 100).amps));
                            ++compared;
                        }
                    }
    CHECK(compared > 300);
}
