// A smallest set of constraints that cannot be met together.
#pragma once

#include <vector>

#include "plan/pool.hpp"

namespace bln::plan {

/// Solves all pools under @p force. Fills @p out; false when the constraints cannot be met.
bool solve_all(const AllocationProblem& problem, const std::vector<PoolMembers>& pools, const Force& force,
               Allocation& out);

/// For a problem that cannot be met: fills out.conflict, and out.proven.
void find_conflict(const AllocationProblem& problem, const std::vector<PoolMembers>& pools, Allocation& out);

}  // namespace bln::plan
