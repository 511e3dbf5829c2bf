#include "rules/policy.hpp"

#include "rules/check.hpp"

namespace bln {
namespace rules {
namespace {

// In the order of PolicyAt.
constexpr PolicyKey keys[] = {
    {"notes", "", "1: say once for each missing field which rules could not be applied; 0: stay silent", "our choice",
     1, 0, 1},
    {"examples", "", "greatest number of ids that such a note names", "our choice", 5, 1, 1000},
    {"nominal_is_error", "",
     "1: an arrangement that is exact only at nominal voltages is an error; 0: it is a warning. Rules of some "
     "authorities accept only arrangements that are exact for any voltages",
     "our choice", 0, 0, 1},
    {"groups_whole", "", "1: warn of a point whose channels stand on more than one connector of a device; 0: allow it",
     "our choice", 0, 0, 1},
    {"spare_percent", "%",
     "inputs of each device that must stay free; 0: none. Vacant space gets divided later: 10 to 15 % "
     "is common practice, no source",
     "our choice", 0, 0, 100},
    {"ct_oversize", "", "greatest rating of a CT whose class is not known, as a multiple of the breaker's",
     "common practice, no source", 2.5, 1, 1000},
    {"least_percent", "%", "least current that must be measured, in percent of the breaker's rating",
     "4 CCR 4027.5 UR.1.2: loads from 5 % of the capacity on are measured accurately", 5, 0.01, 100},
    {"lead_celsius", "Cel", "temperature of the leads of CTs, for their resistance", "our choice", 20, -50, 150},
    {"burden_least_percent", "%", "least burden of a current-output CT, in percent of its rated burden",
     "IEC 61869-2, from memory", 25, 0, 100},
    {"calibration_days", "d", "longest time from the calibration of an instrument to its use",
     "common practice, no source", 366, 1, 36600},
};

}  // namespace
}  // namespace rules

std::span<const PolicyKey> rules_policy() noexcept { return rules::keys; }

}  // namespace bln
