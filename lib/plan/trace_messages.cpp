// What tracing says, in plain English.
#include "plan/trace.hpp"

namespace bln {
namespace {

#define CAUTION                                                                                                    \
    " Switch only with permission, never life safety or medical equipment. A breaker that is off does not make a " \
    "conductor dead."

constexpr Message rows[] = {
    {"trace-differs", "{channel} follows {breaker}, not {recorded}",
     "Its current fell in the steps in which {breaker} was off (read: {read}). The record puts its CT round "
     "{recorded}.",
     "Look at the CT. Correct the record, or move the CT with the circuit switched off and the CT's output made "
     "safe." CAUTION},
    {"trace-too-many", "{found} channels follow {breaker}",
     "The breaker has {poles} poles, and these channels fell with it: {channels}.",
     "Look which CTs hang on its conductors: one may hang on the feeder, or two on one conductor." CAUTION},
    {"trace-two-breakers", "Two breakers run through the CT of {channel}",
     "{share} of its current fell with {breaker}, the rest with {second} (read: {read}).",
     "Open nothing that is live. With both circuits off, leave one conductor in the CT, or record both." CAUTION},
    {"trace-contradictory", "The steps of {channel} contradict one another",
     "{cause}; {steps} steps disagree with the best explanation (read: {read}).",
     "Repeat the steps with a steady load on the channel." CAUTION},
    {"trace-undecided", "{channel} is not decided",
     "{best} explains its readings best, {second} next; the margin is {margin} (read: {read}).",
     "Repeat the steps in which the two differ, with more load." CAUTION},
    {"trace-no-load", "{channel} carried no load", "Mean before the steps: {measured}. Nothing is proven of it.",
     "Put a load on the circuit, and repeat the plan." CAUTION},
    {"trace-not-among", "{channel} follows none of these breakers",
     "Its current of {measured} stayed in every step (read: {read}).",
     "Its breaker is one that was left on, or sits in another panel." CAUTION},
    {"trace-breaker-unseen", "No channel follows {breaker}",
     "Either it is not metered, or its load was off during the steps.",
     "Put a load on it, and repeat its steps." CAUTION},
    {"trace-poles-missing", "{found} of {poles} poles of {breaker} were seen",
     "The other poles are not metered, carried no load, or are not decided.",
     "Compare with the arrangement of its point; two CTs can be enough." CAUTION},
};

}  // namespace

std::span<const Message> trace_messages() noexcept { return rows; }

}  // namespace bln
