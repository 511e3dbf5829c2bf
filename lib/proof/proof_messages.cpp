// English texts of the findings of the proof.
#include "proof/prove.hpp"

namespace bln {
namespace {

constexpr Message rows[] = {
    {"point-wired-otherwise", "Wired otherwise than recorded",
     "Point {subject} reads as if {reads_as} (probability {probability}). {evidence}",
     "Rule out real export first. Look at the CTs named and compare them with the record. Correct a CT or its leads "
     "with the circuit locked off; never open the secondary of a current-output CT under load: short it first. Then "
     "read again."},
    {"point-not-decided", "Wiring not decided",
     "Several wirings of point {subject} explain its readings: {reads_as}. {evidence}",
     "Make the test that the result names, or read again with another load. State the kind of load in the record if it "
     "is known."},
    {"point-not-judged", "Point not judged", "Point {subject} cannot be judged. {evidence}",
     "Enter the missing fact, or read again with load. A reading of zero does not prove a conductor dead."},
    {"points-not-all-proven", "Not every point is proven",
     "Of {of} points, {right} are proven right; {likely} are likely right, but an unusual load on another conductor "
     "would read the same; {idle} have too little load.",
     "Read again with other loads, state the kind of load of the circuits, or make the tests that the result names."},
};

}  // namespace

std::span<const Message> proof_messages() noexcept { return rows; }

}  // namespace bln
