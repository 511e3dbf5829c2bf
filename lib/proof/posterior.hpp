// From likelihoods to classes: probabilities, the reported set, what stays possible.
#pragma once

#include <cstdint>
#include <vector>

#include "proof/likelihood.hpp"

namespace bln::infer {

/// One class of explanations of one load.
struct Explained {
    static constexpr std::int8_t as_placed = -1;
    std::uint32_t tuple = 0;
    std::int8_t map = 0;                ///< of the device's voltage leads; 0: as recorded
    std::int8_t dead = as_placed;       ///< element without current, or as_placed
    std::int8_t scaled = as_placed;     ///< element of another ratio
    std::int8_t ratio = 0;              ///< which one, of the shape's
    std::int8_t elsewhere = as_placed;  ///< element whose CT is on the same phase of another circuit
    bool anything = false;              ///< nothing that is modelled
    double log_likelihood = impossible, log_prior = 0;
    double probability = 0, likelihood_ratio = 0;
    std::vector<Explained> alike;  ///< other maps with which the point reads the same

    [[nodiscard]] bool plain() const noexcept { return dead < 0 && scaled < 0 && elsewhere < 0 && !anything; }
    [[nodiscard]] bool record() const noexcept { return tuple == 0 && map == 0 && plain(); }
};

/// Everything that explains one load, before probabilities.
struct Candidates {
    std::vector<Explained> all;
    std::vector<Explained> untold;  ///< ratios that the readings leave open and do not speak for
    double anything = impossible;   ///< logarithm of likelihood times prior of what is not modelled
    /// Logarithm of the sum of prior times likelihood.
    [[nodiscard]] double total() const noexcept;
};
[[nodiscard]] Candidates candidates_of(const Case& in, const Likelihood& likelihood, std::int8_t map);

struct Posterior {
    std::vector<Explained> reported;  ///< within the policy's factor of the best, most probable first
    std::vector<Explained> listed;    ///< further ones that stay possible
    double record = 0;                ///< probability that all is as recorded
    double rival = 0;  ///< greatest likelihood of a class with another wiring over that of the record
    bool record_first = false;
};

/// What explains a load, by map of the voltage leads.
struct Mapped {
    const Shape* shape = nullptr;
    Candidates candidates;
    double log_prior = 0;   ///< of the map
    double log_others = 0;  ///< what the device's other points say of the map
};
/// @p in_tests: tests on site tell apart what no reading does.
[[nodiscard]] Posterior posterior_of(const Policy& policy, std::vector<Mapped>&& maps, bool in_tests);

}  // namespace bln::infer
