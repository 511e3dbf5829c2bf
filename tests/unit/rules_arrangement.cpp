// Which finding each mistake in a small record raises, and that its near neighbours raise none.
#include "rules.hpp"

using namespace bln;
using namespace bln::test;

using Lines = std::vector<std::string>;

namespace {

struct Made {
    const char* channel;
    const char* reference;
    std::vector<std::pair<std::string_view, Rational>> passes;
    Rational multiplier = 1;
};

/// One circuit c of one point p, one CT for each channel.
Record site(const char* kind, std::vector<std::int64_t> spaces, bool neutral, const std::vector<Made>& made) {
    Record r;
    r.on(Kind::service, "s").choice("kind", kind);
    r.on(Kind::panel, "P").text("service", "s").integer("spaces", 42);
    r.on(Kind::circuit, "c").text("panel", "P").integers("spaces", spaces).choice("role", "premises");
    r.flag("neutral", neutral);
    r.on(Kind::ct_type, "T").integer("primary_amps", 100).integer("secondary", 5).choice("output", "amps");
    r.on(Kind::ct_type, "T").choice("mark_faces", "source");
    r.on(Kind::device, "d").text("service", "s");
    r.on(Kind::premises, "t").choice("occupancy", "tenant");
    std::vector<std::pair<std::string_view, Rational>> elements;
    for (const Made& m : made) {
        r.on(Kind::ct, m.channel).text("type", "T").terms("passes", m.passes).choice("mark_faces", "source");
        r.on(Kind::channel, m.channel).text("device", "d").terms("cts", {{m.channel, 1}});
        r.on(Kind::channel, m.channel).choice("reference", m.reference);
        r.on(Kind::channel, m.channel).integer("primary_amps", 100).integer("secondary", 5);
        if (!(m.multiplier == Rational(1))) r.on(Kind::channel, m.channel).ratio("multiplier", m.multiplier);
        elements.push_back({m.channel, 1});
    }
    r.on(Kind::point, "p").text("premises", "t").texts("circuits", {"c"}).terms("elements", elements);
    return r;
}

}  // namespace

TEST_CASE("arrangements that need no remark") {
    CHECK(found(site("single_phase_two_wire", {1}, true, {{"k1", "A-N", {{"c", 1}}}})).empty());
    CHECK(found(site("four_wire_wye", {1, 3}, false, {{"k1", "A-B", {{"c:1", 1}}}})).empty());
    CHECK(
        found(site("four_wire_wye", {1, 3}, true, {{"k1", "A-N", {{"c:1", 1}}}, {"k2", "B-N", {{"c:2", 1}}}})).empty());
    // Two wattmeters on a load without neutral.
    CHECK(found(site("four_wire_wye", {1, 3, 5}, false, {{"k1", "A-B", {{"c:1", 1}}}, {"k3", "C-B", {{"c:3", 1}}}}))
              .empty());
    // Two turns and a ratio that knows it.
    Record r = site("four_wire_wye", {1}, true, {{"k1", "A-N", {{"c", 2}}}});
    r.on(Kind::channel, "k1").integer("primary_amps", 50);
    CHECK(found(r).empty());
}

TEST_CASE("too few elements come with their error term") {
    const Record r = site("four_wire_wye", {1, 3, 5}, true, {{"k1", "A-B", {{"c:1", 1}}}, {"k3", "C-B", {{"c:3", 1}}}});
    CHECK(found(r) == Lines{"elements-too-few: p"});
    const Finding f = checked(r).findings.front();
    std::string error;
    for (const Fact& x : f.facts)
        if (x.name == "error") error = x.text;
    CHECK(error == "\u2212V_B\u00b7I_\u03a3*");  // E8 of the usual table: -V_B I_sigma*
    CHECK(f.facts[0].value == 2);
    CHECK(f.facts[1].value == 3);
}

TEST_CASE("exact at nominal voltages is a warning, and an error where the policy says so") {
    // Both legs through one CT in opposition, half the voltage between the legs.
    const Made one{"k1", "A-B", {{"c:1", 1}, {"c:2", -1}}, {1, 2}};
    const Record r = site("single_phase_three_wire", {1, 3}, true, {one});
    CHECK(found(r) == Lines{"exact-only-at-nominal: p"});
    CHECK(checked(r).findings.front().severity == Severity::warning);
    Policy strict(rules_policy());
    strict.set("nominal_is_error", 1);
    const View v = r.view();
    CHECK(check(v, strict).findings.front().severity == Severity::error);
    // The same on two legs of a wye is not even that: 75 % of what a lamp between leg and neutral takes.
    const Record wye = site("two_legs_of_wye", {1, 3}, true, {one});
    CHECK(found(wye) == Lines{"elements-too-few: p"});
}

TEST_CASE("one CT doubled on two legs of a wye is wrong although one element would do") {
    CHECK(found(site("two_legs_of_wye", {1, 3}, false, {{"k1", "A-N", {{"c:1", 1}}, 2}})) ==
          Lines{"arrangement-not-exact: p"});
}

TEST_CASE("a missing CT is told as the pole that lacks it") {
    CHECK(found(site("four_wire_wye", {1, 3, 5}, true, {{"k1", "A-N", {{"c:1", 1}}}, {"k2", "B-N", {{"c:2", 1}}}})) ==
          Lines{"pole-unmetered: c p"});
    CHECK(found(site("four_wire_wye", {1, 3}, false, {{"k1", "A-N", {{"c:1", 1}}}})) == Lines{"pole-unmetered: c p"});
}

TEST_CASE("two CTs on one pole are told as such") {
    CHECK(found(site("four_wire_wye", {1}, true, {{"k1", "A-N", {{"c", 1}}}, {"k2", "A-N", {{"c", 1}}}})) ==
          Lines{"pole-metered-twice: c p"});
}

TEST_CASE("a voltage of another phase is told as such") {
    CHECK(found(site("four_wire_wye", {1}, true, {{"k1", "B-N", {{"c", 1}}}})) ==
          Lines{"reference-of-another-phase: p k1"});
    // Two exchanged within one point.
    CHECK(found(site("four_wire_wye", {1, 3, 5}, true,
                     {{"k1", "B-N", {{"c:1", 1}}}, {"k2", "A-N", {{"c:2", 1}}}, {"k3", "C-N", {{"c:3", 1}}}})) ==
          Lines{"reference-of-another-phase: p k1 k2"});
}

TEST_CASE("a ratio that differs is told unless something undoes it") {
    Record r = site("four_wire_wye", {1}, true, {{"k1", "A-N", {{"c", 1}}}});
    r.on(Kind::channel, "k1").integer("primary_amps", 200);
    REQUIRE(found(r) == Lines{"ratio-differs: k1 k1"});
    r.on(Kind::channel, "k1").ratio("multiplier", {1, 2});
    CHECK(found(r).empty());
}

TEST_CASE("a direction that differs is told unless something undoes it") {
    Record r = site("four_wire_wye", {1}, true, {{"k1", "A-N", {{"c", 1}}}});
    r.on(Kind::ct, "k1").choice("mark_faces", "load");
    CHECK(found(r) == Lines{"direction-differs: k1 k1"});
    r.on(Kind::channel, "k1").choice("polarity", "inverted");
    CHECK(found(r).empty());
    r.on(Kind::channel, "k1").terms("cts", {{"k1", -1}});
    CHECK(found(r) == Lines{"direction-differs: k1 k1"});
    Record two = site("four_wire_wye", {1, 3}, false, {{"k1", "B-A", {{"c:1", 1}}}});
    CHECK(found(two) == Lines{"direction-differs: k1 k1"});
    two.on(Kind::ct, "k1").choice("mark_faces", "load");
    CHECK(found(two).empty());
}

TEST_CASE("an unknown neutral leaves open only what depends on it") {
    Record r = site("four_wire_wye", {1, 3}, true, {{"k1", "A-B", {{"c:1", 1}}}});
    CHECK(found(r) == Lines{"elements-too-few: p"});
    r.on(Kind::circuit, "c").clear("neutral");
    CHECK(found(r).empty());
    bool asked = false;
    for (const Finding& f : only(r, "not-checked")) asked |= f.discriminator == "circuit.neutral";
    CHECK(asked);
    Record three = site("four_wire_wye", {1, 3}, true, {{"k1", "A-N", {{"c:1", 1}}}, {"k2", "B-N", {{"c:2", 1}}}});
    three.on(Kind::circuit, "c").clear("neutral");
    for (const Finding& f : only(three, "not-checked")) CHECK(f.discriminator != "circuit.neutral");
}

TEST_CASE("exchanged channels of two points are told at both") {
    Record r = site("four_wire_wye", {1}, true, {{"k1", "A-N", {{"c", 1}}}, {"k2", "A-N", {{"c2", 1}}}});
    r.on(Kind::circuit, "c2").text("panel", "P").integers("spaces", {2}).choice("role", "premises");
    r.on(Kind::point, "p").terms("elements", {{"k2", 1}});
    r.on(Kind::point, "q").text("premises", "t").texts("circuits", {"c2"}).terms("elements", {{"k1", 1}});
    CHECK(found(r) == Lines{"measures-another-circuit: p k2 c2", "measures-another-circuit: q k1 c"});
}

TEST_CASE("a feeder without what it feeds is a rest, not a mistake") {
    Record r = site("four_wire_wye", {1}, true, {{"k1", "A-N", {{"c", 1}}}, {"k2", "A-N", {{"c2", 1}}}});
    r.on(Kind::panel, "Q").text("service", "s").text("fed_from", "c").text("bus", "A");
    r.on(Kind::circuit, "c2").text("panel", "Q").integers("spaces", {1}).choice("role", "premises");
    r.on(Kind::point, "p").terms("elements", {{"k1", 1}, {"k2", -1}});
    r.on(Kind::point, "q").text("premises", "t").texts("circuits", {"c2"}).terms("elements", {{"k2", 1}});
    CHECK(found(r).empty());
}

TEST_CASE("points that divide a channel are each judged as if they had all of it") {
    Record r = site("four_wire_wye", {1}, true, {{"k1", "A-N", {{"c", 1}}}});
    r.on(Kind::point, "p").terms("elements", {{"k1", {1, 4}}});
    CHECK(found(r) == Lines{"arrangement-not-exact: p"});  // three quarters are billed to nobody
    r.on(Kind::point, "q").text("premises", "t").texts("circuits", {"c"}).terms("elements", {{"k1", {3, 4}}});
    CHECK(found(r).empty());
}

TEST_CASE("circuits that nobody measures") {
    Record r = site("four_wire_wye", {1}, true, {{"k1", "A-N", {{"c", 1}}}});
    r.on(Kind::circuit, "c2").text("panel", "P").integers("spaces", {2}).choice("role", "premises");
    CHECK(found(r) == Lines{"pole-unmetered: c2"});
    r.on(Kind::circuit, "c2").choice("role", "spare");
    CHECK(found(r).empty());
    r.on(Kind::circuit, "c2").choice("role", "meter_supply");
    CHECK(found(r).empty());
    r.on(Kind::circuit, "c2").choice("role", "common");
    CHECK(checked(r).findings.front().severity == Severity::warning);
}

TEST_CASE("contradictions of poles, terminals and windows are told") {
    Record r = site("four_wire_wye", {1}, true, {{"k1", "A-N", {{"c", 1}}}});
    r.on(Kind::circuit, "c").integers("spaces", {43});
    CHECK(only(r, "pole-contradiction").size() == 1);
    r.on(Kind::circuit, "c").integers("spaces", {1});
    r.on(Kind::ct, "k1").terms("passes", {{"c:2", 1}});
    CHECK(only(r, "ct-on-missing-conductor").size() == 1);
    r.on(Kind::ct, "k1").terms("passes", {{"c:1", 1}});
    r.on(Kind::profile, "x").texts("references", {"A", "B", "N"});
    r.on(Kind::device, "d").text("profile", "x").texts("landed", {"none", "B", "N"});
    CHECK(only(r, "terminal-not-landed").size() == 1);
    r.on(Kind::device, "d").texts("landed", {"A", "B"});
    CHECK(only(r, "landing-contradiction").size() == 1);
    r.on(Kind::device, "d").texts("landed", {"A", "B", "N"});
    CHECK(found(r).empty());
    r.on(Kind::channel, "k1").choice("reference", "C-N");
    CHECK(only(r, "landing-contradiction").size() == 1);
}
