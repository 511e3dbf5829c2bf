// Readings as constraints on the phases of conductors.
#pragma once

#include <complex>
#include <map>
#include <string>
#include <vector>

#include "plan/phase_test.hpp"

namespace bln::plan {

enum PhasePolicyAt : std::size_t { other_percent, same_percent, same_volts, drop_percent, floating_low, floating_high };

/// The conductors on which a reading can stand, in volts.
struct Stage {
    std::array<std::complex<double>, conductor_count> volts{};
    std::array<bool, conductor_count> known{};  ///< usable as a reference
    std::vector<Conductor> phases;
    std::vector<Conductor> places;  ///< where a conductor may stand: the phases, and the neutral
    double line_volts = 0;          ///< greatest voltage between two places
    double phase_volts = 0;         ///< phase to neutral, or to the star point

    [[nodiscard]] double between(Conductor a, Conductor b) const noexcept {
        return std::abs(volts[index_of(a)] - volts[index_of(b)]);
    }
};
/// Throws BLN_E_ABSENT.
[[nodiscard]] Stage stage_of(const as_of::service& service, Conductor high_leg);

/// Whether a reading can be this voltage.
struct Fit {
    double same, other;  ///< volts; share
    [[nodiscard]] bool zero(double volts) const noexcept { return volts <= same; }
    [[nodiscard]] bool operator()(double foretold, double volts) const noexcept {
        if (foretold < same / 2) return zero(volts);
        return std::abs(volts - foretold) <= other * foretold;
    }
};
[[nodiscard]] Fit fit_of(const Stage& stage, const Policy& policy) noexcept;

/// A reading between two variables, or of one against a known conductor.
struct Link {
    std::size_t a = 0;
    std::size_t b = SIZE_MAX;  ///< SIZE_MAX: `known` counts
    Conductor known = Conductor::none;
    double volts = 0;
    std::size_t row = 0;  ///< of the readings
};

struct Solution {
    std::vector<std::vector<Conductor>> places;       ///< of each variable: all that belong to a solution
    std::vector<std::vector<std::size_t>> conflicts;  ///< sets of links none of which can be spared
    std::vector<bool> in_conflict;                    ///< variable
};
[[nodiscard]] Solution solve_phases(const Stage& stage, const Fit& fit, std::size_t variables,
                                    const std::vector<Link>& links);

/// Why the readings of one conductor fit nowhere. @p to: voltages to known conductors.
struct Explained {
    PhaseCause cause = PhaseCause::unexplained;
    std::string detail;
};
[[nodiscard]] Explained explain(const Stage& stage, const Fit& fit, const Policy& policy,
                                const std::vector<std::pair<Conductor, double>>& to);

/// Compares what was found with the pattern of each panel's bus.
void judge_panels(const View& view, const Stage& stage, PhaseTest& out);

}  // namespace bln::plan
