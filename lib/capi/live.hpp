// What stands behind the opaque types of the live section.
#pragma once

#include <memory>

#include "proof/live.hpp"

struct bln_readings {
    std::shared_ptr<const bln::Readings> core;
};

struct bln_live {
    std::shared_ptr<const bln::Live> core;
};
