// Uncertainty of the points and roll-ups of a record, from the classes of their CTs and devices.
#pragma once

#include <cstdint>
#include <span>
#include <string_view>

#include "power/uncertainty.hpp"
#include "site/view.hpp"

namespace bln {

/// Load of one element of a point, in the order of the point's elements.
struct ElementLoad {
    double watts = 0, vars = 0;  ///< as registered, with multiplier and share
    double amps = 0;             ///< in the primary of its CT, times the turns
};

struct PointUncertainty {
    std::complex<double> power;
    double watts = 0;        ///< standard uncertainty, W
    double watts_limit = 0;  ///< greatest error that the classes allow, W
    bool from_memory = false;
};

/// CTs err independently of one another; what belongs to one device errs with one sign.
/// BLN_E_ARGUMENT (as many loads as elements), BLN_E_ABSENT with subject and pointer: a class, a rating or a CT is not
/// recorded, a channel has several CTs, or a class states nothing at such a load; BLN_E_NAME: a class that the
/// table does not know.
[[nodiscard]] PointUncertainty point_uncertainty(const View& view, std::int32_t point,
                                                 std::span<const ElementLoad> loads);

/// Load at which the classes are read for a sum, and what the devices of one make share.
struct SumAssumption {
    double percent = 100;       ///< current of every CT, percent of its rating
    double angle_degrees = 0;   ///< load angle of every element
    double shared_percent = 0;  ///< standard uncertainty common to all points of one CT type and profile, percent
};
struct PointEnergy {
    std::string_view point;
    double energy = 0;
};
struct SumUncertainty {
    CombinedUncertainty sum, main, difference;  ///< difference: sum minus main
    bool has_main = false;
    bool from_memory = false;
};
/// A point counts as if all its energy went through the element with the widest limits, so that no share of the load
/// among its elements is wider. Failures as above; BLN_E_ABSENT as well for a point of the sum without an energy,
/// BLN_E_VALUE for a roll-up that adds itself, BLN_E_NO_ENTITY for an energy of no such point.
[[nodiscard]] SumUncertainty rollup_uncertainty(const View& view, std::int32_t rollup, const SumAssumption& load,
                                                std::span<const PointEnergy> energies);

}  // namespace bln
