// The metering form of one point of the record, with what had to be assumed and what is missing.
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

#include "power/form.hpp"
#include "site/topology.hpp"

namespace bln {

// X(enumerator, "slug", stops, "meaning"); stops: the form cannot be built.
// clang-format off
#define BLN_FORM_NOTES(X) \
    X(ct_direction_assumed,    "ct-direction-assumed",    false, "which way the CT faces, or what its mark means, is not recorded; taken as right") \
    X(ratio_assumed,           "ratio-assumed",           false, "the configured ratio or the rating of the CT is not recorded; taken as equal") \
    X(neutral_assumed,         "neutral-assumed",         false, "whether a neutral goes to the load is not recorded; taken as it was asked for") \
    X(terminals_assumed,       "terminals-assumed",       false, "the device's voltage terminals are not recorded; taken as named in the reference") \
    X(device_service_assumed,  "device-service-assumed",  false, "the service of the device is not recorded; taken as the only one of the site") \
    X(return_grounded_phase,   "return-grounded-phase",   false, "one pole of a corner-grounded delta; its current is taken to return in the grounded phase") \
    X(terminal_not_landed,     "terminal-not-landed",     false, "the voltage terminal is not landed: the channel sees no voltage") \
    X(common_floats,           "common-floats",           false, "the common of the reference has no conductor to stand on: its potential floats") \
    X(other_circuit,           "other-circuit",           false, "a CT of the point surrounds a conductor of a circuit that is not the point's") \
    X(no_circuits,             "no-circuits",             true,  "the point names no circuit") \
    X(no_elements,             "no-elements",             true,  "the elements of the point are not recorded") \
    X(circuit_dangling,        "circuit-dangling",        true,  "the circuit does not exist") \
    X(service_unknown,         "service-unknown",         true,  "the service of the circuit is not known") \
    X(phase_unknown,           "phase-unknown",           true,  "the phase of a pole is not known") \
    X(services_differ,         "services-differ",         true,  "the circuits of the point hang on different services; make a point for each and add them in a roll-up") \
    X(return_unknown,          "return-unknown",          true,  "one pole without a neutral: no conductor carries its current back") \
    X(neutral_not_served,      "neutral-not-served",      true,  "the circuit has a neutral, its service has none") \
    X(channel_dangling,        "channel-dangling",        true,  "the channel does not exist") \
    X(device_unknown,          "device-unknown",          true,  "the device of the channel is not known") \
    X(device_service_unknown,  "device-service-unknown",  true,  "the service on which the device's voltage terminals are landed is not known") \
    X(foreign_reference,       "foreign-reference",       true,  "the device takes its voltages from another service than the circuit's") \
    X(reference_unknown,       "reference-unknown",       true,  "the voltage that multiplies the current is not recorded") \
    X(terminal_unknown,        "terminal-unknown",        true,  "the device has no voltage terminal of the name that the reference uses") \
    X(landed_length,           "landed-length",           true,  "the landed conductors are not as many as the device's voltage terminals") \
    X(landed_unknown,          "landed-unknown",          true,  "a voltage terminal is landed on something that is not A, B, C, N, G or none") \
    X(landed_not_served,       "landed-not-served",       true,  "a voltage terminal stands on a conductor that the service does not have") \
    X(cts_unknown,             "cts-unknown",             true,  "the CTs of the channel are not recorded") \
    X(ct_dangling,             "ct-dangling",             true,  "the CT does not exist") \
    X(passes_unknown,          "passes-unknown",          true,  "the conductors through the CT are not recorded") \
    X(pass_circuit_dangling,   "pass-circuit-dangling",   true,  "the CT surrounds a conductor of a circuit that does not exist") \
    X(pass_pole_unknown,       "pass-pole-unknown",       true,  "which pole of the circuit the CT surrounds is not recorded, or the circuit has no such pole") \
    X(pass_neutral_absent,     "pass-neutral-absent",     true,  "the CT surrounds the neutral of a circuit that has none") \
    X(too_complex,             "too-complex",             true,  "exact numbers of the arrangement do not fit 64 bits, or more than three commons float")
// clang-format on

#define BLN_FORM_NOTE_ENUM(name, slug, stops, doc) name,
enum class FormNoteCode : std::uint8_t { BLN_FORM_NOTES(BLN_FORM_NOTE_ENUM) };
#undef BLN_FORM_NOTE_ENUM

struct FormNoteInfo {
    std::string_view slug;
    bool stops;
    std::string_view doc;
};
[[nodiscard]] const FormNoteInfo& info(FormNoteCode code) noexcept;

struct FormNote {
    FormNoteCode code;
    Kind kind;
    std::string_view id;  ///< of the entity it is about, as written in the record
    Gap gap = Gap::none;  ///< for service_unknown and phase_unknown
};

/// Where a conductor of the form stands in the record. pole: 1, 2, 3; 0 = neutral; -1 = grounded phase
/// as the return of a single pole.
struct ConductorOrigin {
    std::int32_t circuit = -1;
    int pole = 0;
};

struct PointForm {
    bool built = false;
    Form form;                  ///< meaningful when built
    std::int32_t service = -1;  ///< service of its circuits
    std::vector<FormNote> notes;
    Small<std::int32_t, 4> circuit;    ///< by load of the form: circuit
    Small<ConductorOrigin, 8> origin;  ///< by conductor of the form
    Small<std::int32_t, 4> channel;    ///< by element of the form: channel

    [[nodiscard]] bool has(FormNoteCode code) const noexcept;
};

/// Builds the form of a point. Never throws for what the record says; std::bad_alloc only.
/// @param neutral_if_unknown whether a load of two or three poles whose neutral is not recorded has one;
///        true is the cautious reading: exact with a neutral is exact without
[[nodiscard]] PointForm point_form(const View& view, std::int32_t point, bool neutral_if_unknown = true);
/// The form of one channel alone, over the circuits whose conductors its CTs surround: what it reads, whatever
/// point uses it. Otherwise as point_form().
[[nodiscard]] PointForm channel_form(const View& view, std::int32_t channel, bool neutral_if_unknown = true);

}  // namespace bln
