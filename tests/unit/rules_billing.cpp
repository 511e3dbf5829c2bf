#include "rules.hpp"

using namespace bln;
using namespace bln::test;

using Lines = std::vector<std::string>;

TEST_CASE("an empty record raises nothing") { CHECK(checked(Record()).findings.empty()); }

TEST_CASE("every reference of the table is followed") {
    Record r;
    r.on(Kind::panel, "p").text("service", "nowhere");
    r.on(Kind::ct, "x").terms("passes", {{"gone:1", 1}});
    const auto all = only(r, "dangling-reference");
    REQUIRE(all.size() == 2);
    CHECK(all[0].identity() == "dangling-reference|panel:p|service=nowhere");
    CHECK(all[0].pointer == "/panels/p/service");
    CHECK(all[1].identity() == "dangling-reference|ct:x|passes=gone");
}

TEST_CASE("shares of a channel make one whole") {
    Record r;
    r.on(Kind::channel, "k");
    r.on(Kind::premises, "t");
    r.on(Kind::point, "a").text("premises", "t").terms("elements", {{"k", 1}});
    CHECK(only(r, "channel-used-twice").empty());
    r.on(Kind::point, "b").text("premises", "t").terms("elements", {{"k", 1}});
    CHECK(only(r, "channel-used-twice").size() == 1);
    r.on(Kind::point, "a").terms("elements", {{"k", {1, 3}}});
    r.on(Kind::point, "b").terms("elements", {{"k", {2, 3}}});
    CHECK(only(r, "channel-used-twice").empty());
    r.on(Kind::point, "b").terms("elements", {{"k", {1, 3}}});
    const auto short_of_one = only(r, "channel-used-twice");
    REQUIRE(short_of_one.size() == 1);
    CHECK(short_of_one[0].facts[1].value == Approx(2.0 / 3));
    // Taking away what another point measures downstream is no second use.
    r.on(Kind::point, "a").terms("elements", {{"k", -1}});
    r.on(Kind::point, "b").terms("elements", {{"k", 1}});
    CHECK(only(r, "channel-used-twice").empty());
    // A point for information bills nobody.
    r.on(Kind::point, "a").terms("elements", {{"k", 1}}).choice("use", "check");
    CHECK(only(r, "channel-used-twice").empty());
}

TEST_CASE("a circuit is billed once") {
    Record r;
    r.on(Kind::circuit, "c");
    r.on(Kind::premises, "t");
    r.on(Kind::point, "a").text("premises", "t").texts("circuits", {"c"});
    CHECK(found(r).empty());
    r.on(Kind::point, "b").text("premises", "t").texts("circuits", {"c"});
    CHECK(only(r, "circuit-in-two-points").size() == 1);
    r.on(Kind::channel, "k");
    r.on(Kind::point, "a").terms("elements", {{"k", {1, 2}}});
    r.on(Kind::point, "b").terms("elements", {{"k", {1, 2}}});
    CHECK(only(r, "circuit-in-two-points").empty());
}

TEST_CASE("the supply of the metering is not billed to a tenant") {
    Record r;
    r.on(Kind::circuit, "c").choice("role", "meter_supply");
    r.on(Kind::premises, "t").choice("occupancy", "tenant");
    r.on(Kind::point, "a").text("premises", "t").texts("circuits", {"c"});
    CHECK(only(r, "meter-supply-billed").size() == 1);
    r.on(Kind::premises, "t").choice("occupancy", "common");
    CHECK(only(r, "meter-supply-billed").empty());
    r.on(Kind::circuit, "c").choice("role", "premises");
    r.on(Kind::premises, "t").choice("occupancy", "tenant");
    CHECK(only(r, "meter-supply-billed").empty());
    r.on(Kind::device, "d").text("supply", "c");
    CHECK(only(r, "meter-supply-billed").size() == 1);
}

TEST_CASE("voltages and currents belong to one service") {
    Record r;
    r.on(Kind::service, "s1").choice("kind", "two_legs_of_wye");
    r.on(Kind::service, "s2").choice("kind", "four_wire_wye");
    r.on(Kind::panel, "p").text("service", "s1");
    r.on(Kind::circuit, "c").text("panel", "p").integers("spaces", {1});
    r.on(Kind::device, "d").text("service", "s1");
    r.on(Kind::ct, "x").terms("passes", {{"c", 1}});
    r.on(Kind::channel, "k").text("device", "d").terms("cts", {{"x", 1}}).choice("reference", "A-N");
    r.on(Kind::point, "a").terms("elements", {{"k", 1}});
    CHECK(only(r, "reference-from-another-service").empty());
    CHECK(only(r, "phase-not-in-service").empty());
    r.on(Kind::channel, "k").choice("reference", "C-N");
    REQUIRE(only(r, "phase-not-in-service").size() == 1);
    r.on(Kind::device, "d").text("service", "s2");
    CHECK(only(r, "phase-not-in-service").empty());
    CHECK(only(r, "reference-from-another-service").size() == 1);
    r.on(Kind::panel, "p").text("bus", "ABC");
    CHECK(only(r, "phase-not-in-service")[0].identity() == "phase-not-in-service|panel:p,service:s1|bus");
}

TEST_CASE("every finding has a text in which every place is filled") {
    Record r;
    r.on(Kind::circuit, "c").choice("role", "meter_supply").text("panel", "none");
    r.on(Kind::point, "a").texts("circuits", {"c"});
    r.on(Kind::rollup, "r").terms("rollups", {{"r", 1}});
    for (const Finding& f : checked(r).findings) {
        bool said = false;
        for (const Message& m : rules_messages()) {
            if (m.code != f.code) continue;
            said = true;
            for (const std::string_view pattern : {m.title, m.body, m.action})
                CHECK(fill(pattern, f).find('{') == std::string::npos);
        }
        CHECK(said);
    }
}
