// What stands behind the opaque types of the planning sections.
#pragma once

#include "plan/plan.hpp"

struct bln_plan {
    bln::plan::Plan core;
};
