// English texts of the findings of the live check.
#include "proof/live.hpp"

namespace bln {
namespace {

constexpr Message rows[] = {
    {"channel-reads-reversed", "Reads reversed",
     "Channel {subject} of point {subject2} reads {watts} at an angle of {angle}; a load of kind {load} on the "
     "recorded "
     "wiring reads {low} to {high}. It reads as if the CT were {reads_as}.",
     "Rule out real export first. Compare the mark on the CT and its two leads with the record. Correct the CT or its "
     "leads with the circuit locked off; never open the secondary of a current-output CT under load: short it first. "
     "Or change the polarity in the device, if the authority for the meter allows it, and record it."},
    {"channel-reads-otherwise", "Reads as another conductor",
     "Channel {subject} of point {subject2} reads {watts} at an angle of {angle}; a load of kind {load} on the "
     "recorded "
     "wiring reads {low} to {high}. It reads as if the CT were {reads_as}.",
     "Measure the voltage between the conductor in the CT and the voltage terminal of the channel: near 0 V on the "
     "same "
     "phase. That is work on live parts, for qualified people only. Then move the CT, or change the channel's voltage "
     "reference and record it."},
    {"channel-undecided", "Two explanations fit",
     "Channel {subject} of point {subject2} reads {watts} at an angle of {angle} (expected {low} to {high} for a load "
     "of "
     "kind {load}). It reads {reads_as}.",
     "State the kind of load in the record if it is known. Otherwise read again with a known load, such as a heater: "
     "it "
     "reads within a few degrees of 0."},
    {"channel-fits-nothing", "No wiring explains the angle",
     "Channel {subject} of point {subject2} reads {watts} at an angle of {angle}. With a load of kind {load} no place "
     "of "
     "its CT explains that.",
     "Check the kind of load in the record, and whether the CT holds more than one conductor."},
    {"channel-sign-only", "Only the sign is known",
     "Channel {subject} of point {subject2} reads {watts}, without reactive power or angle. That fits: {reads_as}.",
     "Read the reactive power or the angle as well: active and apparent power together do not tell the conductor."},
    {"channel-not-judged", "Not judged: the record lacks a fact", "Channel {subject} is read, but {why}.",
     "Enter the fact and check again."},
    {"not-all-proven", "Not everything is proven",
     "Of {of} channels, {right} are proven right; {likely} read as they should, but an unusual load on another phase "
     "would "
     "look the same; {idle} have too little load to prove anything; {unread} have no reading.",
     "Switch loads on and read again; state the kind of load of the circuits. A channel without load is not proven "
     "right, and a reading of zero does not prove a conductor dead."},
    {"element-without-current", "One element without current",
     "Point {subject} measures one load of several poles: {busy} carry load, {idle} none.",
     "Look for an open or shorted CT, a CT that is not closed, or one around two conductors. Never open the secondary "
     "of "
     "a current-output CT under load: short it first."},
    {"voltage-unexpected", "Voltage far from nominal",
     "Channel {subject} of device {subject2} reads {measured}; its reference has {expected} nominal (limit {limit}).",
     "Check the fuse and the landing of the voltage lead, and which conductor it is on. 208 V to neutral is a high "
     "leg. "
     "If voltages to neutral drift against each other, suspect an open neutral: that is urgent."},
    {"power-above-apparent", "More active than apparent power",
     "Row {row} of channel {subject} has {measured}, but only {limit}.",
     "Check the scale and the units of the columns."},
    {"reading-channel-unknown", "Reading of an unknown channel", "The record has no channel {subject}.",
     "Add it to the record, or correct the id in the readings."},
    {"reading-contradicted", "Two readings for one instant",
     "Channel {subject} has {count} further readings for an instant that say something else. None of them is used.",
     "Find out which reading is right."},
    {"reading-repeated", "Readings that say the same again",
     "{count} readings of channel {subject} repeat another one. They count once.", "Nothing needs to be done."},
    {"main-and-branches-differ", "Main and branches differ",
     "On {phase}, the branches below main {subject} add up to {measured}, the main reads {expected}: {difference} "
     "(limit "
     "{limit}).",
     "Correct the channels that read wrong first. What remains points to a circuit without a channel, a wrong ratio, "
     "or "
     "readings that were not taken at the same moment."},
    {"main-not-summed", "Main not compared with its branches",
     "{count} of {of} circuits below main {subject} are not read completely: {unread}.",
     "Read them at the same instant as the main."},
};

}  // namespace

std::span<const Message> live_messages() noexcept { return rows; }

}  // namespace bln
