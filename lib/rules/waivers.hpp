// Findings that somebody has accepted. They stay in the report, with the waiver that accepts them.
#pragma once

#include <vector>

#include "site/finding.hpp"
#include "site/view.hpp"

namespace bln::rules {

/// Names in each finding the waiver of the record that accepts it. Only an error or a warning can be waived, by its
/// identity, and only with a reason.
void waive(const View& view, std::vector<Finding>& findings);

}  // namespace bln::rules
