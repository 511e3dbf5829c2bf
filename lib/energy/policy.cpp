#include "energy/policy.hpp"

#include "energy/energy.hpp"

namespace bln {
namespace energy {
namespace {

// In the order of PolicyAt.
constexpr PolicyKey keys[] = {
    {"tolerance_percent", "%",
     "largest difference between a main and its roll-up, in percent of the main, that counts as agreement; a roll-up's "
     "own tolerance_percent goes before it",
     "derived: 40 equal points within 1 % each and a main within 0.5 % agree within 0.9 % (k = 2) before losses", 1, 0,
     100},
    {"follow_up_factor", "",
     "differences up to this many tolerances are undecided; beyond, wiring or coverage is wrong",
     "common practice, no source", 3, 1, 100},
    {"suspicion_explained", "",
     "least part of the variation of the difference that an explanation must explain to be named", "our choice", 0.2,
     0.01, 1},
    {"suspicion_most", "", "greatest number of explanations named for one roll-up", "our choice", 6, 0, 100},
    {"names", "", "greatest number of ids that one finding names", "our choice", 8, 1, 1000},
};

}  // namespace
}  // namespace energy

std::span<const PolicyKey> energy_policy() noexcept { return energy::keys; }

}  // namespace bln
