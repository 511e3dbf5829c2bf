// English texts of the findings of the roll-up.
#include "energy/energy.hpp"

namespace bln {
namespace {

constexpr Message rows[] = {
    {"interval-contradicted", "Two values for one interval",
     "Channel {subject} has {first} and {second} of {quantity} for the interval at {at}. Neither is used.",
     "Find out which file is right, and send the interval again."},
    {"interval-channel-unknown", "Channel that the record does not have",
     "There are {rows} rows of channel {subject}, which the record does not have. Its energy is counted as allocated "
     "to "
     "nobody.",
     "Add the channel to the record, or correct its id in the file."},
    {"interval-gap", "Intervals missing",
     "Channel {subject} lacks {count} of {of} intervals, in {spans} spans; the longest has {longest}, from {from} to "
     "{to}.",
     "Read the device again for that time. Until then, what uses the channel is short of that energy."},
    {"intervals-cut-off", "The file of intervals ends within a line",
     "The text of the intervals ends within a line: its last number may have lost digits.",
     "Send the file again, and compare its size with that of the sender."},
    {"register-rollover", "Register passed its last count",
     "Register {register} of channel {subject} passed its last count at {at}, from {before} to {after} "
     "({count} in the period). The energy across is known and is counted.",
     "Nothing needs to be done."},
    {"register-jitter", "Register read a little less than before",
     "Register {register} of channel {subject} fell back by next to nothing at {at}, from {before} to {after} "
     "({count} in the period). It counts as unchanged until it is more again.",
     "Nothing needs to be done. If it happens often, look at how the readings are rounded on their way."},
    {"register-exchanged", "Register exchanged or reset",
     "Register {register} of channel {subject} was exchanged or reset at {at}, as somebody recorded: last "
     "reading {before}, first reading after it {after} ({count} in the period). The energy on both sides is counted.",
     "Keep the signed final reading with the records of the bill."},
    {"register-gap", "Energy that belongs to no one interval",
     "Readings of register {register} of channel {subject} are missing between {from} and {to}, in spans: {count}. "
     "{energy} came in that time, but nobody knows in which intervals: the intervals are missing, and their energy is "
     "in no bill.",
     "Read the device's own memory for that time. Until then, estimate by the rules that apply and say so on the "
     "bill."},
    {"register-backwards", "Register went backwards",
     "Register {register} of channel {subject} went backwards between {from} and {at}, from {before} to {after} "
     "({count} in the period), and nothing explains it for certain: a rollover, a reset and an exchange look alike. "
     "What came in "
     "between is left out.",
     "Find out what was done to the device, and enter an exchange with its last and first reading; if the register "
     "passed its last count, state its modulus and the most that the channel can carry."},
    {"register-too-fast", "Register counted more than the channel can carry",
     "Register {register} of channel {subject} rose faster than the most its channel can carry between {from} "
     "and {at}, from {before} to {after} ({count} in the period). What came in between is left out.",
     "Check whether the device was exchanged or its ratio changed, and whether the stated limit is right."},
    {"register-too-long", "Too long without a reading",
     "Between {from} and {at}, register {register} of channel {subject} had time enough to pass its last count more "
     "than "
     "once ({count} in the period). What came in between is left out.",
     "Read the device more often, or read its own memory for that time."},
    {"registers-disagree", "Net is not import minus export",
     "In {count} of {of} intervals, the net energy of channel {subject} is not its import minus its export. The net is "
     "used.",
     "Check that the columns belong to the same registers and have the same scale."},
    {"interval-repeated", "Rows that say the same again",
     "{count} of {rows} rows of channel {subject} repeat what another row says. They count once.",
     "Nothing needs to be done. If it happens often, look for a file that is sent twice."},
    {"interval-out-of-order", "Rows out of order",
     "{count} of {rows} rows of channel {subject} come after a later one. They are used all the same.",
     "Nothing needs to be done. Late rows can be a sign of lost connections."},
    {"ratio-applied", "Ratio applied to the registers",
     "The record says that the registers of device {subject2} are scaled by {scaled_by}, so the energy of channel "
     "{subject} was multiplied by its ratio {ratio}.",
     "Make sure that the reading system has not applied the ratio already: applied twice, it multiplies the bill."},
    {"scaling-unclear", "Scale of the registers unclear",
     "The record says that the registers of device {subject2} are scaled by {scaled_by}, but the record of channel "
     "{subject} gives no ratio of currents. Its registers are taken as primary energy.",
     "Enter the configured ratio and the type of the CT, or correct who scales the registers."},
    {"channel-divided-twice", "Energy of a channel billed more than once",
     "The shares of channel {subject} in {points} add up to more than the whole: {energy} are billed more than once "
     "(negative: taken beyond what was measured).",
     "Find out whose circuit the channel measures, and take it out of the other points."},
    {"channel-not-billed", "Energy that nobody is billed for",
     "{energy} of channel {subject} go to no billing point and no main (it is used by: {points}).",
     "Add the channel to the point whose circuit it measures. If nobody should pay for it, give it to a common point "
     "of the owner."},
    {"rollup-circular", "Roll-up that adds itself",
     "Roll-up {subject} contains itself, directly or through others. It has no sum.", "Take it out of its own parts."},
    {"point-without-energy", "Point without energy", "No interval of point {subject} is complete ({channels}).",
     "Check that the file holds all channels of the point, and that their ids are those of the record."},
    {"point-incomplete", "Point with missing intervals",
     "Point {subject} lacks an element in {count} of {of} intervals ({channels}). Its {energy} hold only what is "
     "known.",
     "Read the devices again for that time, or estimate by the rules that apply and say so on the bill."},
    {"interval-divided", "Record changed within an interval",
     "In {count} intervals the record of point {subject} changed. Their energy was divided by time.",
     "Nothing needs to be done. Changes at the start of an interval avoid the division."},
    {"tenure-ended", "Another holder from a day of the period on",
     "Point {subject} was held by {before} until {at}, and by {after} from then on. Of its energy, {energy} fell "
     "before "
     "that time and {rest} after it, up to the next change or the end of the period; an interval that the change cuts "
     "is divided by time.",
     "Bill each holder for his part. A final reading at the hand-over settles what a divided interval leaves open."},
    {"apparent-not-stated", "No apparent energy for this point",
     "Volt-ampere-hours and power factor of point {subject} are not stated: {reason}. Its active energy is not "
     "affected.",
     "If kVAh or kVA are billed, measure every conductor of the point with a channel of its own."},
    {"main-agrees", "Main and sum agree",
     "Roll-up {subject} adds up to {sum}, main {subject2} to {main}: {percent} apart, within {limit} ({intervals} "
     "intervals compared, {left_out} left out). This does not see: two CTs of the same phase exchanged between points; "
     "a circuit that feeds somebody else's load; faults that cancel; a reversed CT in a three-element point of less "
     "than {smallest} ({small_count} points: {small}).",
     "Prove these points one by one, by switching their loads or with a clamp meter. Work near live parts is for "
     "qualified people."},
    {"main-not-compared", "Main and sum not compared",
     "There is no interval in which both roll-up {subject} and main {subject2} are complete.",
     "Complete the intervals of the main and of every point of the roll-up."},
    {"sum-above-main", "The sum is above the main",
     "Roll-up {subject} adds up to {sum}, main {subject2} only to {main}: {difference} too much ({percent}, the limit "
     "is "
     "{limit}; {intervals} intervals compared, {left_out} left out). Look for: a channel or point counted twice; a "
     "multiplier applied twice; a wrong ratio; registers that clamp or drop the sign of single elements; generation "
     "behind the main; a fault of the main itself.",
     "Start with the points named under the suspicions. Compare the ratio of the main with its name plate."},
    {"sum-below-main", "The sum is below the main",
     "Roll-up {subject} adds up to {sum}, main {subject2} to {main}: {difference} ({percent}, the limit is {limit}; "
     "{intervals} intervals compared, {left_out} left out). Look for: a CT that is reversed, open or on another phase; "
     "a wrong ratio; a circuit without a channel or a channel without a point; the supply of the metering itself; "
     "losses.",
     "Start with the points named under the suspicions, then with circuits that no channel measures. Never open the "
     "secondary of a current-output CT under load: short it first."},
    {"suspected-shortfall", "Suspicion: somebody pays too little",
     "The difference of roll-up {subject3} follows channel {subject} as if it were {hypothesis}. Point {point} would "
     "then be billed about {energy} too little. This explains {explained} of the variation of the difference; as good: "
     "{rival}. Another cause can have the same profile: a suspicion, not a proof.",
     "Look at the live readings of the channel under load first. Then prove it on site, with lock-out and by a "
     "qualified person, before anything is changed or billed again."},
    {"suspected-excess", "Suspicion: somebody pays too much",
     "The difference of roll-up {subject3} follows channel {subject} as if it were {hypothesis}. Point {point} would "
     "then be billed about {energy} too much. This explains {explained} of the variation of the difference; as good: "
     "{rival}. Another cause can have the same profile: a suspicion, not a proof.",
     "Look at the live readings of the channel under load first. Then prove it on site, with lock-out and by a "
     "qualified person, before anything is changed or billed again."},
};

}  // namespace

std::span<const Message> energy_messages() noexcept { return rows; }

}  // namespace bln
