// Which other voltage references on the same currents make a form exact.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "power/form.hpp"

namespace bln {

struct Pointing {
    std::uint8_t plus = 0, minus = 0;  ///< terminals
    Rational weight;                   ///< of the element; its own unless weights may change
    bool changed = false;
};

/// New references, each one voltage between two of @p terminals (bit t is terminal t; 0: those that the elements
/// refer to now), with which the form is exact. As few elements change as can be. With @p weights, weights of
/// changed elements may change too. Nothing when there are none, or none among the subsets that are tried: all of
/// up to 12 elements; beyond, single elements and all together. Channels whose currents depend on one another are
/// re-pointed one at a time only.
[[nodiscard]] std::optional<std::vector<Pointing>> repoint(const Form& form, std::uint32_t terminals, bool weights);

/// Ways to use the channels at hand, as bits.
enum Reuse : std::uint32_t {
    reuse_as_is = 1,            ///< exact already
    reuse_repoint = 2,          ///< other voltage references or labels: exact
    reuse_reweigh = 4,          ///< other real weights: exact
    reuse_repoint_reweigh = 8,  ///< other references and weights: exact
    reuse_recompute = 16,       ///< complex weights: right at nominal voltages, fundamental alone, with a bound
};
[[nodiscard]] std::uint32_t reuse(const Form& form, std::uint32_t terminals);

}  // namespace bln
