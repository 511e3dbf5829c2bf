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
};

}  // namespace
}  // namespace rules

std::span<const PolicyKey> rules_policy() noexcept { return rules::keys; }

}  // namespace bln
