// The catalogue of configuration rules, run over one view of a record.
#pragma once

#include <span>

#include "power/progress.hpp"
#include "site/finding.hpp"
#include "site/policy.hpp"
#include "site/view.hpp"

namespace bln {

/// Runs every rule. The coverage has one row per rule, in the order of the catalogue.
/// Throws Failure(BLN_E_CANCELLED) and std::bad_alloc only.
[[nodiscard]] Report check(const View& view, const Policy& policy, const Progress& progress = {});

/// English texts of the findings of this room.
[[nodiscard]] std::span<const Message> rules_messages() noexcept;

/// Keys of the domain BLN_POLICY_CHECK.
[[nodiscard]] std::span<const PolicyKey> rules_policy() noexcept;

}  // namespace bln
