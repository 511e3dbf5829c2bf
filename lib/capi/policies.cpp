#include "capi/policies.hpp"

#include "blondel/blondel.h"
#include "rules/check.hpp"

namespace bln::capi {

std::span<const PolicyKey> policy_table(std::int32_t domain) noexcept {
    switch (domain) {
        case BLN_POLICY_CHECK:
            return rules_policy();
        default:
            return {};
    }
}

}  // namespace bln::capi
