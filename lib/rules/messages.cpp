// English texts of the findings of the rules.
#include "rules/check.hpp"

namespace bln {
namespace {

// clang-format off
constexpr Message rows[] = {
    {"dangling-reference", "Reference that leads nowhere",
     "{subject} names {names} as its {field}, but the record has no {kind} {names}.",
     "Correct the id, or add {names} to the record. Until then, whatever depends on it is not checked."},
    {"channel-used-twice", "Channel counted more than once",
     "Points {points} all use channel {subject}. Their shares add up to {measured}; they must make {expected}.",
     "Find out whose circuit the CT of {subject} measures and remove the channel from the other points. If the "
     "points share its energy by agreement, enter shares that add up to 1."},
    {"input-used-twice", "Two channels on one input",
     "Channels {subject} and {subject2} both stand for input {input} of device {subject3}: one current is counted "
     "under two names.",
     "Look up on which input each CT is landed and correct the input number of the wrong channel."},
    {"pole-contradiction", "Poles that contradict the record",
     "{field} of circuit {subject} cannot be right: {why}.",
     "Look at the breaker and its place in the panel, and correct the record. Until then the phases of the circuit"
     " are not known and its point is not checked."},
    {"ct-on-missing-conductor", "CT on a conductor that is not there",
     "CT {subject} is said to surround {conductor} of circuit {subject2}, which has {poles} pole(s) and no such "
     "conductor.",
     "Look which conductor runs through the CT and correct the record. Opening a panel exposes live parts: "
     "qualified people only."},
    {"panel-feeds-itself", "Panels that feed one another",
     "Circuits {circuits} feed panels from which they are fed themselves.",
     "Trace from the service which circuit feeds each panel, and correct the record."},
    {"pole-unmetered", "Pole without metering",
     "No CT measures pole {poles} of circuit {subject} ({points}): what flows there is billed to nobody.",
     "Add a CT and a channel for the pole, or correct the record if one is there. For two poles without a neutral,"
     " one CT with the voltage between the two poles is enough. Fitting a CT is work near live parts: lock off "
     "first; short the secondary of a current-output CT before anything is unplugged."},
    {"pole-metered-twice", "Pole measured twice",
     "Pole {pole} of circuit {subject} is measured by channels {channels} and counted in {points}.",
     "Find out which CT belongs there and remove the other channel from its point. Move a CT only with the circuit"
     " locked off; never open the secondary of a current-output CT under load: short it first."},
    {"elements-too-few", "Too few elements for the load",
     "Point {subject} has {elements} element(s); its loads need {needed}. It registers {registered}; the error is "
     "{error}; it {condition}. A load between two of its conductors registers {least} to {greatest} of its energy "
     "(power factor 1 to 0.9 lagging).",
     "Add the missing elements: one CT and channel for each phase conductor, each with the voltage of its phase, "
     "is always enough. Factors on the channels cannot repair it. Fitting a CT is work near live parts: lock off "
     "first; short the secondary of a current-output CT before anything is unplugged."},
    {"exact-only-at-nominal", "Right only at nominal voltages",
     "Point {subject} registers {registered}. {verdict} The error is {error}; it {condition}.",
     "Accept it only where the voltages are balanced and the local rules allow it, and never bill apparent power "
     "or demand in VA from it. With {needed} element(s), each with its own voltage, it is exact for any voltages."},
    {"arrangement-not-exact", "Elements that do not add up to the load",
     "The elements of point {subject} register {registered}. The error is {error}; it {condition}. A load between "
     "two of its conductors registers {least} to {greatest} of its energy (power factor 1 to 0.9 lagging).",
     "Compare CTs, voltages and multipliers of the channels with the loads of the point. One element for each "
     "phase conductor with the voltage of its phase and multiplier 1 is always exact."},
    {"point-on-two-services", "Point on two services",
     "The circuits of point {subject} hang on services {services}: one form cannot prove them together.",
     "Make one point for each service and add them in a roll-up."},
    {"reference-of-another-phase", "Voltage of another phase",
     "In point {subject} the voltage is not that of the current's phase ({channels}). The error is {error}.",
     "If the CTs hang as recorded, set the reference of each channel to the phase of its conductor: no work at the"
     " panel is needed. If the record is wrong, correct the poles."},
    {"measures-another-circuit", "CT on somebody else's circuit",
     "Point {subject} counts channels {channels}, whose CTs surround {circuits}: not a circuit of this point.",
     "Find out which circuit the CT surrounds. If the record is right, give the channel to the point of that "
     "circuit: the two may have been exchanged. If the circuit belongs here, add it to the point."},
    {"ratio-differs", "Ratio differs from the CT",
     "Channel {subject} was told {configured}; CT {subject2} is {built}, which makes {expected} per unit of output"
     " with its turns, not {measured}. It registers {registered} of the energy.",
     "Read the nameplate of the CT. If the record is right, set the ratio of the channel; past energy was wrong by"
     " the same factor. Apply the ratio in one place only: device, reading system or billing."},
    {"direction-differs", "Channel counts backward",
     "Channel {subject} counts its load negative: mark toward {mark} (it should face {wanted}), leads {leads}, "
     "polarity {polarity}, reference {reference}.",
     "Change one of them, not two: the polarity setting needs no work at the panel. Output of the CT: {output}. "
     "Never exchange the leads of a current-output CT (amps, milliamps) under load: short its secondary first."},
    {"landing-contradiction", "Voltage terminals that contradict the profile",
     "{kind} {subject}: {what}: {why}.",
     "Correct the landing of the device, the labels of its profile, or the reference of the channel."},
    {"terminal-not-landed", "Voltage terminal on nothing",
     "Channel {subject} uses {reference}, but terminal {terminal} of device {subject2} is not landed: it measures "
     "no power.",
     "Land the terminal through its own fuse, locked off; or choose a reference that is landed, if it is of the "
     "same phase."},
    {"phase-not-in-service", "Phase that the service does not have",
     "The {kind} {subject} names {what}, but service {subject2} ({service_kind}) has no conductor {conductor}; it "
     "has {conductors}.",
     "Check with a voltmeter which conductors are there, then correct the {kind} or the kind of service. A voltage"
     " terminal without a conductor measures nothing, so its channel reads near zero. Measuring voltages is work "
     "on live parts: qualified people only."},
    {"reference-from-another-service", "Voltage from another service",
     "Channel {subject} multiplies the current of circuit {subject3}, which belongs to service {expected}, by a "
     "voltage of service {measured}, on which device {subject2} is landed.",
     "Move the CT to a device whose voltage terminals are landed on {expected}, or correct the service of the "
     "device if the record is wrong. Current-output CTs: never open the secondary under load; short it first."},
    {"meter-supply-billed", "Supply of the metering is billed to premises",
     "Circuit {subject} feeds {feeds} and stands in billing point {subject2} of premises {subject3}.",
     "Take the circuit out of the point, with its channel, and assign it to the owner or to what all share."},
    {"point-without-premises", "Billing point without premises",
     "Billing point {subject} does not say whose energy it measures: nobody is billed for it.",
     "Name its premises, or state another use if it is a main or for information only."},
    {"circuit-in-two-points", "Circuit billed more than once",
     "Circuit {subject} stands in billing points {points}. Their shares add up to {measured}; they must make "
     "{expected}.",
     "Find out whose premises the circuit feeds and remove it from the other points. If several share it by "
     "agreement, enter shares that add up to 1 in the elements of the points."},
    {"rollup-in-itself", "Roll-up that adds itself",
     "Roll-up {subject} contains itself, directly or through others.",
     "Remove the roll-up from one of its own parts. Until then it has no sum."},
    {"circuit-rolled-up-twice", "Circuit counted more than once in a sum",
     "Roll-up {subject2} counts circuit {subject} {measured} times, through {points}.",
     "Keep one way into the sum. Where a feeder is in the sum, what it feeds is in it already, unless it is "
     "subtracted."},
    {"circuit-never-rolled-up", "Billing point missing from a sum",
     "Billing point {subject} ({circuits}) is not part of {rollup}: the sum is short of its energy.",
     "Add the point to the roll-up to which it belongs."},
    {"evidence-missing", "Evidence that is not there",
     "An assignment of {field} of {kind} {subject} rests on evidence {names}, which the record does not "
     "have.",
     "Add the evidence, or correct its id. A fact without evidence can be disputed."},
    {"history-contradiction", "Two values at once",
     "The history of {field} of {kind} {subject} gives two different values from {from} on, and neither "
     "was written down later.",
     "Find out which one holds. Correct it by a later entry with the reason, so that the history shows "
     "what was believed when."},
    {"history-gap", "Fact that ended",
     "{field} of {kind} {subject} was known until {until}; after that there is a time without a value.",
     "Enter what holds since then. A thing that was removed is taken out of points and channels as well."},
    {"evidence-about-nothing", "Evidence about nothing",
     "Evidence {subject} is about {names}, which the record does not have.",
     "Correct it to kind:id or kind:id:field of something in the record."},
    {"calibration-expired", "Instrument out of calibration",
     "Evidence {subject} was taken {measured} after the calibration of {instrument}; the limit is {limit}.",
     "Measure again with an instrument in calibration, or enter the date of the calibration that covers "
     "it. Prove the instrument before and after use."},
    {"serial-used-twice", "One serial number on two things",
     "The {kind}s {subject} and {subject2} have the same serial number {serial}.",
     "Read both rating plates again: one of the two was copied, or both entries mean one thing."},
    {"waiver-incomplete", "Waiver that waives nothing",
     "Waiver {subject} is not applied: {why}.",
     "Copy the identity of the finding from the report and state the reason."},
    {"input-beyond-device", "Input that the device does not have",
     "Channel {subject} stands on input {measured}; device {subject2} has {limit}.",
     "Look up on which input the CT is landed and correct the number, or the profile of the device."},
    {"groups-contradict", "Connectors that do not hold the inputs",
     "The connectors of profile {subject} hold {measured} inputs together; it has {expected}.",
     "Count the inputs of each connector and correct the profile."},
    {"output-not-for-input", "CT output that the input does not take",
     "CT {subject2} gives {measured}; the inputs of device {subject3} take {expected} (channel {subject}).",
     "Exchange the CT for a type that fits the device, or correct the record. A current output on a "
     "voltage input is an open secondary. Never open the secondary of a current-output CT under load: "
     "short it first."},
    {"full-scale-exceeded", "Input overdriven at full load",
     "At the rated current of the breaker the CTs of channel {subject} give {measured}; device {subject2} "
     "measures up to {limit}.",
     "Use CTs of a larger ratio or fewer CTs on the input. What lies above full scale is not counted."},
    {"point-over-devices", "Point divided over devices",
     "The channels of point {subject} belong to {devices}, which do not sample at the same instants.",
     "Bring the channels of the point to one device; two devices also mean two clocks and two voltage "
     "connections."},
    {"point-over-groups", "Point divided over connectors",
     "The channels of point {subject} stand on more than one connector of a device.",
     "Move the channels to one connector, so that unplugging one never leaves half a point in service."},
    {"too-few-spares", "Too few spare inputs",
     "Device {subject} has {measured} of {of} inputs left; {limit} of them are to stay free.",
     "Plan another device before the next division of a suite."},
    {"channel-in-no-point", "Channel that no point counts",
     "Channel {subject} has a CT, but no point counts it.",
     "Give it to the point whose circuit it measures, or take the CT out of the record when it is removed."},
    {"ct-on-no-channel", "CT on no channel",
     "CT {subject} hangs on a conductor, but no channel takes its output ({output}).",
     "Land it on a channel, or take it off. Never open the secondary of a current-output CT under load: "
     "short it first."},
    {"scaled-twice", "Ratio applied twice",
     "Device {subject2} applies the ratio itself, and the registers of channel {subject} are multiplied by"
     " {factor} once more.",
     "Set the factor to 1, or let the device deliver secondary quantities. Bills since the change of "
     "either are wrong by this factor."},
    {"scaled-by-nobody", "Ratio applied by nobody",
     "Nobody applies the ratios of device {subject}, and point {subject2} bills from it.",
     "State who applies them: device, reading system or billing, and only one of these."},
    {"ct-smaller-than-breaker", "CT smaller than the breaker",
     "CT {subject} is rated for {rating} with its turns; the breaker of circuit {subject2} lets {breaker} "
     "through.",
     "Use a CT of at least the breaker's rating: a smaller one saturates and counts too little. Work near "
     "live parts is for qualified people: lock off first. Never open the secondary of a current-output CT "
     "under load: short it first."},
    {"ct-too-large", "CT much larger than the circuit",
     "CT {subject} is rated for {rating}; the breaker of circuit {subject2} is {breaker}. More than "
     "{limit} times is too much where the class is not known.",
     "State the accuracy class, or use the smallest rating that the breaker allows: small loads are else "
     "not measured."},
    {"least-current-not-measured", "Small loads that no class covers",
     "Class {class} of CT {subject} promises nothing below {measured}; circuit {subject2} is to be "
     "measured from {limit} on.",
     "Use the smallest rating that the breaker of {breaker} allows, or a class for extended range such as "
     "0.5S, which holds from 1 % of its rating on."},
    {"class-unknown", "Accuracy class of no standard",
     "{subject} states class {class}, which none of the standards has.",
     "Write the class as its standard does, such as 0.5S or 1. A data sheet that says 0.5 % names no "
     "class."},
    {"class-not-for-billing", "Class without a limit on the angle",
     "CT {subject} of point {subject2} has class {class}, which does not limit its phase displacement: the"
     " energy of inductive loads may be wrong by any amount.",
     "Use a class up to 1 for billing."},
    {"accuracy-not-met", "Accuracy that was agreed is not kept",
     "The classes of CTs and meter of point {subject} allow an error of {measured} at rated current; "
     "{limit} was agreed.",
     "Choose better classes, or agree on what they can keep."},
    {"mixed-cores", "Solid and split cores in one point",
     "Point {subject} adds CTs of different construction: {cores}.",
     "Use one construction within a point: their angles err differently, and the difference looks like a "
     "fault of wiring."},
    {"mixed-ratings", "CTs of different ratings on one circuit",
     "The CTs of circuit {subject} are rated {ratings}.",
     "Use one rating for all poles, or make sure that each channel has its own ratio: exchanged ratings "
     "are easily overlooked."},
    {"window-too-small", "Conductors that do not fit the window",
     "{count} conductor(s) run through CT {subject}; they need {measured}, its window takes {limit}.",
     "Use a CT with a larger window, or correct diameter and turns. A core that does not close counts too "
     "little."},
    {"parallel-partly-enclosed", "Parallel conductors partly measured",
     "The CTs of channel {subject} surround {measured} of the {expected} parallel conductors of circuit "
     "{subject2}.",
     "Bring all parallel conductors through one CT, or fit one CT on each and add them. No factor makes up"
     " for it: they never share the current exactly. Work near live parts is for qualified people: lock "
     "off first. Never open the secondary of a current-output CT under load: short it first."},
    {"ct-round-whole-circuit", "CT round a whole circuit",
     "CT {subject} surrounds all conductors of circuit {subject2} in one direction: their currents cancel,"
     " and it sees leakage only.",
     "Bring one conductor through each CT. Work near live parts is for qualified people: lock off first. "
     "Never open the secondary of a current-output CT under load: short it first."},
    {"ct-round-neutral", "CT round a neutral",
     "CT {subject} surrounds the neutral of circuit {subject2} and no phase conductor: it misses what "
     "flows between phases.",
     "Move it to the phase conductor. Work near live parts is for qualified people: lock off first. Never "
     "open the secondary of a current-output CT under load: short it first."},
    {"burden-too-high", "CT loaded beyond its rated burden",
     "Leads and input of channel {subject2} load CT {subject} with {measured}; it is rated for {rated} "
     "(leads {leads}, input {input}).",
     "Use thicker or shorter leads, or a CT of lower output current or higher burden. Its class holds only"
     " up to the rated burden. Output of the CT: {output}. Never open the secondary of a current-output CT"
     " under load: short it first."},
    {"burden-too-low", "CT loaded less than its class supposes",
     "Leads and input of channel {subject2} load CT {subject} with {measured}; its class holds from "
     "{limit} on (rated {rated}, leads {leads}, input {input}, output {output}).",
     "Use a CT of smaller rated burden. Electronic inputs load a CT little; an added burden resistor is "
     "fitted once and with the secondary shorted."},
    {"space-used-twice", "Two breakers in one space",
     "Space {space} of panel {panel} holds {circuits}.",
     "Look at the panel and correct the spaces. Two breakers of half size share a space: then say so of "
     "both."},
    {"poles-not-adjacent", "Poles that do not stand together",
     "Circuit {subject} is said to stand in spaces {spaces}; the poles of one breaker are {step} number(s)"
     " apart in this panel.",
     "Look at the panel and correct the spaces, or the numbering of the panel."},
    {"poles-on-one-phase", "Two poles on one phase",
     "Two poles of circuit {subject} stand on phase {phase}: there is no voltage between them.",
     "Look at the panel and correct the spaces, or the bus pattern of the panel."},
    {"phases-differ-from-panel", "Phases that contradict the panel",
     "Circuit {subject} states phases {measured}; its spaces in panel {subject2} stand on {expected} "
     "({hint}).",
     "Measure between the poles and a conductor of known phase: about 0 V means the same phase. Then "
     "correct phases, spaces or bus pattern. Measuring voltages is work on live parts: qualified people "
     "only."},
    {"bus-phase-not-fed", "Bus with a phase that nobody feeds",
     "The bus of panel {subject} is {bus}; circuit {subject2}, which feeds it, does not bring {missing}.",
     "Correct the bus pattern of the panel, or the phases of its feeder."},
    {"high-leg-to-neutral", "Single-pole load on the high leg",
     "Circuit {subject} stands on phase {phase} of service {subject2}, the high leg: it has {measured} to "
     "neutral, not {expected}.",
     "Danger for the load and for people: treat as urgent. Never land a single-pole load on the high leg. "
     "Check with a voltmeter (qualified people only), then move the circuit or correct the record."},
    {"breaker-larger-than-feeder", "Breaker larger than its feeder's",
     "The breaker of circuit {subject} is rated {measured}; {subject2}, which feeds its panel, {limit}.",
     "Read both breakers again: one is probably entered wrongly."},
    {"role-contradiction", "Spare that is in use",
     "Circuit {subject} is called a spare, but {why}.",
     "Correct the role of the circuit, or what uses it."},
    {"service-voltages-contradict", "Nominal voltages that do not fit",
     "Service {subject} ({service_kind}) has {volts_ln} to neutral; between phases that makes {expected}, "
     "not {measured}.",
     "Correct one of the two voltages, or the kind of service. A mistake here makes a wye look like a "
     "single-phase service."},
    {"reference-out-of-range", "Voltage outside the range of the device",
     "Channel {subject} uses {reference}, nominally {measured}; device {subject2} measures from {least} to"
     " {greatest}.",
     "Choose a reference within the range, or a device made for the voltage. More than a terminal is made "
     "for destroys it and is a danger: qualified people only."},
    {"voltage-leads-unprotected", "Voltage leads without protection",
     "The voltage leads of device {subject} have no overcurrent protection of their own.",
     "Fit a fuse or breaker sized for the leads, with the supply locked off. Under local code; qualified "
     "people only."},
    {"common-billed-to-tenant", "Common load in a tenant's bill",
     "Circuit {subject} feeds what all share, but point {subject2} bills it to {subject3}, which is let.",
     "Give the circuit to a point of the owner or of what all share. In many places billing a tenant for "
     "common loads needs a written agreement."},
    {"premises-without-point", "Tenant without a billing point",
     "Premises {subject} are let, but no billing point measures them.",
     "Add a point, or correct who occupies them."},
    {"circuit-subtracted", "Circuit that a sum subtracts",
     "Roll-up {subject2} counts circuit {subject} {measured} times, through {points}, and adds nothing "
     "upstream of it.",
     "Correct the sign of the coefficient, or add the main from which it is taken away."},
    {"circuit-counted-in-part", "Circuit that a sum counts in part",
     "Roll-up {subject2} counts {shares} of circuit {subject}, but has to agree with a main that counts "
     "all of it.",
     "Add the points that share the rest of the circuit, or correct the coefficient."},
    {"main-does-not-cover", "Main that does not cover the sum",
     "Roll-up {subject2} has to agree with main {subject3}, but circuit {circuit} of point {subject} is "
     "not fed through it.",
     "Take the point out of the sum, choose another main, or correct what feeds the panel."},
    {"not-checked", "Not checked: a fact is missing",
     "{field} is missing {count} times of {of} ({named}): {meaning}. Rules that wait for it: {rules}.",
     "Look it up at the panel or in the installation documents and enter it. What was not checked is neither right"
     " nor wrong."},
};
// clang-format on

}  // namespace

std::span<const Message> rules_messages() noexcept { return rows; }

}  // namespace bln
