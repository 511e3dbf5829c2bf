// What stands behind the opaque types of the calendar, demand and apportionment sections.
#pragma once

#include <memory>

#include "energy/apportion.hpp"
#include "energy/bins.hpp"
#include "energy/demand.hpp"
#include "energy/zone.hpp"

struct bln_zone {
    std::shared_ptr<const bln::energy::Zone> core;
};

struct bln_tou {
    std::shared_ptr<const bln::energy::TimeOfUse> core;
};

struct bln_bins {
    bln::energy::Bins core;
    bln::Rational quantum;
};

struct bln_demand {
    std::shared_ptr<const bln::energy::Demand> core;
};

struct bln_apportionment {
    bln::energy::Apportionment core;
};
