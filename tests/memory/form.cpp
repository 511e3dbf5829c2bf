// Functions over the metering form that may need memory.
#include <cstdint>

#include "scenario.hpp"

namespace {

bln_status try_arrangement_new(Fixture& f, bln_error** e) {
    return made<bln_arrangement>(f, bln_arrangement_free,
                                 [&](auto out) { return bln_arrangement_new("high_leg_delta", out, e); });
}

bln_status try_arrangement_set(Fixture& f, bln_error** e) {
    return bln_arrangement_set(f.fresh_arrangement, "rotation", "ACB", e);
}

bln_status try_arrangement_load(Fixture& f, bln_error** e) {
    return bln_arrangement_load(f.fresh_arrangement, "ABN", e);
}

bln_status try_arrangement_floating(Fixture& f, bln_error** e) {
    std::int32_t terminal = 0;
    return bln_arrangement_floating(f.arrangement, &terminal, e);
}

bln_status try_arrangement_element(Fixture& f, bln_error** e) {
    static const std::int64_t volts[BLN_TERMINAL_COUNT] = {1, 0, 0, -1};
    static const std::int64_t amps[4] = {1, 0, 0, 0};
    return bln_arrangement_element(f.arrangement, volts, nullptr, amps, nullptr, 4, 1, 1, e);
}

bln_status try_arrangement_use(Fixture& f, bln_error** e) {
    return bln_arrangement_use(f.arrangement, f.arrangement_name, e);
}

bln_status try_arrangement_name_at(Fixture&, bln_error** e) {
    const char* name = nullptr;
    return bln_arrangement_name_at(0, &name, nullptr, e);
}

bln_status try_form_of_arrangement(Fixture& f, bln_error** e) {
    return made<bln_form>(f, bln_form_free, [&](auto out) { return bln_form_of_arrangement(f.arrangement, out, e); });
}

bln_status try_form_of_point(Fixture& f, bln_error** e) {
    return made<bln_form>(f, bln_form_free, [&](auto out) { return bln_form_of_point(f.view, "b1", 1, out, e); });
}

bln_status try_form_note_at(Fixture& f, bln_error** e) {
    const char* code = nullptr;
    return bln_form_note_at(f.noted_form, 0, &code, nullptr, nullptr, nullptr, nullptr, e);
}

bln_status try_form_conductor_at(Fixture& f, bln_error** e) {
    const char* circuit = nullptr;
    return bln_form_conductor_at(f.form, 0, nullptr, nullptr, nullptr, &circuit, nullptr, e);
}

bln_status try_form_element_at(Fixture& f, bln_error** e) {
    const char* channel = nullptr;
    return bln_form_element_at(f.form, 0, nullptr, nullptr, nullptr, nullptr, nullptr, nullptr, &channel, e);
}

bln_status try_form_exact(Fixture& f, bln_error** e) {
    std::int32_t exact = 0;
    return bln_form_exact(f.form, &exact, e);
}

bln_status try_form_fewest_elements(Fixture& f, bln_error** e) {
    std::size_t fewest = 0;
    return bln_form_fewest_elements(f.form, &fewest, e);
}

bln_status try_form_residual(Fixture& f, bln_error** e) {
    static std::int64_t num[64];
    static std::int64_t den[64];
    std::size_t rows = 0;
    std::size_t columns = 0;
    std::int32_t reference = 0;
    return bln_form_residual(f.form, &rows, &columns, &reference, nullptr, nullptr, num, den, 64, e);
}

bln_status try_form_words(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_form_words(f.form, BLN_FORM_ERROR, out, e); });
}

bln_status try_form_nominal(Fixture& f, bln_error** e) {
    std::uint32_t right = 0;
    return bln_form_nominal(f.form, &right, nullptr, e);
}

bln_status try_form_registration(Fixture& f, bln_error** e) {
    double re = 0;
    double im = 0;
    return bln_form_registration(f.form, 0, 1, &re, &im, e);
}

bln_status try_form_realise(Fixture& f, bln_error** e) {
    static std::int64_t num[16];
    static std::int64_t den[16];
    std::int32_t found = 0;
    return bln_form_realise(f.form, num, den, &found, nullptr, e);
}

bln_status try_form_evaluate(Fixture& f, bln_error** e) {
    static const double one[2] = {1, 1};
    static double results[4];
    static bln_column volts[2 * BLN_TERMINAL_COUNT];
    static bln_column amps[32];
    for (bln_column& c : volts) c = {one, sizeof(double), nullptr, BLN_TYPE_F64, 0};
    for (bln_column& c : amps) c = {one, sizeof(double), nullptr, BLN_TYPE_F64, 0};
    const bln_out_column registered[2] = {{results, sizeof(double), nullptr, BLN_TYPE_F64, 0},
                                          {results + 2, sizeof(double), nullptr, BLN_TYPE_F64, 0}};
    return bln_form_evaluate(f.form, 2, volts, amps, registered, nullptr, nullptr, e);
}

bln_status try_form_json(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_form_json(f.form, out, e); });
}

const Scenario rows[] = {
    {"bln_arrangement_new", try_arrangement_new},
    {"bln_arrangement_set", try_arrangement_set},
    {"bln_arrangement_load", try_arrangement_load},
    {"bln_arrangement_floating", try_arrangement_floating},
    {"bln_arrangement_element", try_arrangement_element},
    {"bln_arrangement_use", try_arrangement_use},
    {"bln_arrangement_name_at", try_arrangement_name_at},
    {"bln_form_of_arrangement", try_form_of_arrangement},
    {"bln_form_of_point", try_form_of_point},
    {"bln_form_note_at", try_form_note_at},
    {"bln_form_conductor_at", try_form_conductor_at},
    {"bln_form_element_at", try_form_element_at},
    {"bln_form_exact", try_form_exact},
    {"bln_form_fewest_elements", try_form_fewest_elements},
    {"bln_form_residual", try_form_residual},
    {"bln_form_words", try_form_words},
    {"bln_form_nominal", try_form_nominal},
    {"bln_form_registration", try_form_registration},
    {"bln_form_realise", try_form_realise},
    {"bln_form_evaluate", try_form_evaluate},
    {"bln_form_json", try_form_json},
};

}  // namespace

std::span<const Scenario> form_scenarios() { return rows; }
