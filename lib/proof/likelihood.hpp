// How probable the readings of one load are under each placement of its CTs.
#pragma once

#include <array>
#include <cstddef>
#include <span>
#include <vector>

#include "proof/evidence.hpp"
#include "proof/shape.hpp"
#include "proof/tests.hpp"

namespace bln::infer {

/// What the levels of agreement between poles are called: one load; similar; each on its own.
inline constexpr std::size_t levels = 3;

struct Agreement {
    std::array<double, levels> share{};
    std::array<double, levels> log_amps{};    ///< spread of the logarithm of the current
    std::array<double, levels> log_change{};  ///< the same of its change from snapshot to snapshot
};

/// Kinds of load and everything else that is the same for all loads of a site.
struct Laws {
    explicit Laws(const Policy& policy);
    const Policy& policy;
    std::vector<LoadKind> kinds;  ///< by kind_at()
    double log_range = 0;         ///< logarithm of the density of a current of unknown size
    [[nodiscard]] const LoadKind& kind(Load load) const noexcept;
    [[nodiscard]] Agreement agreement(const LoadKind& kind, bool alone) const noexcept;
};

/// The readings of one load.
struct Case {
    const Shape& shape;
    const Laws& laws;
    Load load = Load::unknown;
    std::span<const Sight> sights;  ///< by element
    std::size_t snapshots = 0;
    const TestWeights* tests = nullptr;  ///< none: no tests
};

/// Logarithms, by tuple; -infinity is written as `impossible`.
inline constexpr double impossible = -1e9;
struct Likelihood {
    std::vector<double> tuple;
    /// By element and ratio class, by tuple: empty where sizes say nothing.
    std::vector<std::vector<double>> ratio;
    /// By element that reads nothing: logarithm of the probability that its pole takes nothing although it is not dead.
    std::vector<double> idle;
    double anything = 0;  ///< of readings that no model explains
};

[[nodiscard]] Likelihood likelihood_of(const Case& in);

// Pieces of it.
void poles(const Case& in, double share, Likelihood& out);
void triple(const Case& in, double share, Likelihood& out);
/// log(exp(a) + exp(b))
[[nodiscard]] double log_sum(double a, double b) noexcept;

}  // namespace bln::infer
