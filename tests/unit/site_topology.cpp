// Phases of poles from panel numbering. The row pattern is the published one of a three-phase
// panelboard (Wikipedia, "Distribution board", as mirrored at masterliness.com): circuits 1 and 2
// on the first phase, 3 and 4 on the second, 5 and 6 on the third, and so on down the rows.
#include "site/topology.hpp"

#include "record.hpp"

using namespace bln;
using bln::test::Record;

namespace {

Record panel(std::string_view kind, std::string_view numbering = {}, std::string_view bus = {}) {
    Record r;
    r.on(Kind::service, "S").choice("kind", kind);
    r.on(Kind::panel, "P").text("service", "S").integer("spaces", 42);
    if (!numbering.empty()) r.choice("numbering", numbering);
    if (!bus.empty()) r.text("bus", bus);
    return r;
}

std::string letters(const PolePhases& poles) {
    std::string out;
    for (std::uint8_t i = 0; i < poles.count; ++i)
        out += poles.pole[i].known() ? word_of(poles.pole[i].phase) : std::string_view("?");
    return out;
}

std::string phases(Record r, const std::vector<std::int64_t>& spaces) {
    r.on(Kind::circuit, "K").text("panel", "P").integers("spaces", spaces);
    return letters(pole_phases(r.view(), 0));
}

PolePhases poles(const Record& r) { return pole_phases(r.view(), 0); }

}  // namespace

TEST_CASE("two-column panel follows the published pattern 1,2=A 3,4=B 5,6=C") {
    const Record r = panel("four_wire_wye");
    const std::string want = "AABBCCAABBCC";
    for (std::size_t i = 0; i < want.size(); ++i)
        CHECK(phases(r, {static_cast<std::int64_t>(i + 1)}) == want.substr(i, 1));
    SECTION("a three-pole breaker is rotated by its row") {
        CHECK(phases(r, {1, 3, 5}) == "ABC");
        CHECK(phases(r, {4, 6, 8}) == "BCA");
        CHECK(phases(r, {41, 5, 7}) == "CCA");  // rows 21, 3, 4
    }
    SECTION("a mirrored panel has the same rows") {
        CHECK(phases(panel("four_wire_wye", "two_columns_mirrored"), {4, 6, 8}) == "BCA");
    }
}

TEST_CASE("one column and ways follow the bus one space after the other") {
    CHECK(phases(panel("four_wire_wye", "one_column"), {1, 2, 3}) == "ABC");
    CHECK(phases(panel("four_wire_wye", "one_column"), {6, 7}) == "CA");
    CHECK(phases(panel("four_wire_wye", "ways"), {4, 5, 6}) == "ABC");  // way 2
    CHECK(phases(panel("two_legs_of_wye", "ways"), {3, 4}) == "AB");    // way 2 of two spaces
}

TEST_CASE("bus pattern, legs and kinds of service") {
    CHECK(phases(panel("four_wire_wye", {}, "BCA"), {1, 3, 5}) == "BCA");
    CHECK(phases(panel("four_wire_wye", {}, "AC"), {1, 3, 5}) == "ACA");
    CHECK(phases(panel("single_phase_three_wire"), {1, 3}) == "AB");
    CHECK(phases(panel("single_phase_two_wire"), {7}) == "A");
    Record legs = panel("two_legs_of_wye");
    legs.on(Kind::service, "S").choice("legs", "CA");
    CHECK(phases(legs, {1, 3}) == "AC");
    CHECK(phases(panel("two_legs_of_wye", {}, "AC"), {1, 3}) == "A?");
}

TEST_CASE("a phase that is not known says why") {
    Record r;
    r.on(Kind::circuit, "K");
    CHECK(poles(r).gap == Gap::poles_absent);
    r.integers("spaces", {1, 3});
    CHECK(poles(r).gap == Gap::panel_absent);
    CHECK(poles(r).count == 2);
    r.text("panel", "P");
    CHECK(poles(r).gap == Gap::panel_dangling);
    r.on(Kind::panel, "P").integer("spaces", 2);
    r.on(Kind::circuit, "K");
    CHECK(poles(r).pole[0].gap == Gap::service_absent);
    CHECK(poles(r).pole[1].gap == Gap::space_beyond);
    r.on(Kind::panel, "P").text("service", "S").on(Kind::circuit, "K");
    CHECK(poles(r).gap == Gap::service_dangling);
    r.on(Kind::service, "S");
    CHECK(poles(r).gap == Gap::kind_absent);
    r.choice("kind", "four_wire_wye");
    CHECK(letters(poles(r)) == "A?");
    CHECK(poles(r).gap == Gap::space_beyond);
    r.on(Kind::circuit, "K").integers("spaces", {1, 2, 3, 4});
    CHECK(poles(r).gap == Gap::poles_count);
    CHECK(poles(r).count == 0);
}

TEST_CASE("stated phases stand where no space does") {
    Record r;
    r.on(Kind::circuit, "K").text("phases", "CAB");
    CHECK(letters(poles(r)) == "CAB");
    CHECK(poles(r).known());
    r.integers("spaces", {1, 3});
    CHECK(poles(r).gap == Gap::phases_length);
    r.text("phases", "CA").text("panel", "P");
    r.on(Kind::panel, "P").text("service", "S").on(Kind::service, "S").choice("kind", "single_phase_three_wire");
    CHECK(letters(poles(r)) == "?A");
    CHECK(poles(r).gap == Gap::phase_not_served);
}

TEST_CASE("neutral as given, by default, or unknown") {
    const auto answer = [](std::string_view kind, const std::vector<std::int64_t>& spaces) {
        Record r = panel(kind);
        r.on(Kind::circuit, "K").text("panel", "P").integers("spaces", spaces);
        return neutral_of(r.view(), 0);
    };
    CHECK(answer("four_wire_wye", {1}) == Answer::yes);
    CHECK(answer("four_wire_wye", {1, 3}) == Answer::unknown);
    CHECK(answer("three_wire_delta", {1, 3}) == Answer::no);
    CHECK(answer("corner_grounded_delta", {1}) == Answer::no);
    Record r;
    r.on(Kind::circuit, "K").integers("spaces", {1});
    CHECK(neutral_of(r.view(), 0) == Answer::unknown);
    r.integer("neutral", 0);
    CHECK(neutral_of(r.view(), 0) == Answer::no);
}

TEST_CASE("what is bonded at each kind of service") {
    using enum Conductor;
    const auto bonds = [](std::string_view kind) { return bonding(panel(kind).view().service[0]); };
    CHECK(bonds("four_wire_wye").bonded(N, G));
    CHECK(bonds("four_wire_wye").nodes() == 4);
    CHECK(bonds("high_leg_delta").bonded(N, G));
    CHECK_FALSE(bonds("single_phase_three_wire").has(C));
    CHECK(bonds("single_phase_two_wire").nodes() == 2);
    const Bonding corner = bonds("corner_grounded_delta");
    CHECK(corner.bonded(B, G));
    CHECK_FALSE(corner.has(N));
    CHECK(corner.nodes() == 3);
    const Bonding delta = bonds("three_wire_delta");
    CHECK(delta.has(G));
    CHECK_FALSE(delta.bonded(G, A));
    CHECK(delta.nodes() == 4);
    Record moved = panel("corner_grounded_delta");
    moved.on(Kind::service, "S").choice("grounded_phase", "C");
    CHECK(bonding(moved.view().service[0]).bonded(C, G));
    CHECK(grounded_phase(moved.view().service[0]) == C);
    CHECK(high_leg(panel("high_leg_delta").view().service[0]) == B);
}
