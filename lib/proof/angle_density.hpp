// Densities of load angles on a circle of 5-degree steps: what a kind of load makes probable, and what readings leave.
//
// Nominal voltages of every supply stand at multiples of 30 degrees to one another, so that another place of a CT
// moves what it reads by whole steps: one circle for each element serves all its placements.
#pragma once

#include <array>
#include <cstddef>
#include <span>

#include "site/choices.hpp"
#include "site/policy.hpp"

namespace bln::infer {

inline constexpr std::size_t steps = 72;
inline constexpr double step_degrees = 360.0 / steps;

/// Weights of the angle of a load, of sum 1, by step.
using Weights = std::array<float, steps>;

/// Likelihood of all readings of one element, by the angle that the load would have if there were no offset; twice
/// round, so that a shift is a pointer. Scaled: the largest is 1, its logarithm stands apart.
class Circle {
public:
    Circle() { clear(); }
    void clear() noexcept {
        at_.fill(1);
        log_scale_ = 0;
    }
    /// Multiplies by `odd`/2pi + (1 - odd) times the weighted sum of Gaussian densities (per radian) round @p angles
    /// (radians), each of deviation @p deviation.
    void multiply(std::span<const double> angles, std::span<const double> weights, double deviation,
                  double odd) noexcept;
    /// Values from the step @p shift on.
    [[nodiscard]] const float* from(int shift) const noexcept { return at_.data() + shift; }
    [[nodiscard]] double log_scale() const noexcept { return log_scale_; }

private:
    std::array<float, 2 * steps> at_;
    double log_scale_ = 0;
};

/// Offset in radians as whole steps, 0 to steps - 1.
[[nodiscard]] int steps_of(double radians) noexcept;

/// What is taken for a kind of load.
struct LoadKind {
    Weights angle{};                            ///< one angle that the load keeps
    double one = 0, similar = 0, separate = 1;  ///< how its poles agree
};
/// @p narrow: deviation in degrees that the readings' own density adds, and that the weights leave out.
[[nodiscard]] LoadKind kind_of(const Policy& policy, Load load, double narrow);

}  // namespace bln::infer
