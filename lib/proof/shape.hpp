// What the elements of one load can read, whatever the readings: made once for all loads that are wired alike.
#pragma once

#include <array>
#include <complex>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "power/form.hpp"
#include "power/hypotheses.hpp"
#include "site/point_form.hpp"
#include "site/policy.hpp"

namespace bln::infer {

inline constexpr std::size_t most_elements = 3, most_variables = 3;

/// Placements of one element that no reading tells apart, as a class of hypotheses of that element alone.
struct ElementClass {
    std::uint32_t first = 0;             ///< simplest of its placements, by position
    std::vector<std::uint32_t> members;  ///< all of them
    std::int8_t variable = -1;           ///< current of the load that it sees; -1: of another circuit, or none
    Conductor on = Conductor::none;      ///< the conductor, in the simplest placement
    int shift = 0;                       ///< offset of its angle against that of the load, in steps
    std::array<int, 3> other_shift{};    ///< the same against loads between lines
    double log_turns = 0;                ///< logarithm of what it reads over the current
    double turn = 0;                     ///< offset of the current's own angle in the frame of the voltages, radians
    bool moved = false;                  ///< its simplest placement is on another conductor than recorded
};

/// One element of the load.
struct ShapeElement {
    std::optional<Hypotheses> all;      ///< of this element alone: every placement with every further fault
    std::vector<ElementClass> base;     ///< right ratio, one conductor; the record's first
    std::vector<ElementClass> ratios;   ///< the record's placement at another ratio
    std::vector<ElementClass> doubles;  ///< two conductors of the load in the window
    std::optional<ElementClass> dead;
    std::complex<double> reference;  ///< nominal voltage that multiplies its current, first phase = 1
    bool grounded = false;           ///< its reference has no voltage by design: 0 W is right
};

struct Variable {
    Conductor on = Conductor::none;
    std::complex<double> drive;                     ///< voltage that drives its current, if the load has one angle
    std::array<std::complex<double>, 2> between{};  ///< voltages to the other poles
    std::size_t others = 0;
};

struct Shape {
    std::string why;  ///< reason for which nothing can be said, or empty
    std::size_t poles = 0;
    Answer neutral = Answer::unknown;
    std::vector<ShapeElement> elements;
    std::vector<Variable> variables;
    bool triple = false;                     ///< three poles without neutral: their currents sum to zero
    bool pair = false;                       ///< two poles with neutral: a load between them is possible too
    std::size_t tuples = 0;                  ///< combinations of base classes
    std::vector<double> log_prior;           ///< by tuple
    double dead_prior = 0, ratio_prior = 0;  ///< of each element, each ratio

    /// Base class of element @p e in tuple @p t.
    [[nodiscard]] std::size_t class_of(std::size_t t, std::size_t e) const noexcept {
        for (std::size_t i = 0; i < e; ++i) t /= elements[i].base.size();
        return t % elements[e].base.size();
    }
};

/// Text that two loads wired alike share: the key of the cache.
[[nodiscard]] std::string shape_key(const Form& form, std::int32_t service, std::size_t load,
                                    std::span<const std::size_t> elements, Answer neutral);
/// Never throws for what the record says: then `why` tells. @p apart: bit i: every placement of the i-th element is a
/// class of its own, because tests tell apart what readings do not.
[[nodiscard]] Shape make_shape(const Form& form, std::size_t load, std::span<const std::size_t> elements,
                               Answer neutral, const Policy& policy, std::uint32_t apart = 0);

}  // namespace bln::infer
