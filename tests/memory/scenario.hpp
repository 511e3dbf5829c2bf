// The tables: one row for every public function.
#pragma once

#include <span>
#include <vector>

#include "fixture.hpp"

/// A function that may need memory. The call is repeated with every request for memory refused in turn.
struct Scenario {
    const char* function;
    bln_status (*call)(Fixture& f, bln_error** err);
};

/// A function that must not need memory, such as an accessor.
struct Quiet {
    const char* function;
    void (*call)(Fixture& f);
};

std::span<const Scenario> record_scenarios();
std::span<const Scenario> form_scenarios();
std::span<const Scenario> quantity_scenarios();
std::span<const Scenario> live_and_energy_scenarios();
std::span<const Scenario> calendar_scenarios();
std::span<const Scenario> uncertainty_scenarios();
std::span<const Scenario> standard_scenarios();
std::span<const Scenario> fault_scenarios();
std::span<const Scenario> plan_scenarios();
std::span<const Scenario> field_test_scenarios();
std::span<const Scenario> proof_scenarios();
std::vector<Scenario> scenarios();
std::span<const Quiet> quiet();
/// Called by Fixture::release(), which must not need memory either.
std::span<const char* const> freed_by_fixture();
