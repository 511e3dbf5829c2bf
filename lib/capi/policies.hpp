// Which room keeps the policy keys of which domain.
#pragma once

#include <cstdint>
#include <span>

#include "site/policy.hpp"

namespace bln::capi {

/// The keys of a domain; empty where there is no such domain.
[[nodiscard]] std::span<const PolicyKey> policy_table(std::int32_t domain) noexcept;

}  // namespace bln::capi
