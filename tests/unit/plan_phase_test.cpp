// The voltmeter phase test, against voltages of trade practice.
#include <catch2/catch.hpp>
#include <cmath>
#include <string>

#include "plan/phase_solve.hpp"
#include "record.hpp"

using namespace bln;
using bln::test::Record;

namespace {

Record house(const char* kind, double ln, double ll) {
    Record r;
    r.on(Kind::service, "S").choice("kind", kind);
    if (ln > 0) r.real("volts_ln", ln);
    if (ll > 0) r.real("volts_ll", ll);
    r.on(Kind::panel, "P").text("service", "S").integer("spaces", 42);
    return r;
}

PhaseTest run(const Record& r, const std::vector<PhaseReading>& readings) {
    const View view = r.view();
    return phase_test(view, "S", readings, Policy(phase_test_policy()));
}

const Finding* find(const PhaseTest& t, std::string_view code) {
    for (const Finding& f : t.report.findings)
        if (f.code == code) return &f;
    return nullptr;
}

/// What a voltmeter shows between a place and every usable reference.
std::vector<PhaseReading> foretold(const Record& r, const std::string& name, Conductor at, double drop = 0) {
    const View view = r.view();
    const plan::Stage stage = plan::stage_of(view.service[0], Conductor::none);
    std::vector<PhaseReading> out;
    for (const Conductor c : {Conductor::A, Conductor::B, Conductor::C, Conductor::N, Conductor::G}) {
        const bool phase = index_of(c) < 3;
        if (!stage.known[index_of(c)]) continue;
        if (phase && std::find(stage.phases.begin(), stage.phases.end(), c) == stage.phases.end()) continue;
        const double v = stage.between(at, c);
        out.push_back({name, std::string(word_of(c)), v < 1e-6 ? drop : v});
    }
    return out;
}

}  // namespace

TEST_CASE("120/208: about 0 V is the same phase, about 208 V another") {
    Record r = house("four_wire_wye", 120, 208);
    r.on(Kind::circuit, "c").text("panel", "P").integers("spaces", {3});
    const PhaseTest t = run(r, {{"c:1", "A", 207}, {"c:1", "B", 0.4}, {"c:1", "C", 209}, {"c:1", "N", 121}});
    REQUIRE(t.rows.size() == 1);
    CHECK(t.rows[0].verdict == PhaseVerdict::proven);
    CHECK(t.rows[0].phase == Conductor::B);
    CHECK(t.rows[0].recorded == Conductor::B);
    CHECK(t.report.findings.size() == 1);  // one row of one bus fits more than one order
    CHECK(find(t, "phase-panel-undecided") != nullptr);
}

TEST_CASE("every place of every service is found again, with readings that are five percent off") {
    struct Kind7 {
        const char* kind;
        double ln, ll;
    };
    const Kind7 all[] = {{"single_phase_two_wire", 230, 0}, {"single_phase_three_wire", 120, 240},
                         {"two_legs_of_wye", 120, 208},     {"four_wire_wye", 277, 480},
                         {"three_wire_delta", 0, 480},      {"high_leg_delta", 120, 240},
                         {"corner_grounded_delta", 0, 240}};
    for (const Kind7& k : all)
        for (const double by : {0.95, 1.0, 1.05}) {
            const Record r = house(k.kind, k.ln, k.ll);
            const View view = r.view();
            const plan::Stage stage = plan::stage_of(view.service[0], Conductor::none);
            for (const Conductor place : stage.phases) {
                INFO(k.kind << ' ' << word_of(place) << ' ' << by);
                std::vector<PhaseReading> readings = foretold(r, "x", place, 1.5);
                for (PhaseReading& p : readings) p.volts *= by;
                const PhaseTest t = run(r, readings);
                CHECK(t.rows[0].verdict == PhaseVerdict::proven);
                CHECK(t.rows[0].phase == place);
            }
        }
}

TEST_CASE("between lines alone the high leg shows nothing; to the neutral it does") {
    Record r = house("high_leg_delta", 120, 240);
    r.on(Kind::circuit, "c").text("panel", "P").integers("spaces", {3});
    // The record says B; in truth the high leg is C, and the conductor stands on C.
    const PhaseTest t = run(r, {{"c", "A", 240}, {"c", "B", 240}, {"c", "C", 0}, {"c", "N", 208}});
    REQUIRE(find(t, "phase-high-leg-elsewhere") != nullptr);
    CHECK(t.rows[0].phase == Conductor::C);
    CHECK(find(t, "phase-differs") != nullptr);
}

TEST_CASE("what stays open is named with the measurement that decides") {
    const Record r = house("four_wire_wye", 120, 208);
    SECTION("the voltage to neutral is the same on every phase") {
        const PhaseTest t = run(r, {{"x", "N", 120}});
        CHECK(t.rows[0].verdict == PhaseVerdict::ambiguous);
        CHECK(t.rows[0].candidates == "ABC");
        CHECK(t.rows[0].next_reference == "A");
    }
    SECTION("a zero alone may be an open probe") {
        const PhaseTest t = run(r, {{"x", "A", 0}});
        CHECK(t.rows[0].verdict == PhaseVerdict::ambiguous);
        CHECK(t.rows[0].cause == PhaseCause::zero_alone);
        CHECK(t.rows[0].next_reference == "B");
    }
    SECTION("two full voltages leave one phase, likely until the zero is seen") {
        const PhaseTest t = run(r, {{"x", "A", 208}, {"x", "B", 208}});
        CHECK(t.rows[0].verdict == PhaseVerdict::likely);
        CHECK(t.rows[0].phase == Conductor::C);
        CHECK(t.rows[0].next_reference == "C");
    }
    SECTION("zero to everything is dead") {
        const PhaseTest t = run(r, {{"x", "A", 0}, {"x", "B", 0.2}, {"x", "C", 0}, {"x", "N", 0}});
        CHECK(t.rows[0].verdict == PhaseVerdict::impossible);
        CHECK(t.rows[0].cause == PhaseCause::dead);
    }
    SECTION("zero to two phases: the references are tied") {
        const PhaseTest t = run(r, {{"x", "A", 0}, {"x", "B", 0.2}, {"x", "C", 208}});
        CHECK(t.rows[0].cause == PhaseCause::tied);
        const Finding* f = find(t, "phase-readings-conflict");
        REQUIRE(f != nullptr);
        CHECK(f->facts[0].text == "x to A 0 V; x to B 0.2 V");
    }
    SECTION("another transformer, thirty degrees on: 62, 170 and 232 V") {
        const PhaseTest t = run(r, {{"x", "A", 62}, {"x", "B", 170}, {"x", "C", 232}, {"x", "N", 120}});
        CHECK(t.rows[0].cause == PhaseCause::displaced);
    }
    SECTION("a 277 V conductor among 120 V references") {
        const PhaseTest t = run(r, {{"x", "A", 157}, {"x", "B", 352}, {"x", "C", 352}, {"x", "N", 277}});
        CHECK(t.rows[0].cause == PhaseCause::other_system);
    }
    SECTION("part of the voltage everywhere: floating") {
        const PhaseTest t = run(r, {{"x", "A", 150}, {"x", "B", 160}, {"x", "C", 140}});
        CHECK(t.rows[0].cause == PhaseCause::floating);
    }
    SECTION("the neutral of the panel") {
        const PhaseTest t = run(r, {{"x", "A", 120}, {"x", "B", 121}, {"x", "C", 119}, {"x", "N", 0}});
        CHECK(t.rows[0].phase == Conductor::N);
        CHECK(find(t, "phase-conductor-neutral") != nullptr);
    }
}

TEST_CASE("the third phase of a two-leg service is told") {
    const Record r = house("two_legs_of_wye", 120, 208);
    const PhaseTest t = run(r, {{"x", "A", 208}, {"x", "B", 208}, {"x", "N", 120}});
    CHECK(t.rows[0].cause == PhaseCause::third_phase);
}

TEST_CASE("ground is no reference where nothing is grounded") {
    const Record r = house("three_wire_delta", 0, 480);
    const PhaseTest t = run(r, {{"x", "A", 0}, {"x", "B", 480}, {"x", "C", 480}, {"x", "G", 311}, {"x", "N", 277}});
    CHECK(t.rows[0].verdict == PhaseVerdict::proven);
    std::size_t ignored = 0;
    for (const Finding& f : t.report.findings) ignored += f.code == "phase-reading-ignored" ? 1 : 0;
    CHECK(ignored == 2);
}

TEST_CASE("the bus of a panel: moved on by a constant, found from one conductor a row") {
    Record r = house("four_wire_wye", 120, 208);
    const auto panel = [&](const std::vector<std::pair<int, Conductor>>& found) {
        std::vector<PhaseReading> all;
        for (const auto& [space, c] : found)
            for (PhaseReading& p : foretold(r, "P/" + std::to_string(space), c)) all.push_back(std::move(p));
        return run(r, all);
    };
    using enum Conductor;
    SECTION("as recorded") {
        const PhaseTest t = panel({{1, A}, {3, B}, {5, C}});
        CHECK(t.panels[0].verdict == PanelVerdict::as_recorded);
        CHECK(t.report.findings.empty());
    }
    SECTION("fed B C A") {
        const PhaseTest t = panel({{1, B}, {3, C}, {6, A}});
        CHECK(t.panels[0].verdict == PanelVerdict::rotated);
        CHECK(t.panels[0].measured == "BCA");
        CHECK(t.panels[0].offset == 1);
        CHECK_FALSE(t.panels[0].reversed);
        CHECK(t.report.findings.size() == 1);
    }
    SECTION("the other way round") {
        const PhaseTest t = panel({{1, A}, {3, C}, {5, B}});
        CHECK(t.panels[0].verdict == PanelVerdict::rotated);
        CHECK(t.panels[0].measured == "ACB");
        CHECK(t.panels[0].reversed);
    }
    SECTION("one row fits two orders; the next row decides") {
        const PhaseTest t = panel({{1, B}, {2, B}});
        CHECK(t.panels[0].verdict == PanelVerdict::undecided);
        CHECK(t.panels[0].next.find("space 3") != std::string::npos);
    }
    SECTION("one conductor out of many stands elsewhere") {
        const PhaseTest t = panel({{1, B}, {3, C}, {5, A}, {7, B}, {9, B}});
        CHECK(t.panels[0].verdict == PanelVerdict::rotated);
        CHECK(t.panels[0].measured == "BCA");
        REQUIRE(t.panels[0].outliers.size() == 1);
        CHECK(t.rows[t.panels[0].outliers[0]].conductor == "P/9");
        CHECK(find(t, "phase-differs")->discriminator == "P/9");
    }
    SECTION("nobody agrees with anybody") {
        const PhaseTest t = panel({{1, A}, {7, B}, {13, C}});
        CHECK(t.panels[0].verdict == PanelVerdict::mixed);
    }
}

TEST_CASE("conductors measured against each other pass their phase on") {
    Record r = house("four_wire_wye", 120, 208);
    std::vector<PhaseReading> all = foretold(r, "x", Conductor::A);
    all.push_back({"y", "x", 0});
    all.push_back({"z", "x", 208});
    all.push_back({"z", "w", 0.1});
    all.push_back({"w", "B", 208});
    const PhaseTest t = run(r, all);
    const auto row = [&](const char* name) {
        for (const PhaseRow& p : t.rows)
            if (p.conductor == name) return p;
        FAIL(name);
        return PhaseRow{};
    };
    CHECK(row("y").phase == Conductor::A);
    CHECK(row("y").verdict == PhaseVerdict::likely);
    CHECK(row("z").phase == Conductor::C);
    CHECK(row("w").phase == Conductor::C);
}

TEST_CASE("a circle of voltages that cannot be: no reading of the named set can be spared") {
    const Record r = house("four_wire_wye", 120, 208);
    const PhaseTest t = run(r, {{"x", "y", 0}, {"y", "z", 0}, {"x", "z", 208}, {"x", "A", 208}});
    const Finding* f = find(t, "phase-readings-conflict");
    REQUIRE(f != nullptr);
    CHECK(f->discriminator == "1,2,3");
    for (const PhaseRow& row : t.rows) CHECK(row.verdict == PhaseVerdict::impossible);
}

TEST_CASE("four conductors cannot all differ on three phases and the neutral's voltages") {
    const Record r = house("three_wire_delta", 0, 480);
    std::vector<PhaseReading> all;
    const std::string names[] = {"p", "q", "r", "s"};
    for (int i = 0; i < 4; ++i)
        for (int j = i + 1; j < 4; ++j) all.push_back({names[i], names[j], 480});
    const PhaseTest t = run(r, all);
    REQUIRE(find(t, "phase-readings-conflict") != nullptr);
    CHECK(find(t, "phase-readings-conflict")->facts[1].value == 6);
}

TEST_CASE("a drop of a few volts is the same phase, and is told") {
    const Record r = house("four_wire_wye", 120, 208);
    const PhaseTest t = run(r, foretold(r, "x", Conductor::B, 6));
    CHECK(t.rows[0].verdict == PhaseVerdict::proven);
    CHECK(find(t, "phase-drop") != nullptr);
}

TEST_CASE("bad readings of a phase test are refused with their place") {
    const auto status = [](std::string_view csv) {
        try {
            (void)phase_readings_csv(csv, 1U << 20);
        } catch (const Failure& f) {
            return f.items().front().status;
        }
        return BLN_OK + 0;
    };
    CHECK(status("conductor,reference,volts\nx,A,1\nx,B,\n") == BLN_OK);
    CHECK(status("") == BLN_E_SYNTAX);
    CHECK(status("conductor,volts\nx,1\n") == BLN_E_FIELD);
    CHECK(status("conductor,reference,kilovolts\n") == BLN_E_UNIT);
    CHECK(status("conductor,reference,volts,volts\n") == BLN_E_DUPLICATE);
    CHECK(status("conductor,reference,volts\nx,A,-1\n") == BLN_E_VALUE);
    CHECK(status("conductor,reference,volts\nx,A,nan\n") == BLN_E_NOT_FINITE);
    CHECK(status("conductor,reference,volts\nA,B,1\n") == BLN_E_VALUE);
    CHECK(status("conductor,reference,volts\nx,x,1\n") == BLN_E_VALUE);
    CHECK(status("conductor,reference,volts\n,A,1\n") == BLN_E_VALUE);
    CHECK(status("conductor,reference,volts\nx,A\n") == BLN_E_VALUE);
}

TEST_CASE("a phase test needs a service with a kind and a voltage") {
    Record r = house("four_wire_wye", 0, 0);
    const View view = r.view();
    const Policy policy(phase_test_policy());
    CHECK_THROWS_AS(phase_test(view, "", {}, policy), Failure);
    CHECK_THROWS_AS(phase_test(view, "nobody", {}, policy), Failure);
    CHECK_THROWS_AS(phase_sheet_csv(view, "P"), Failure);
}

TEST_CASE("the sheet to fill in reads back") {
    Record r = house("high_leg_delta", 120, 240);
    r.on(Kind::circuit, "c").text("panel", "P").integers("spaces", {1, 3});
    const View view = r.view();
    std::string csv = phase_sheet_csv(view, "P");
    CHECK(csv.find("c:2,N,,207.8") != std::string::npos);
    CHECK(phase_readings_csv(csv, 1U << 20).empty());
    // Filled in as foretold, it proves everything.
    for (std::size_t at = 0; (at = csv.find(",,", at)) != std::string::npos; at += 2) {
        const std::size_t end = csv.find("\r\n", at);
        csv.insert(at + 1, csv.substr(at + 2, end - at - 2));
    }
    for (const PhaseRow& row : run(r, phase_readings_csv(csv, 1U << 20)).rows)
        CHECK(row.verdict == PhaseVerdict::proven);
}
