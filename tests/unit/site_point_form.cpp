// From the record of a point to its form: rows as the record implies them, assumptions, gaps.
#include "site/point_form.hpp"

#include "power/form_words.hpp"
#include "record.hpp"

using namespace bln;
using bln::test::Record;

namespace {

/// Panel P on service S, circuit K on @p spaces, point M with one channel X1, X2, ... for each pole, each
/// with its CT on that pole and the voltage of its phase to neutral; everything recorded.
Record site(std::string_view kind, const std::vector<std::int64_t>& spaces, std::optional<bool> neutral,
            const std::vector<std::string_view>& references) {
    Record r;
    r.on(Kind::service, "S").choice("kind", kind);
    r.on(Kind::panel, "P").text("service", "S").integer("spaces", 42);
    r.on(Kind::circuit, "K").text("panel", "P").integers("spaces", spaces);
    if (neutral) r.integer("neutral", *neutral ? 1 : 0);
    r.on(Kind::ct_type, "T").integer("primary_amps", 200).integer("secondary", 5).choice("mark_faces", "source");
    r.on(Kind::profile, "F").texts("references", {"A", "B", "C", "N"});
    r.on(Kind::device, "D").text("profile", "F").text("service", "S");
    std::vector<std::pair<std::string_view, Rational>> elements;
    static const std::string_view channels[] = {"X1", "X2", "X3"}, cts[] = {"T1", "T2", "T3"},
                                  poles[] = {"K:1", "K:2", "K:3"};
    for (std::size_t i = 0; i < references.size(); ++i) {
        r.on(Kind::ct, cts[i])
            .text("type", "T")
            .terms("passes", {{poles[i], Rational(1)}})
            .choice("mark_faces", "source");
        r.on(Kind::channel, channels[i])
            .text("device", "D")
            .integer("input", static_cast<std::int64_t>(i + 1))
            .terms("cts", {{cts[i], Rational(1)}})
            .choice("reference", references[i])
            .integer("primary_amps", 200)
            .integer("secondary", 5);
        elements.emplace_back(channels[i], Rational(1));
    }
    r.on(Kind::point, "M").texts("circuits", {"K"}).terms("elements", elements);
    return r;
}

PointForm built(const View& view, bool neutral = true) {
    PointForm f = point_form(view, 0, neutral);
    std::string notes;
    for (const FormNote& n : f.notes) notes += std::string(info(n.code).slug) + " " + std::string(n.id) + "; ";
    INFO(notes);
    REQUIRE(f.built);
    return f;
}
std::string error(const Record& r) {
    const View view = r.view();
    return error_text(built(view).form);
}
/// The first note that stopped the form.
std::string stopped(const Record& r) {
    const View view = r.view();
    const PointForm f = point_form(view, 0);
    CHECK_FALSE(f.built);
    for (const FormNote& n : f.notes)
        if (info(n.code).stops) return std::string(info(n.code).slug) + " " + std::string(n.id);
    return "none";
}
bool noted(const Record& r, FormNoteCode code) {
    const View view = r.view();
    return built(view).has(code);
}

Record three_phase() { return site("four_wire_wye", {1, 3, 5}, true, {"A-N", "B-N", "C-N"}); }

}  // namespace

TEST_CASE("a complete record gives an exact form without a note") {
    const View view = three_phase().view();
    const PointForm f = built(view);
    CHECK(f.notes.empty());
    CHECK(f.form.exact());
    CHECK(f.form.fewest_elements() == 3);
    CHECK(f.form.conductors().size() == 4);
    CHECK(f.origin[3].pole == 0);
    CHECK(f.origin[1].pole == 2);
    CHECK(f.service == 0);
    CHECK(f.channel.size() == 3);
}

TEST_CASE("rows follow how the CT hangs and what the device was told") {
    const auto first = [](const Record& r) {
        const View view = r.view();
        return built(view).form.amps(0)[0];
    };
    Record r = three_phase();
    CHECK(first(r) == Rational(1));
    CHECK(first(Record(r).on(Kind::ct, "T1").choice("mark_faces", "load")) == Rational(-1));
    CHECK(first(Record(r).on(Kind::channel, "X1").choice("polarity", "inverted")) == Rational(-1));
    CHECK(first(Record(r).on(Kind::channel, "X1").terms("cts", {{"T1", Rational(-1)}})) == Rational(-1));
    CHECK(first(Record(r).on(Kind::ct, "T1").terms("passes", {{"K:1", Rational(2)}})) == Rational(2));
    CHECK(first(Record(r).on(Kind::channel, "X1").integer("primary_amps", 400)) == Rational(2));
    CHECK(first(Record(r).on(Kind::ct_type, "T").integer("primary_amps", 100)) == Rational(2));
    CHECK(first(Record(r).on(Kind::channel, "X1").integer("secondary", 1)) == Rational(5));
    // A reversed CT with a polarity that undoes it is right.
    Record undone(r);
    undone.on(Kind::ct, "T1").choice("mark_faces", "load");
    CHECK(error(undone) == "−2·V_A·I_A*");
    undone.on(Kind::channel, "X1").choice("polarity", "inverted");
    CHECK(error(undone) == "0");
    // Weight: multiplier of the channel times its share in the point.
    r.on(Kind::channel, "X2").ratio("multiplier", Rational(3));
    r.on(Kind::point, "M").terms("elements", {{"X1", Rational(1)}, {"X2", Rational(1, 2)}, {"X3", Rational(1)}});
    CHECK(error(r) == "½·V_B·I_B*");
}

TEST_CASE("voltages follow where the terminals are landed") {
    Record r = three_phase();
    r.on(Kind::device, "D").texts("landed", {"B", "A", "C", "N"});
    // v_B i_A + v_A i_B against v_A i_A + v_B i_B: one product.
    CHECK(error(r) == "−V_AB·(I_A−I_B)*");
    r.on(Kind::device, "D").texts("landed", {"A", "B", "C", "none"});
    CHECK(noted(r, FormNoteCode::common_floats));
    CHECK(error(r) == "−E·I_Σ*");
    r.on(Kind::device, "D").texts("landed", {"A", "B", "none", "N"});
    CHECK(noted(r, FormNoteCode::terminal_not_landed));
    CHECK(error(r) == "−V_C·I_C*");
    r.on(Kind::device, "D").texts("landed", {"A", "B", "C"});
    CHECK(stopped(r) == "landed-length D");
    r.on(Kind::device, "D").texts("landed", {"A", "B", "C", "L4"});
    CHECK(stopped(r) == "landed-unknown D");
}

TEST_CASE("a floating common is exact without neutral, and on a delta nothing else is there") {
    CHECK(error(site("three_wire_delta", {1, 3, 5}, false, {"A-N", "B-N", "C-N"})) == "0");
    CHECK(noted(site("three_wire_delta", {1, 3, 5}, {}, {"A-N", "B-N", "C-N"}), FormNoteCode::common_floats));
    CHECK(error(site("three_wire_delta", {1, 3, 5}, {}, {"A-star", "B-star", "C-star"})) == "0");
    Record corner = site("corner_grounded_delta", {1, 3, 5}, {}, {"A-B", "B-G", "C-B"});
    corner.on(Kind::profile, "F").texts("references", {"A", "B", "C", "N", "G"});
    CHECK(error(corner) == "0");  // the channel on the grounded phase reads nothing, as it should
}

TEST_CASE("an unknown neutral is decided both ways") {
    const View view = site("four_wire_wye", {1, 3, 5}, {}, {"A-B", "B-A", "C-B"}).view();
    const PointForm with = point_form(view, 0, true), without = point_form(view, 0, false);
    REQUIRE(with.built);
    REQUIRE(without.built);
    CHECK(with.has(FormNoteCode::neutral_assumed));
    CHECK(with.form.conductors().size() == 4);
    CHECK(without.form.conductors().size() == 3);
    Record lines = site("four_wire_wye", {1, 3}, {}, {"A-B"});
    const View two = lines.view();
    CHECK_FALSE(point_form(two, 0, true).form.exact());
    CHECK(point_form(two, 0, false).form.exact());
}

TEST_CASE("what is not recorded is assumed and said") {
    Record r = three_phase();
    CHECK(noted(Record(r).on(Kind::ct, "T1").text("serial", "1"), FormNoteCode::ct_direction_assumed) == false);
    Record one = site("single_phase_two_wire", {1}, {}, {"A-N"});
    one.on(Kind::ct, "U1").terms("passes", {{"K", Rational(1)}});  // pole of a one-pole circuit is plain
    one.on(Kind::channel, "X1").terms("cts", {{"U1", Rational(1)}});
    CHECK(noted(one, FormNoteCode::ct_direction_assumed));
    CHECK(noted(one, FormNoteCode::ratio_assumed));
    one.on(Kind::device, "E");
    one.on(Kind::channel, "X9").text("device", "E").terms("cts", {{"T1", Rational(1)}}).choice("reference", "A-N");
    one.on(Kind::point, "M").terms("elements", {{"X9", Rational(1)}});
    CHECK(noted(one, FormNoteCode::device_service_assumed));
    CHECK(noted(one, FormNoteCode::terminals_assumed));
    CHECK(error(one) == "0");
}

TEST_CASE("a CT round another circuit shows the stranger's power") {
    Record r = site("single_phase_two_wire", {1}, {}, {"A-N"});
    r.on(Kind::circuit, "L").text("panel", "P").integers("spaces", {3});
    r.on(Kind::ct, "T1").terms("passes", {{"L:1", Rational(1)}});
    const View view = r.view();
    const PointForm f = built(view);
    CHECK(f.has(FormNoteCode::other_circuit));
    const std::string_view names[] = {"K", "L"};
    CHECK(error_text(f.form, names) == "−V_A·(I_A[K]−I_A[L])*");
    CHECK(f.form.fewest_elements() == 1);
}

TEST_CASE("several circuits share the voltages of their phases") {
    Record r = site("four_wire_wye", {1}, {}, {"A-N"});
    r.on(Kind::circuit, "L").text("panel", "P").integers("spaces", {2});  // the same row: phase A
    r.on(Kind::ct, "T1").terms("passes", {{"K:1", Rational(1)}, {"L:1", Rational(1)}});
    r.on(Kind::point, "M").texts("circuits", {"K", "L"});
    CHECK(error(r) == "0");
    r.on(Kind::circuit, "L").integers("spaces", {4});  // phase B
    CHECK(error(r) == "V_AB·I_B[2]*");
}

TEST_CASE("what stops a form is named") {
    const Record good = three_phase();
    CHECK(stopped(Record(good).on(Kind::point, "M").texts("circuits", {"K", "GONE"})) == "circuit-dangling GONE");
    CHECK(stopped(Record(good).on(Kind::point, "M").terms("elements", {{"GONE", Rational(1)}})) ==
          "channel-dangling GONE");
    CHECK(stopped(Record(good).on(Kind::circuit, "K").integers("spaces", {1, 3, 43})) == "phase-unknown K");
    CHECK(stopped(Record(good).on(Kind::panel, "P").text("service", "GONE")) == "service-unknown K");
    CHECK(stopped(Record(good).on(Kind::channel, "X1").text("device", "GONE")) == "device-unknown X1");
    CHECK(stopped(Record(good).on(Kind::device, "D").text("service", "GONE")) == "device-service-unknown D");
    CHECK(stopped(Record(good).on(Kind::channel, "X1").terms("cts", {{"GONE", Rational(1)}})) == "ct-dangling GONE");
    CHECK(stopped(Record(good).on(Kind::ct, "T1").terms("passes", {{"K", Rational(1)}})) == "pass-pole-unknown T1");
    CHECK(stopped(Record(good).on(Kind::ct, "T1").terms("passes", {{"GONE:1", Rational(1)}})) ==
          "pass-circuit-dangling T1");
    CHECK(stopped(Record(good).on(Kind::profile, "F").texts("references", {"A", "B", "C"})) == "terminal-unknown X1");
    Record foreign(good);
    foreign.on(Kind::service, "S2").choice("kind", "four_wire_wye").on(Kind::device, "D").text("service", "S2");
    CHECK(stopped(foreign) == "foreign-reference X1");
    Record bare(good);
    bare.on(Kind::channel, "Y").text("device", "D").choice("reference", "A-N");
    bare.on(Kind::point, "M").terms("elements", {{"Y", Rational(1)}});
    CHECK(stopped(bare) == "cts-unknown Y");
    CHECK(stopped(site("four_wire_wye", {1}, false, {"A-N"})) == "return-unknown K");
    CHECK(stopped(site("three_wire_delta", {1, 3, 5}, true, {"A-B", "B-A", "C-B"})) == "neutral-not-served K");
    CHECK(stopped(site("single_phase_three_wire", {1, 3}, true, {"A-N", "C-N"})) == "landed-not-served D");
    Record without_neutral = three_phase();
    without_neutral.on(Kind::circuit, "K")
        .integer("neutral", 0)
        .on(Kind::ct, "T1")
        .terms("passes", {{"K:N", Rational(1)}});
    CHECK(stopped(without_neutral) == "pass-neutral-absent T1");
    Record nothing;
    nothing.on(Kind::point, "M");
    CHECK(stopped(nothing) == "no-circuits M");
    Record two(good);
    two.on(Kind::service, "S2").choice("kind", "four_wire_wye");
    two.on(Kind::panel, "P2").text("service", "S2").on(Kind::circuit, "K2").text("panel", "P2").integers("spaces", {1});
    two.on(Kind::point, "M").texts("circuits", {"K", "K2"});
    CHECK(stopped(two) == "services-differ K2");
}

TEST_CASE("one pole of a corner-grounded delta returns in the grounded phase") {
    Record r = site("corner_grounded_delta", {1}, {}, {"A-B"});
    CHECK(noted(r, FormNoteCode::return_grounded_phase));
    CHECK(error(r) == "0");
}
