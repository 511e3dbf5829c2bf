#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <numbers>
#include <sstream>

#include "proof/live.hpp"
#include "proof/wiring.hpp"
#include "site/reader.hpp"

using namespace bln;

namespace {

constexpr double degree = std::numbers::pi / 180;

/// One channel in a service; the circuit's form and load as given.
std::string site(const std::string& service, const std::string& circuit, const std::string& reference) {
    return R"({"blondel":"1","services":{"s":{)" + service + R"(}},"panels":{"p":{"service":"s","spaces":42}},
        "circuits":{"c":{"panel":"p",)" +
           circuit + R"(}},"devices":{"d":{"service":"s"}},
        "channels":{"ch":{"device":"d","input":1,"reference":")" +
           reference + R"(","primary_amps":100}},
        "points":{"P":{"circuits":["c"],"elements":{"ch":1}}}})";
}

const char* wye = R"("kind":"four_wire_wye","volts_ln":120)";
const char* split = R"("kind":"single_phase_three_wire","volts_ln":120)";

Live check(const std::string& json, const std::string& csv) {
    const View view(std::shared_ptr<const Model>(read_site(json)), end_of_time, end_of_time);
    return live_check(view, readings_from_csv(csv, 1U << 20), Policy(live_policy()));
}

LiveChannel at_angle(const std::string& json, double theta) {
    const double va = 1200;
    return check(json, "channel,volts,amps,watts,vars\nch,120,10," + std::to_string(va * std::cos(theta * degree)) +
                           "," + std::to_string(va * std::sin(theta * degree)) + "\n")
        .channels.at(0);
}

int times(const Live& l, std::string_view code) {
    int n = 0;
    for (const Finding& f : l.report.findings) n += f.code == code ? 1 : 0;
    return n;
}

bln_status status_of(std::string_view csv) {
    try {
        (void)readings_from_csv(csv, 1U << 20);
    } catch (const Failure& f) {
        return f.items().front().status;
    }
    return BLN_OK;
}

}  // namespace

TEST_CASE("live: the six places of one CT on a wye, heater") {
    // Angles by the algebra of one channel, S_reg = V_x (s I_y)*: own phase 0, reversed 180, next lagging
    // conductor +120, that one reversed -60, next leading -120, that one reversed +60.
    const std::string json = site(wye, R"("spaces":[1],"load":"resistive")", "A-N");
    const std::pair<double, const char*> table[] = {{0, "as recorded"},   {180, "reversed"},
                                                    {120, "on phase B"},  {-60, "on phase B, reversed"},
                                                    {-120, "on phase C"}, {60, "on phase C, reversed"}};
    for (const auto& [theta, words] : table) {
        INFO(theta);
        const LiveChannel ch = at_angle(json, theta);
        CHECK(ch.reads_as == words);
        CHECK(ch.proof == (theta == 0 ? Proof::right : Proof::wrong));
    }
    // With the other rotation, B leads.
    const std::string acb =
        site(std::string(wye) + R"(,"rotation":"ACB")", R"("spaces":[1],"load":"resistive")", "A-N");
    CHECK(at_angle(acb, -120).reads_as == "on phase B");
}

TEST_CASE("live: registered over true of a channel on another phase, as published") {
    // Channel whose reference is another phase (check value CV06-16, common practice, no source):
    // cos(phi +- 120) / cos(phi). The reading that it predicts must be named, with the load known as a motor.
    const std::string json = site(wye, R"("spaces":[1],"load":"motor")", "A-N");
    const double phi[] = {25.84, 30, 36.87, 45};
    const double lags[] = {-0.080601, 0.0, 0.149521, 0.366025}, leads[] = {-0.919399, -1.0, -1.149521, -1.366025};
    for (int i = 0; i < 4; ++i) {
        const LiveChannel b = at_angle(json, phi[i] + 120), c = at_angle(json, phi[i] - 120);
        CHECK(b.watts / (1200 * std::cos(phi[i] * degree)) == Approx(leads[i]).margin(1e-4));
        CHECK(c.watts / (1200 * std::cos(phi[i] * degree)) == Approx(lags[i]).margin(1e-4));
        CHECK(b.reads_as == "on phase B");
        CHECK(c.reads_as == "on phase C");
        CHECK(b.proof == Proof::wrong);
        CHECK(c.proof == Proof::wrong);
    }
}

TEST_CASE("live: everyday window where the load is not stated") {
    const std::string json = site(wye, R"("spaces":[1])", "A-N");
    CHECK(at_angle(json, 25).proof == Proof::right);      // -35 and 85: no load of any kind
    CHECK(at_angle(json, 10).proof == Proof::likely);     // 70: an unloaded motor on another phase
    CHECK(at_angle(json, 43).proof == Proof::undecided);  // guard band at 45
    CHECK(at_angle(json, 70).proof == Proof::undecided);  // another phase, or an unloaded motor here
    CHECK(at_angle(json, 70).reads_as == "on phase C, reversed or as recorded");
    CHECK(at_angle(json, 135).proof == Proof::wrong);
    CHECK(at_angle(json, 180).reads_as == "reversed");
    CHECK(at_angle(json, -60).proof == Proof::wrong);
}

TEST_CASE("live: on split phase the other leg reads like a reversed CT") {
    const std::string json = site(split, R"("spaces":[1])", "A-N");
    CHECK(at_angle(json, 20).proof == Proof::right);
    CHECK(at_angle(json, 200).reads_as == "reversed or on phase B");
    CHECK(at_angle(json, 200).proof == Proof::wrong);
    // Between the legs of a split phase there is no 30 degrees.
    const std::string two = site(split, R"("spaces":[1,3],"neutral":false,"load":"resistive")", "A-N");
    CHECK(at_angle(two, 0).proof == Proof::right);
}

TEST_CASE("live: loads between lines read 30 degrees apart and are healthy") {
    // Two poles A and B of a wye, seen with references to neutral: phi - 30 and phi + 30.
    const std::string circuit = R"("spaces":[1,3],"neutral":false,"load":"resistive")";
    CHECK(at_angle(site(wye, circuit, "A-N"), -30).proof == Proof::right);
    CHECK(at_angle(site(wye, circuit, "B-N"), 30).proof == Proof::right);
    CHECK(at_angle(site(wye, circuit, "A-B"), 0).proof == Proof::right);
    // 180 away. The other conductor of the same load, not reversed, carries the same current backwards.
    CHECK(at_angle(site(wye, circuit, "A-N"), 150).reads_as == "reversed or on phase B");
    // Three poles, two elements between lines: phi + 30 and phi - 30.
    const char* delta = R"("kind":"three_wire_delta","volts_ll":480)";
    const std::string motor = R"("spaces":[1,3,5],"load":"resistive")";
    CHECK(at_angle(site(delta, motor, "A-B"), 30).proof == Proof::right);
    CHECK(at_angle(site(delta, motor, "C-B"), -30).proof == Proof::right);
}

TEST_CASE("live: two legs with a neutral read between both kinds of load: likely where look-alikes fit as well") {
    const std::string json = site(wye, R"("spaces":[1,3],"neutral":true)", "A-N");
    const LiveChannel ch = at_angle(json, 5);  // band -45 to 45
    CHECK(ch.proof == Proof::likely);
    CHECK(ch.reads_as == "as recorded or on phase B, reversed");
    CHECK(ch.band_low_deg == Approx(-45));
    CHECK(at_angle(json, 43).proof == Proof::undecided);
    CHECK(at_angle(json, 180).proof == Proof::wrong);
}

TEST_CASE("live: legs of a high-leg delta") {
    // A resistor from A to the high leg B: V_AN stands 60 degrees from V_AB, V_BN 30.
    const char* high = R"("kind":"high_leg_delta","volts_ln":120)";
    const std::string ab = R"("spaces":[1,3],"neutral":false,"load":"resistive")";
    CHECK(at_angle(site(high, ab, "A-N"), -60).proof == Proof::right);
    CHECK(at_angle(site(high, ab, "B-N"), 30).proof == Proof::right);
    const std::string ac = R"("spaces":[1,5],"neutral":false,"load":"resistive")";
    CHECK(at_angle(site(high, ac, "A-N"), 0).proof == Proof::right);
    // 208 V to neutral is normal there, and 120 V is not.
    const std::string json = site(high, R"("spaces":[3],"load":"resistive")", "B-N");
    CHECK(times(check(json, "channel,volts,amps,watts,vars\nch,208,10,2080,0\n"), "voltage-unexpected") == 0);
    CHECK(times(check(json, "channel,volts,amps,watts,vars\nch,120,10,1200,0\n"), "voltage-unexpected") == 1);
}

TEST_CASE("live: the grounded phase of a corner-grounded delta reads nothing and that is normal") {
    const std::string json =
        site(R"("kind":"corner_grounded_delta","volts_ll":480)", R"("spaces":[1,3,5],"load":"motor")", "B-G");
    const Live l = check(json, "channel,volts,amps,watts,vars\nch,0,10,0,0\n");
    CHECK(l.channels[0].proof == Proof::not_proven);
    CHECK(times(l, "channel-not-judged") == 0);
}

TEST_CASE("live: without load nothing is proven, without vars only the sign is known") {
    const std::string json = site(wye, R"("spaces":[1],"load":"resistive")", "A-N");
    CHECK(check(json, "channel,amps,watts,vars\nch,0.9,108,0\n").channels[0].proof == Proof::not_proven);  // < 1 %
    CHECK(check(json, "channel,amps,watts,vars\nch,1.1,132,0\n").channels[0].proof == Proof::right);
    const Live sign = check(json, "channel,amps,watts\nch,10,1200\n");
    CHECK(sign.channels[0].proof == Proof::undecided);
    CHECK(times(sign, "channel-sign-only") == 1);
    CHECK(check(json, "channel,amps,watts\nch,10,-1200\n").channels[0].proof == Proof::wrong);
    // On split phase the sign says it all.
    CHECK(check(site(split, R"("spaces":[1])", "A-N"), "channel,amps,watts\nch,10,1200\n").channels[0].proof ==
          Proof::right);
    // Export of generation is no fault; import is not proven to be one.
    const std::string sun = site(wye, R"("spaces":[1],"load":"generation")", "A-N");
    CHECK(at_angle(sun, 178).proof == Proof::right);
    CHECK(at_angle(sun, 2).proof == Proof::undecided);
}

TEST_CASE("live: angles and power factors by their convention") {
    const std::string json = site(wye, R"("spaces":[1],"load":"motor")", "A-N");
    const auto angle = [&](const std::string& csv) { return check(json, csv).channels.at(0).angle_deg; };
    CHECK(angle("channel,amps,watts,angle_v_minus_i_deg\nch,10,1000,390\n") == Approx(30));
    CHECK(angle("channel,amps,watts,angle_i_minus_v_deg\nch,10,1000,-30\n") == Approx(30));
    CHECK(angle("channel,amps,watts,power_factor_lag_positive\nch,10,1000,0.5\n") == Approx(60));
    CHECK(angle("channel,amps,watts,power_factor_lead_positive\nch,10,1000,-0.5\n") == Approx(60));
    CHECK(angle("channel,amps,watts,power_factor_lag_positive\nch,10,-1000,0.5\n") == Approx(120));
    CHECK_FALSE(check(json, "channel,amps,watts,power_factor_unsigned\nch,10,1000,0.5\n").channels[0].has_angle);
    CHECK(status_of("channel,angle_deg\n") == BLN_E_CONVENTION);
    CHECK(status_of("channel,power_factor\n") == BLN_E_CONVENTION);
    CHECK(status_of("channel,kilowatts\n") == BLN_E_UNIT);
    CHECK(status_of("channel,humidity\n") == BLN_E_FIELD);
    CHECK(status_of("channel,watts,watts\n") == BLN_E_DUPLICATE);
    CHECK(status_of("channel,watts\nch,nan\n") == BLN_E_NOT_FINITE);
    CHECK(status_of("channel,power_factor_lag_positive\nch,1.01\n") == BLN_E_VALUE);
    CHECK(status_of("channel,amps\nch,-1\n") == BLN_E_VALUE);
}

TEST_CASE("live: rows that contradict themselves or one another are named") {
    const std::string json = site(wye, R"("spaces":[1],"load":"resistive")", "A-N");
    Live l = check(json, "channel,volts,amps,watts\nch,120,1,1200\nx,120,1,100\n");
    CHECK(times(l, "power-above-apparent") == 1);
    CHECK(times(l, "reading-channel-unknown") == 1);
    l = check(json, "channel,amps,watts,vars\nch,10,1200,0\nch,10,1200,0\n");
    CHECK(times(l, "reading-repeated") == 1);
    CHECK(l.channels[0].proof == Proof::right);
    l = check(json, "channel,amps,watts,vars\nch,10,1200,0\nch,10,-1200,0\n");
    CHECK(times(l, "reading-contradicted") == 1);
    CHECK(l.channels[0].proof == Proof::not_proven);
}

TEST_CASE("live: branches against their main, by phase, only when all are read") {
    const std::string json = R"({"blondel":"1","services":{"s":{"kind":"four_wire_wye","volts_ln":120}},
        "panels":{"p":{"service":"s","spaces":12,"fed_from":"M"}},
        "circuits":{"M":{"phases":"ABC","role":"main"},"a":{"panel":"p","spaces":[1]},"b":{"panel":"p","spaces":[3]},
                    "x":{"panel":"p","spaces":[5],"role":"spare"}},
        "devices":{"d":{"service":"s"}},
        "channels":{"ma":{"device":"d","reference":"A-N"},"mb":{"device":"d","reference":"B-N"},
                    "mc":{"device":"d","reference":"C-N"},"ca":{"device":"d","reference":"A-N"},
                    "cb":{"device":"d","reference":"B-N"}},
        "points":{"M":{"use":"main","circuits":["M"],"elements":{"ma":1,"mb":1,"mc":1}},
                  "A":{"circuits":["a"],"elements":{"ca":1}},"B":{"circuits":["b"],"elements":{"cb":1}}}})";
    const std::string main = "channel,amps,watts,vars\nma,20,2000,0\nmb,10,1000,0\nmc,0,0,0\n";
    Live l = check(json, main + "ca,20,2010,0\ncb,10,995,0\n");
    REQUIRE(l.sums.size() == 3);
    CHECK(l.sums[0].verdict == Verdict::right);
    CHECK(l.sums[0].circuits == 2);
    CHECK(l.sums[1].phase == "A");
    l = check(json, main + "ca,20,2010,0\ncb,10,-995,0\n");
    CHECK(l.sums[0].verdict == Verdict::wrong);
    CHECK(l.sums[1].verdict == Verdict::right);
    CHECK(l.sums[2].verdict == Verdict::wrong);
    l = check(json, main + "ca,20,2010,0\n");
    CHECK(l.sums[0].verdict == Verdict::not_checked);
    CHECK(l.sums[0].unread == 1);
    CHECK(times(l, "main-not-summed") == 1);
}
