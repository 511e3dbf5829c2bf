// From the posterior of a load to its verdict, and from the loads of a point to that of the point.
#pragma once

#include "proof/explain.hpp"

namespace bln::infer {

/// Reason for which a load cannot be judged at all, or an empty text; sets the verdict to not_judged or not_loaded.
[[nodiscard]] bool judgeable(Group& group);
/// Sets verdict and why.
void judge(const Policy& policy, Group& group);
/// The point of these loads: verdict, classes, what is not excluded, evidence.
void combine(const Policy& policy, std::span<const Group> groups, const Readings& readings, PointProof& out);

}  // namespace bln::infer
