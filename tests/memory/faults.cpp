// Functions over bounds, faults and hypotheses that may need memory.
#include <cstdint>

#include "scenario.hpp"

namespace {

constexpr std::size_t many = 16;

/// Nominal potentials of the fixture's form, of 120 V.
struct Volts {
    double re[BLN_TERMINAL_COUNT] = {};
    double im[BLN_TERMINAL_COUNT] = {};
    std::uint32_t known = 0;
    bln_status status;
    Volts(Fixture& f, bln_error** e) : status(bln_form_nominal_volts(f.form, 1, 120, re, im, &known, e)) {}
};

bln_status try_nominal_volts(Fixture& f, bln_error** e) { return Volts(f, e).status; }

bln_status try_bound(Fixture& f, bln_error** e) {
    const Volts v(f, e);
    if (v.status != BLN_OK) return v.status;
    double spread[BLN_TERMINAL_COUNT];
    double amps[many];
    for (double& s : spread) s = 5;
    for (double& a : amps) a = 40;
    bln_bound out{};
    out.size = sizeof out;
    return bln_form_bound(f.form, v.re, v.im, v.known, spread, amps, nullptr, nullptr, &out, nullptr, nullptr, nullptr,
                          nullptr, e);
}

bln_status try_reuse(Fixture& f, bln_error** e) {
    std::uint32_t ways = 0;
    return bln_form_reuse(f.form, 0, &ways, e);
}

bln_status try_repoint(Fixture& f, bln_error** e) {
    std::int32_t plus[many], minus[many], found = 0;
    return bln_form_repoint(f.form, 0, 1, plus, minus, nullptr, nullptr, &found, e);
}

bln_status try_recompute(Fixture& f, bln_error** e) {
    double re[many], im[many];
    std::int32_t found = 0;
    return bln_form_recompute(f.form, nullptr, nullptr, 0, re, im, &found, e);
}

bln_status try_fault_kind_at(Fixture&, bln_error** e) {
    const char* name = nullptr;
    return bln_fault_kind_at(0, &name, nullptr, e);
}

bln_status try_fault(Fixture& f, bln_error** e) {
    return made<bln_form>(f, bln_form_free,
                          [&](auto out) { return bln_form_fault(f.form, "reversed", 0, 0, 0, 1, 1, out, e); });
}

bln_status try_balanced(Fixture& f, bln_error** e) {
    double re = 0, im = 0;
    return bln_form_balanced(f.form, -1, &re, &im, e);
}

bln_status try_correction_curve(Fixture&, bln_error** e) {
    const double angle[2] = {0, 30};
    double factor[2];
    std::uint8_t defined[2];
    return bln_correction_curve(-0.5, 0.8, 2, angle, factor, defined, e);
}

bln_status try_ratio_spread(Fixture&, bln_error** e) {
    double out = 0;
    return bln_ratio_spread(120, 0, -60, 104, 2, 2, &out, e);
}

bln_status try_correction_limit(Fixture&, bln_error** e) {
    const double volts[2] = {2, 3}, amps[2] = {1, 1};
    double out = 0;
    return bln_correction_limit(1000, 0.02, 2, volts, amps, &out, e);
}

bln_status try_hypotheses_new(Fixture& f, bln_error** e) {
    return made<bln_hypotheses>(f, bln_hypotheses_free, [&](auto out) {
        bln_hypothesis_options options{};
        options.size = sizeof options;
        options.kinds = BLN_HYPOTHESIS_REVERSED | BLN_HYPOTHESIS_DEAD | BLN_HYPOTHESIS_LEAD_ORDERS;
        return bln_hypotheses_new(f.form, &options, out, e);
    });
}

bln_status try_hypotheses_at(Fixture& f, bln_error** e) {
    std::int32_t on = 0;
    return bln_hypotheses_at(f.hypotheses, 1, 0, &on, nullptr, nullptr, nullptr, nullptr, nullptr, e);
}

bln_status try_hypotheses_reads(Fixture& f, bln_error** e) {
    double re[many], im[many];
    return bln_hypotheses_reads(f.hypotheses, 1, 0, re, im, e);
}

bln_status try_hypotheses_words(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_hypotheses_words(f.hypotheses, 1, out, e); });
}

bln_status try_hypotheses_form(Fixture& f, bln_error** e) {
    return made<bln_form>(f, bln_form_free, [&](auto out) { return bln_hypotheses_form(f.hypotheses, 1, out, e); });
}

bln_status try_hypotheses_classes(Fixture& f, bln_error** e) {
    std::uint32_t count = 0;
    return bln_hypotheses_classes(f.hypotheses, BLN_SEES_EACH, BLN_OVER_ANY, nullptr, &count, e);
}

const Scenario rows[] = {
    {"bln_form_nominal_volts", try_nominal_volts},
    {"bln_form_bound", try_bound},
    {"bln_form_reuse", try_reuse},
    {"bln_form_repoint", try_repoint},
    {"bln_form_recompute", try_recompute},
    {"bln_fault_kind_at", try_fault_kind_at},
    {"bln_form_fault", try_fault},
    {"bln_form_balanced", try_balanced},
    {"bln_correction_curve", try_correction_curve},
    {"bln_ratio_spread", try_ratio_spread},
    {"bln_correction_limit", try_correction_limit},
    {"bln_hypotheses_new", try_hypotheses_new},
    {"bln_hypotheses_at", try_hypotheses_at},
    {"bln_hypotheses_reads", try_hypotheses_reads},
    {"bln_hypotheses_words", try_hypotheses_words},
    {"bln_hypotheses_form", try_hypotheses_form},
    {"bln_hypotheses_classes", try_hypotheses_classes},
};

}  // namespace

std::span<const Scenario> fault_scenarios() { return rows; }
