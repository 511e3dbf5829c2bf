// English texts of the findings of the rules.
#include "rules/check.hpp"

namespace bln {
namespace {

constexpr Message rows[] = {
    {"dangling-reference", "Reference that leads nowhere",
     "{subject} names {names} as its {field}, but the record has no {kind} {names}.",
     "Correct the id, or add {names} to the record. Until then, whatever depends on it is not checked."},
    {"channel-used-twice", "Channel counted more than once",
     "Points {points} all use channel {subject}. Their shares add up to {measured}; they must make {expected}.",
     "Find out whose circuit the CT of {subject} measures and remove the channel from the other points. If the points "
     "share its energy by agreement, enter shares that add up to 1."},
    {"input-used-twice", "Two channels on one input",
     "Channels {subject} and {subject2} both stand for input {input} of device {subject3}: one current is counted "
     "under "
     "two names.",
     "Look up on which input each CT is landed and correct the input number of the wrong channel."},
    {"phase-not-in-service", "Phase that the service does not have",
     "The {kind} {subject} names {what}, but service {subject2} ({service_kind}) has no conductor {conductor}; it has "
     "{conductors}.",
     "Check with a voltmeter which conductors are there, then correct the {kind} or the kind of service. A voltage "
     "terminal without a conductor measures nothing, so its channel reads near zero. Measuring voltages is work on "
     "live "
     "parts: qualified people only."},
    {"reference-from-another-service", "Voltage from another service",
     "Channel {subject} multiplies the current of circuit {subject3}, which belongs to service {expected}, by a "
     "voltage of "
     "service {measured}, on which device {subject2} is landed.",
     "Move the CT to a device whose voltage terminals are landed on {expected}, or correct the service of the device "
     "if "
     "the record is wrong. Current-output CTs: never open the secondary under load; short it first."},
    {"meter-supply-billed", "Supply of the metering is billed to premises",
     "Circuit {subject} feeds {feeds} and stands in billing point {subject2} of premises {subject3}.",
     "Take the circuit out of the point, with its channel, and assign it to the owner or to what all share."},
    {"point-without-premises", "Billing point without premises",
     "Billing point {subject} does not say whose energy it measures: nobody is billed for it.",
     "Name its premises, or state another use if it is a main or for information only."},
    {"circuit-in-two-points", "Circuit billed more than once",
     "Circuit {subject} stands in billing points {points}. Their shares add up to {measured}; they must make "
     "{expected}.",
     "Find out whose premises the circuit feeds and remove it from the other points. If several share it by agreement, "
     "enter shares that add up to 1 in the elements of the points."},
    {"rollup-in-itself", "Roll-up that adds itself", "Roll-up {subject} contains itself, directly or through others.",
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
     "Look it up at the panel or in the installation documents and enter it. What was not checked is neither right nor "
     "wrong."},
};

}  // namespace

std::span<const Message> rules_messages() noexcept { return rows; }

}  // namespace bln
