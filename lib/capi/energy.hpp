// What stands behind the opaque types of the energy section.
#pragma once

#include <memory>

#include "energy/energy.hpp"
#include "energy/stream.hpp"

struct bln_intervals {
    std::shared_ptr<const bln::Intervals> core;
};

struct bln_statement {
    std::shared_ptr<const bln::Statement> core;
};

struct bln_rollup_stream {
    std::unique_ptr<bln::RollupStream> core;
};
