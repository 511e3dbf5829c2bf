// What stands behind the opaque types of the energy section.
#pragma once

#include <memory>

#include "energy/intervals.hpp"

struct bln_intervals {
    std::shared_ptr<const bln::Intervals> core;
};
