// What the phase test says, in plain English.
#include "plan/phase_test.hpp"

namespace bln {
namespace {

#define CAUTION                                                                                                     \
    " These conductors are live: only a qualified person measures here, with an instrument of the right category, " \
    "proven "                                                                                                       \
    "on a known source before and after. Zero volts does not prove a conductor dead."

constexpr Message rows[] = {
    {"phase-panel-rotated", "The bus of {subject} is landed in another order",
     "The record has {recorded} from the first row on; the voltages say {measured} ({how}), by {agree} of {tested} "
     "conductors measured.",
     "Record the bus as {measured}, then check the channels of this panel again: phases follow for every "
     "pole." CAUTION},
    {"phase-panel-undecided", "The bus of {subject} is not decided yet",
     "The conductors measured so far ({tested}) fit more than one order of its phases.", "Next: {next}." CAUTION},
    {"phase-differs", "{conductor} stands on another phase than recorded",
     "Measured: phase {measured}. Recorded: {recorded}.",
     "Look where the conductor is landed. Then correct its place in the record, or land it where the record "
     "says." CAUTION},
    {"phase-readings-conflict", "These voltages cannot all be right",
     "No conductor of the service reads so: {readings}. None of the {count} can be spared: without any one of them the "
     "rest could be right.",
     "Measure these again, within one minute, with one low-impedance voltmeter." CAUTION},
    {"phase-impossible", "{conductor} is on no conductor of the service", "{readings}. It reads like this: {cause}.",
     "Next: {next}." CAUTION},
    {"phase-ambiguous", "The phase of {conductor} is not decided", "The readings allow {candidates}.",
     "Next: {next}." CAUTION},
    {"phase-conductor-neutral", "{conductor} reads like the neutral",
     "About 0 V to the neutral and the phase voltage to every phase. A conductor that floats at the middle reads the "
     "same "
     "to a high-impedance voltmeter.",
     "Measure again with a low-impedance voltmeter; then look where the conductor is landed." CAUTION},
    {"phase-high-leg-elsewhere", "The high leg of {subject} is phase {measured}",
     "The record says {recorded}; with {measured} all voltages fit. The high leg often changes its place between the "
     "utility's meter and the panel.",
     "Correct the record, mark the leg, and connect no load between it and the neutral." CAUTION},
    {"phase-drop", "{conductor} reads {measured} to its own phase",
     "The same phase {phase}, seen through a voltage drop: another panel or a loaded feeder lies between.",
     "Accept it as the same phase; measure the reference nearer to the conductor where you can." CAUTION},
    {"phase-reading-ignored", "One voltage of {conductor} says nothing", "{measured} to {reference}: {why}.",
     "Measure to the phases of the service instead." CAUTION},
    {"phase-conductor-unknown", "The record has no {conductor}",
     "Its phase is worked out, but there is nothing to compare it with.",
     "Name conductors circuit:pole, or panel/space, as in the record."},
    {"phase-other-service", "{conductor} belongs to another service",
     "It was measured against references of {service}; the record puts its panel on {recorded}.",
     "Measure against references of its own service, or correct the record." CAUTION},
};

}  // namespace

std::span<const Message> phase_test_messages() noexcept { return rows; }

}  // namespace bln
