// The field table: the one list of what a record can hold. Reader, writer, JSON Schema,
// typed setters and getters, the dated view, the documentation and the Python attributes
// all follow from it; adding a field means adding one row here.
//
// F(name, type, argument, dated, layer, unit, low, high, "meaning")
//   type      text | ref | choice | boolean | integer | real | rational | instant |
//             integers | texts | refs | terms | passes
//   argument  for ref, refs, terms: the kind referred to; for choice: the list; else none
//   dated     once: a timeless fact; dated: may change, a history of assignments
//   layer     plan (what the site is meant to be) | as_built | configured
//   low, high inclusive range of a number, or of each item of a list; 0,0 = any finite value
#pragma once

#include "site/choices.hpp"

// clang-format off
#define BLN_FIELDS_site(F) \
    F(name,    text, none, once, plan, "", 0, 0, "what people call the site") \
    F(address, text, none, once, plan, "", 0, 0, "where it is") \
    F(zone,    text, none, once, plan, "", 0, 0, "name of its time zone in the IANA database; the rules themselves are handed in as data")

#define BLN_FIELDS_service(F) \
    F(name,           text,   none,        once, plan, "",   0, 0, "what people call it") \
    F(kind,           choice, ServiceKind, once, plan, "",   0, 0, "arrangement of its conductors") \
    F(volts_ln,       real,   none,        once, plan, "V",  1, 100000, "nominal voltage of a phase to neutral; of a high-leg delta: of the two low legs") \
    F(volts_ll,       real,   none,        once, plan, "V",  1, 100000, "nominal voltage between two phases") \
    F(frequency_hz,   real,   none,        once, plan, "Hz", 1, 1000, "nominal frequency") \
    F(legs,           choice, Legs,        once, plan, "",   0, 0, "which two phases a two-leg service has; absent: A and B") \
    F(high_leg,       choice, Phase,       once, plan, "",   0, 0, "which phase of a high-leg delta is the high leg; absent: B") \
    F(grounded_phase, choice, Phase,       once, plan, "",   0, 0, "which phase of a corner-grounded delta is grounded; absent: B") \
    F(rotation,       choice, Rotation,    once, plan, "",   0, 0, "phase sequence; absent: ABC")

#define BLN_FIELDS_panel(F) \
    F(name,      text,    none,      once,  plan,     "", 0, 0, "what people call it") \
    F(location,  text,    none,      once,  plan,     "", 0, 0, "where it hangs") \
    F(service,   ref,     service,   dated, as_built, "", 0, 0, "service that its bus belongs to") \
    F(fed_from,  ref,     circuit,   dated, as_built, "", 0, 0, "circuit that feeds it") \
    F(spaces,    integer, none,      once,  plan,     "", 1, 1000, "number of breaker spaces (half-size breakers share one)") \
    F(numbering, choice,  Numbering, once,  plan,     "", 0, 0, "how its spaces are numbered; absent: two_columns") \
    F(bus,       text,    none,      dated, as_built, "", 0, 0, "phases of the bus from the first row on, such as ABC, BCA, AC or A; absent: the phases of the service in order")

#define BLN_FIELDS_circuit(F) \
    F(name,         text,     none,  once,  plan,     "",  0, 0, "what the panel schedule calls it") \
    F(panel,        ref,      panel, dated, as_built, "",  0, 0, "panel that its breaker sits in") \
    F(spaces,       integers, none,  dated, as_built, "",  1, 1000, "spaces of its poles, in the order of the poles") \
    F(phases,       text,     none,  dated, as_built, "",  0, 0, "phase of each pole, where no numbered space says so (mains, feeders), such as ABC") \
    F(breaker_amps, real,     none,  dated, as_built, "A", 0.1, 100000, "rating of its overcurrent device") \
    F(neutral,      boolean,  none,  dated, as_built, "",  0, 0, "whether a neutral goes to the load and can carry its current; absent: true with one pole, unknown with more") \
    F(role,         choice,   Role,  dated, plan,     "",  0, 0, "whom it serves") \
    F(load,         choice,   Load,  dated, plan,     "",  0, 0, "kind of load, where known") \
    F(switch_off,   choice,   SwitchOff, dated, plan, "",  0, 0, "whether it may be switched off for a test; absent: ask") \
    F(half_size,    boolean,  none,  dated, as_built, "",  0, 0, "whether its breaker is of half size, so that two share a space; absent: false") \
    F(conductors,   integer,  none,  dated, as_built, "",  1, 20, "parallel conductors of each pole") \
    F(conductor_mm, real,     none,  dated, as_built, "mm", 0.1, 200, "diameter of each conductor over its insulation")

#define BLN_FIELDS_ct_type(F) \
    F(name,           text,    none,   once, plan, "",  0, 0, "what people call it") \
    F(primary_amps,   integer, none,   once, plan, "A", 1, 100000, "rated primary current") \
    F(secondary,      integer, none,   once, plan, "",  1, 100000, "rated output at the rated primary current, in the unit that output names") \
    F(output,         choice,  Output, once, plan, "",  0, 0, "kind and unit of the output") \
    F(accuracy_class, text,    none,   once, plan, "",  0, 0, "accuracy class as its standard writes it, such as 0.5S or 1") \
    F(core,           choice,  Core,   once, plan, "",  0, 0, "construction") \
    F(mark_faces,     choice,  Side,   once, plan, "",  0, 0, "side that its mark must face for a positive reading") \
    F(window_mm,      real,    none,   once, plan, "mm", 0.1, 2000, "diameter of the greatest round bundle that its window takes") \
    F(burden_va,      real,    none,   once, plan, "VA", 0.001, 1000, "rated burden: what may be wired to its output at the rated current")

#define BLN_FIELDS_ct(F) \
    F(serial,     text,   none,    once,  plan,     "", 0, 0, "serial number") \
    F(type,       ref,    ct_type, once,  as_built, "", 0, 0, "its type; an exchanged CT is another CT") \
    F(passes,     passes, circuit, dated, as_built, "", -100, 100, "conductors through its window: circuit, or circuit:pole (1, 2, 3 or N), to signed turns counted from source to load") \
    F(mark_faces, choice, Side,    dated, as_built, "", 0, 0, "side that its mark faces as it hangs") \
    F(conductors, integer, none,   dated, as_built, "", 1, 20, "how many of the parallel conductors of a pole run through its window") \
    F(lead_m,     real,   none,    dated, as_built, "m", 0, 10000, "length of its leads, one way") \
    F(lead_mm2,   real,   none,    dated, as_built, "mm2", 0.01, 1000, "cross-section of each copper lead")

#define BLN_FIELDS_profile(F) \
    F(name,         text,     none,   once, plan, "",  0, 0, "what people call it") \
    F(inputs,       integer,  none,   once, plan, "",  1, 10000, "number of current inputs, numbered from 1") \
    F(groups,       integers, none,   once, plan, "",  1, 10000, "inputs of each connector, in order; absent: one group") \
    F(references,   texts,    none,   once, plan, "",  0, 0, "labels of its voltage terminals, such as A, B, C, N") \
    F(input_kind,   choice,   Output, once, plan, "",  0, 0, "CT output that an input takes") \
    F(full_scale,   real,     none,   once, plan, "",  0.000001, 1000000, "greatest input, in the unit that input_kind names") \
    F(volts_ln_min, real,     none,   once, plan, "V", 0, 100000, "least voltage between a terminal and its common at which it measures") \
    F(volts_ln_max, real,     none,   once, plan, "V", 0, 100000, "greatest such voltage") \
    F(accuracy_class, text,   none,   once, plan, "",  0, 0, "accuracy class for active energy as its standard writes it, such as 0.5S or 1") \
    F(input_ohms,   real,     none,   once, plan, "ohm", 0, 1000000, "resistance of a current input")

#define BLN_FIELDS_device(F) \
    F(name,      text,   none,     once,  plan,       "", 0, 0, "what people call it") \
    F(serial,    text,   none,     once,  plan,       "", 0, 0, "serial number") \
    F(profile,   ref,    profile,  once,  plan,       "", 0, 0, "what kind of device it is") \
    F(service,   ref,    service,  dated, as_built,   "", 0, 0, "service that its voltage terminals are landed on") \
    F(landed,    texts,  none,     dated, as_built,   "", 0, 0, "conductor (A, B, C, N, G, or none) on which each voltage terminal is landed, in the profile's order; absent: as labelled") \
    F(supply,    ref,    circuit,  dated, as_built,   "", 0, 0, "circuit that feeds the device itself") \
    F(scaled_by, choice, ScaledBy, dated, configured, "", 0, 0, "who turns secondary into primary quantities") \
    F(leads_protected, boolean, none, dated, as_built, "", 0, 0, "whether its voltage leads have overcurrent protection of their own")

#define BLN_FIELDS_channel(F) \
    F(name,         text,     none,      once,  plan,       "",  0, 0, "what people call it") \
    F(device,       ref,      device,    once,  plan,       "",  0, 0, "device it belongs to") \
    F(input,        integer,  none,      once,  plan,       "",  1, 10000, "number of its current input") \
    F(cts,          terms,    ct,        dated, as_built,   "",  -100, 100, "CTs wired to the input, each with 1, or -1 where its leads are exchanged") \
    F(reference,    choice,   Reference, dated, configured, "",  0, 0, "voltage that multiplies the current, by terminal labels") \
    F(polarity,     choice,   Polarity,  dated, configured, "",  0, 0, "sign that the device applies; absent: normal") \
    F(primary_amps, integer,  none,      dated, configured, "A", 1, 100000, "primary current of the ratio that the device was told") \
    F(secondary,    integer,  none,      dated, configured, "",  1, 100000, "output of the ratio that the device was told, in the unit of the CT's output") \
    F(multiplier,   rational, none,      dated, configured, "",  -1000000, 1000000, "weight of the channel in its arrangement, such as 1/2 or 2; absent: 1") \
    F(register_factor, rational, none,   dated, configured, "",  0, 1000000, "what the reading or billing system multiplies its registers by; absent: 1")

#define BLN_FIELDS_premises(F) \
    F(name,      text,   none,      once,  plan, "",   0, 0, "what people call them: never the identity") \
    F(occupancy, choice, Occupancy, dated, plan, "",   0, 0, "who answers for them") \
    F(occupant,  text,   none,      dated, plan, "",   0, 0, "who is billed") \
    F(area_m2,   real,   none,      dated, plan, "m2", 0, 10000000, "floor area")

#define BLN_FIELDS_point(F) \
    F(name,     text,   none,     once,  plan,       "", 0, 0, "what people call it") \
    F(use,      choice, PointUse, dated, plan,       "", 0, 0, "what its energy is for; absent: billing") \
    F(premises, ref,    premises, dated, plan,       "", 0, 0, "premises whose energy it measures") \
    F(circuits, refs,   circuit,  dated, plan,       "", 0, 0, "circuits whose energy it is meant to measure") \
    F(elements, terms,  channel,  dated, configured, "", -1000000, 1000000, "channels that make it, each with its share (1, or a fraction of a channel that several points divide)") \
    F(accuracy_percent, real, none, dated, plan,     "%", 0.001, 100, "greatest error of its energy that was agreed, CTs and meter together")

#define BLN_FIELDS_rollup(F) \
    F(name,              text,  none,   once,  plan, "",  0, 0, "what people call it") \
    F(points,            terms, point,  dated, plan, "",  -1000000, 1000000, "points it adds, each with its coefficient") \
    F(rollups,           terms, rollup, dated, plan, "",  -1000000, 1000000, "other roll-ups it adds, each with its coefficient") \
    F(against,           ref,   point,  dated, plan, "",  0, 0, "main point that it has to agree with") \
    F(tolerance_percent, real,  none,   dated, plan, "%", 0, 100, "largest difference from that main, in percent of the main, that is not followed up")

#define BLN_FIELDS_evidence(F) \
    F(at,            instant, none,         once, plan, "", 0, 0, "when it was taken") \
    F(by,            text,    none,         once, plan, "", 0, 0, "who took it") \
    F(what,          choice,  EvidenceKind, once, plan, "", 0, 0, "what it is") \
    F(instrument,    text,    none,         once, plan, "", 0, 0, "instrument and serial number") \
    F(calibrated_at, instant, none,         once, plan, "", 0, 0, "date of the instrument's last calibration") \
    F(about,         texts,   none,         once, plan, "", 0, 0, "what it is about, each as kind:id or kind:id:field") \
    F(value,         real,    none,         once, plan, "", 0, 0, "reading") \
    F(unit,          text,    none,         once, plan, "", 0, 0, "unit of the reading") \
    F(note,          text,    none,         once, plan, "", 0, 0, "in words")

#define BLN_FIELDS_waiver(F) \
    F(finding, text, none, dated, plan, "", 0, 0, "identity of the finding that is accepted: code|kind:id,kind:id|discriminator") \
    F(reason,  text, none, dated, plan, "", 0, 0, "why it is accepted") \
    F(by,      text, none, dated, plan, "", 0, 0, "who accepted it")

// K(kind, key of its collection in the file, number in the C API, "meaning")
#define BLN_KINDS(K) \
    K(site,     "",         10,  "the site itself; its fields stand at the top of the file and its id is empty") \
    K(service,  "services", 20,  "a supply with its conductors and nominal voltages") \
    K(panel,    "panels",   30,  "a panelboard") \
    K(circuit,  "circuits", 40,  "what one breaker of one, two or three poles feeds") \
    K(ct_type,  "ct_types", 50,  "a type of current transformer") \
    K(ct,       "cts",      60,  "one current transformer") \
    K(profile,  "profiles", 70,  "a kind of meter: inputs, connectors, voltage terminals, ranges") \
    K(device,   "devices",  80,  "one multi-channel meter") \
    K(channel,  "channels", 90,  "one current input of a device with the voltage that multiplies it") \
    K(premises, "premises", 100, "space whose occupant pays for its energy") \
    K(point,    "points",   110, "a metering point: channels that together measure circuits") \
    K(rollup,   "rollups",  120, "a sum of points and other roll-ups") \
    K(evidence, "evidence", 130, "who found what, when, with which instrument") \
    K(waiver,   "waivers",  140, "a finding that somebody has accepted, with the reason")
// clang-format on

namespace bln {

#define BLN_KIND_ENUMERATOR(kind, key, number, doc) kind,
/// Dense numbering of the kinds inside the core; the C API uses the spaced numbers.
enum class Kind : std::uint8_t { BLN_KINDS(BLN_KIND_ENUMERATOR) };
#undef BLN_KIND_ENUMERATOR

#define BLN_KIND_COUNT(kind, key, number, doc) +1
inline constexpr std::size_t kind_count = 0 BLN_KINDS(BLN_KIND_COUNT);
#undef BLN_KIND_COUNT

enum class Type : std::uint8_t {
    text, ref, choice, boolean, integer, real, rational, instant,
    integers, texts, refs, terms, passes
};
enum class Layer : std::uint8_t { plan, as_built, configured };

/// One row of the field table.
struct FieldInfo {
    std::string_view name;
    Type type;
    Kind target;                ///< meaningful for ref, refs, terms, passes
    const ChoiceList* choices;  ///< non-null for choice
    bool dated;
    Layer layer;
    std::string_view unit;
    double low, high;           ///< inclusive; both 0 = any
    std::string_view doc;
};

struct KindInfo {
    std::string_view name;        ///< singular, as in "circuit"
    std::string_view collection;  ///< key in the file, as in "circuits"; empty for the site
    int number;                   ///< BLN_KIND_... of the C API
    std::string_view doc;
    const FieldInfo* fields;
    std::size_t field_count;

    /// Position of a field by name, or -1.
    [[nodiscard]] int find(std::string_view field) const noexcept;
};

/// Enumerators of the fields of each kind: field_of::circuit::breaker_amps and so on.
#define BLN_FIELD_ENUMERATOR(name, type, argument, dated, layer, unit, low, high, doc) name,
namespace field_of {
#define BLN_FIELD_ENUM(kind, key, number, doc) \
    enum class kind : std::uint8_t { BLN_FIELDS_##kind(BLN_FIELD_ENUMERATOR) };
BLN_KINDS(BLN_FIELD_ENUM)
#undef BLN_FIELD_ENUM
}  // namespace field_of
#undef BLN_FIELD_ENUMERATOR

[[nodiscard]] const KindInfo& info(Kind kind) noexcept;
/// Kind with this collection key, or -1.
[[nodiscard]] int find_collection(std::string_view key) noexcept;
/// Kind with this singular name, or -1.
[[nodiscard]] int find_kind(std::string_view name) noexcept;
/// Kind with this C API number, or -1.
[[nodiscard]] int kind_by_number(int number) noexcept;

}  // namespace bln
