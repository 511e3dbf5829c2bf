// What stands behind the opaque type of the section on expected readings.
#pragma once

#include <memory>
#include <vector>

#include "plan/expected.hpp"

namespace bln::capi {
/// The rows, and the view whose texts they borrow.
struct Expected {
    std::shared_ptr<const View> view;
    std::vector<ExpectedRow> rows;
};
}  // namespace bln::capi

struct bln_expect {
    std::shared_ptr<const bln::capi::Expected> core;
};
