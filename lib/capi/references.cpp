// Phase sequence, and what a device's voltage terminals stand on.
#include "power/references.hpp"

#include <cmath>

#include "capi/form.hpp"
#include "capi/sized.hpp"
#include "site/json_text.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

void append_member(std::string& to, const char* name, std::string_view value) {
    to += '"';
    to += name;
    to += "\":";
    append_json_string(to, value);
}

void append_guess(std::string& to, Landing landing, std::string_view terminals, double deviation) {
    if (to.back() != '[') to += ',';
    to += '{';
    append_member(to, "landing", info(landing).slug);
    to += ',';
    append_member(to, "terminals", terminals);
    to += ",\"deviation\":";
    append_json_number(to, deviation);
    to += ',';
    append_member(to, "meaning", info(landing).doc);
    to += ',';
    append_member(to, "next", info(landing).next);
}

std::string closed(std::string text, std::size_t count) {
    text += count > 1 ? "],\"ambiguous\":true}" : "],\"ambiguous\":false}";
    return text;
}

void give_sequence(int32_t* to, const SequenceResult& r) {
    required(to, "sequence") = static_cast<std::int32_t>(r.sequence);
}

}  // namespace

extern "C" {

bln_status bln_phase_sequence(const double* re, const double* im, int32_t* sequence, double* positive, double* negative,
                              bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        (void)required(re, "re");
        (void)required(im, "im");
        const SequenceResult r = phase_sequence({{{re[0], im[0]}, {re[1], im[1]}, {re[2], im[2]}}});
        give_sequence(sequence, r);
        if (positive != nullptr) *positive = r.positive;
        if (negative != nullptr) *negative = r.negative;
    });
}

bln_status bln_phase_sequence_indicator(double volts_b, double volts_c, int32_t* sequence,
                                        bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] { give_sequence(sequence, phase_sequence(volts_b, volts_c)); });
}

bln_status bln_references_recognise(const bln_arrangement* arrangement, double volts,
                                    const bln_terminal_voltages* measured, double tolerance, bln_text** out,
                                    bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const Supply& supply = required(arrangement, "arrangement").form.supply();
        const bln_terminal_voltages given = take(measured, "measured");
        TerminalVoltages v;
        for (std::size_t i = 0; i < 3; ++i) {
            if ((given.given >> i & 1U) != 0) v.to_neutral[i] = given.to_neutral[i];
            if ((given.given >> (3 + i) & 1U) != 0) v.between[i] = given.between[i];
        }
        if ((given.given >> 6 & 1U) != 0) {
            v.phasors.emplace();
            for (std::size_t i = 0; i < 3; ++i) (*v.phasors)[i] = {given.re[i], given.im[i]};
        }
        // Deltas count their nominal voltages in units of the star that would give them.
        const double base = supply.nominal == NominalKind::delta ? volts / std::sqrt(3.0) : volts;
        const std::vector<LandingGuess> all = recognise_landing(supply, base, v, tolerance);
        std::string text = "{\"explanations\":[";
        for (const LandingGuess& g : all) {
            append_guess(text, g.landing, g.terminals, g.deviation);
            text += '}';
        }
        return text_of(closed(std::move(text), all.size()));
    });
}

bln_status bln_references_cross(double volts, const char* rotation, const double* measured, double tolerance,
                                bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const std::string_view word = required_text(rotation, "rotation");
        if (choices_Rotation.find(word) < 0)
            throw Failure(BLN_E_NAME, std::string(word) + " is not a word of " + choices_Rotation.name);
        (void)required(measured, "measured");
        std::array<std::array<double, 3>, 3> v{};
        for (std::size_t i = 0; i < 9; ++i) v[i / 3][i % 3] = measured[i];
        const std::vector<CrossGuess> all = recognise_cross(volts, word == "ACB", v, tolerance);
        std::string text = "{\"explanations\":[";
        for (const CrossGuess& g : all) {
            append_guess(text, g.landing, g.terminals, g.deviation);
            text += ",\"displaced\":" + std::to_string(g.displaced);
            text += g.reversed ? ",\"reversed\":true}" : ",\"reversed\":false}";
        }
        return text_of(closed(std::move(text), all.size()));
    });
}

}  // extern "C"
