#include "capi/policies.hpp"

#include "blondel/blondel.h"
#include "energy/energy.hpp"
#include "plan/phase_test.hpp"
#include "plan/trace.hpp"
#include "proof/live.hpp"
#include "proof/prove.hpp"
#include "rules/check.hpp"

namespace bln::capi {

std::span<const PolicyKey> policy_table(std::int32_t domain) noexcept {
    switch (domain) {
        case BLN_POLICY_CHECK:
            return rules_policy();
        case BLN_POLICY_LIVE:
            return live_policy();
        case BLN_POLICY_PROOF:
            return proof_policy();
        case BLN_POLICY_ENERGY:
            return energy_policy();
        case BLN_POLICY_PHASE_TEST:
            return phase_test_policy();
        case BLN_POLICY_TRACE:
            return trace_policy();
        default:
            return {};
    }
}

}  // namespace bln::capi
