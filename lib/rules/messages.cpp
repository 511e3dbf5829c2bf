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
    {"not-checked", "Not checked: a fact is missing",
     "{field} is missing {count} times of {of} ({named}): {meaning}. Rules that wait for it: {rules}.",
     "Look it up at the panel or in the installation documents and enter it. What was not checked is neither right"
     " nor wrong."},
};
// clang-format on

}  // namespace

std::span<const Message> rules_messages() noexcept { return rows; }

}  // namespace bln
