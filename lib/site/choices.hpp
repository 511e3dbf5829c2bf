// The closed lists of words a record may use. One list drives the C++ enum, the text form,
// the JSON Schema and the documentation.
//
// X(enumerator, "word in the file", "meaning")
#pragma once

#include <cstddef>
#include <cstdint>
#include <string_view>

// clang-format off
#define BLN_CHOICES_ServiceKind(X) \
    X(single_phase_two_wire, "single_phase_two_wire",   "one phase conductor A and the neutral N") \
    X(single_phase_three_wire, "single_phase_three_wire", "two legs A and B of one centre-tapped winding and its neutral N; V_A + V_B = 0 at nominal") \
    X(two_legs_of_wye, "two_legs_of_wye",         "two phase conductors of a wye and its neutral N; the legs stand 120 degrees apart") \
    X(four_wire_wye, "four_wire_wye",           "three phase conductors and the neutral N of a wye") \
    X(three_wire_delta, "three_wire_delta",        "three phase conductors, no neutral and no grounded phase") \
    X(high_leg_delta, "high_leg_delta",          "three phase conductors of a delta whose winding between the two other legs is centre-tapped to N; the high leg stands at sqrt(3) times their voltage") \
    X(corner_grounded_delta, "corner_grounded_delta",   "three phase conductors of a delta, one of them grounded")

#define BLN_CHOICES_Phase(X) X(A, "A", "phase A") X(B, "B", "phase B") X(C, "C", "phase C")

#define BLN_CHOICES_Legs(X) \
    X(AB, "AB", "phases A and B") X(BC, "BC", "phases B and C") X(CA, "CA", "phases C and A")

#define BLN_CHOICES_Rotation(X) \
    X(ABC, "ABC", "B lags A by 120 degrees") X(ACB, "ACB", "B leads A by 120 degrees")

#define BLN_CHOICES_Numbering(X) \
    X(two_columns, "two_columns",          "odd spaces left, even spaces right, row by row from the top") \
    X(two_columns_mirrored, "two_columns_mirrored", "even spaces left, odd spaces right: the panel hangs upside down or is labelled so") \
    X(one_column, "one_column",           "spaces follow one another along a single bus") \
    X(ways, "ways",                 "each way holds one space per phase: 1, 2, 3 are way 1; 4, 5, 6 are way 2")

#define BLN_CHOICES_Role(X) \
    X(premises, "premises",     "feeds the premises of somebody who is billed") \
    X(common, "common",       "feeds what all share: corridor, lift, plant") \
    X(main, "main",         "carries what other circuits of the record take from it") \
    X(meter_supply, "meter_supply", "feeds the metering itself") \
    X(spare, "spare",        "a breaker without a load, or reserved")

#define BLN_CHOICES_SwitchOff(X) \
    X(may, "may", "it may be switched off for a test") \
    X(ask, "ask", "only after its user agreed") \
    X(never, "never", "life safety, medical equipment or the like: never for a test")

#define BLN_CHOICES_Load(X) \
    X(resistive, "resistive",   "heaters, ovens, filament lamps: current in phase with voltage") \
    X(electronic, "electronic",  "power supplies, LED lighting, office equipment") \
    X(motor, "motor",       "induction motors at working load: lagging") \
    X(light_motor, "light_motor", "induction motors that run unloaded at times: strongly lagging") \
    X(drive, "drive",       "motors behind a frequency converter: near unity") \
    X(corrected, "corrected",   "loads with capacitors that may lead") \
    X(charging, "charging",    "vehicle charging, rectifiers with power-factor correction") \
    X(generation, "generation",  "photovoltaic or other generation: exports by design") \
    X(mixed, "mixed",       "several kinds, or not one of these")

#define BLN_CHOICES_Output(X) \
    X(amps, "amps",                 "current output in amperes: never open the secondary under load") \
    X(milliamps, "milliamps",            "current output in milliamperes: short it before unplugging unless the type is clamped") \
    X(millivolts, "millivolts",           "voltage output with built-in burden, in millivolts") \
    X(rogowski_millivolts, "rogowski_millivolts",  "flexible coil, millivolts at rated current and frequency before integration")

#define BLN_CHOICES_Core(X) \
    X(solid, "solid", "closed core") X(split, "split", "core that opens") X(flexible, "flexible", "flexible coil")

#define BLN_CHOICES_Side(X) \
    X(source, "source", "toward the source (utility side)") X(load, "load", "toward the load")

#define BLN_CHOICES_Polarity(X) \
    X(normal, "normal", "the device uses the current as wired") X(inverted, "inverted", "the device multiplies the current by -1")

#define BLN_CHOICES_ScaledBy(X) \
    X(device, "device",   "the device's registers are in primary quantities") \
    X(head_end, "head_end", "the reading system applies ratio and multiplier") \
    X(billing, "billing",  "the billing system applies ratio and multiplier") \
    X(none, "none",     "nobody applies them: registers are in secondary quantities")

#define BLN_CHOICES_Reference(X) \
    X(A_N, "A-N", "A to neutral") X(B_N, "B-N", "B to neutral") X(C_N, "C-N", "C to neutral") \
    X(A_B, "A-B", "A to B") X(B_A, "B-A", "B to A") X(B_C, "B-C", "B to C") X(C_B, "C-B", "C to B") X(C_A, "C-A", "C to A") X(A_C, "A-C", "A to C") \
    X(A_G, "A-G", "A to ground") X(B_G, "B-G", "B to ground") X(C_G, "C-G", "C to ground") \
    X(A_star, "A-star", "A to the star point of three equal impedances") \
    X(B_star, "B-star", "B to the star point of three equal impedances") \
    X(C_star, "C-star", "C to the star point of three equal impedances")

#define BLN_CHOICES_Occupancy(X) \
    X(tenant, "tenant", "let to a tenant who is billed") X(common, "common", "shared by all, paid by the owner or apportioned") \
    X(owner, "owner", "used by the owner") X(vacant, "vacant", "not let; the owner pays")

#define BLN_CHOICES_PointUse(X) \
    X(billing, "billing", "its energy is billed to its premises") \
    X(main, "main",    "it measures the supply that other points divide") \
    X(check, "check",   "it is metered for information and billed to nobody")

#define BLN_CHOICES_EvidenceKind(X) \
    X(voltmeter, "voltmeter", "a voltage reading") X(clamp, "clamp", "a clamp-meter current reading") \
    X(switching, "switching", "a breaker or load was switched and readings compared") \
    X(inspection, "inspection", "somebody looked") X(readings, "readings", "live readings of the device") \
    X(certificate, "certificate", "a test certificate or type approval") X(statement, "statement", "somebody's word")
// clang-format on

#define BLN_ALL_CHOICES(L)                                                                        \
    L(ServiceKind) L(Phase) L(Legs) L(Rotation) L(Numbering) L(Role) L(SwitchOff) L(Load) L(Output) L(Core)    \
    L(Side) L(Polarity) L(ScaledBy) L(Reference) L(Occupancy) L(PointUse) L(EvidenceKind)

namespace bln {

#define BLN_ENUMERATOR(name, word, doc) name,
#define BLN_DECLARE_CHOICE(name) \
    enum class name : std::int8_t { unknown = -1, BLN_CHOICES_##name(BLN_ENUMERATOR) };
BLN_ALL_CHOICES(BLN_DECLARE_CHOICE)
#undef BLN_DECLARE_CHOICE
#undef BLN_ENUMERATOR

struct ChoiceWord {
    std::string_view word;
    std::string_view doc;
};

/// A closed list of words; the position of a word is the value of its enumerator.
struct ChoiceList {
    const char* name;
    const ChoiceWord* words;
    std::size_t size;
    /// Position of @p word, or -1.
    [[nodiscard]] int find(std::string_view word) const noexcept {
        for (std::size_t i = 0; i < size; ++i)
            if (words[i].word == word) return static_cast<int>(i);
        return -1;
    }
};

#define BLN_CHOICE_WORD(name, word, doc) {word, doc},
#define BLN_DEFINE_CHOICE(name)                                                         \
    inline constexpr ChoiceWord choice_words_##name[] = {BLN_CHOICES_##name(BLN_CHOICE_WORD)}; \
    inline constexpr ChoiceList choices_##name{#name, choice_words_##name,              \
                                               sizeof choice_words_##name / sizeof(ChoiceWord)};
BLN_ALL_CHOICES(BLN_DEFINE_CHOICE)
#undef BLN_DEFINE_CHOICE
#undef BLN_CHOICE_WORD

/// The word of an enumerator, or "unknown".
#define BLN_WORD_OF(name)                                                    \
    inline std::string_view word_of(name value) noexcept {                   \
        const auto i = static_cast<int>(value);                              \
        return i < 0 ? std::string_view{"unknown"} : choice_words_##name[i].word; \
    }
BLN_ALL_CHOICES(BLN_WORD_OF)
#undef BLN_WORD_OF

}  // namespace bln
