// Why the metering form of a point is not exact, where it is not.
//
// The form is judged as the record stands. If it is not exact, explanations are tried from the most
// particular on, and the first that makes it exact is the one that is told: a ratio or direction that
// differs from what is built, a circuit of somebody else, a voltage of another phase, a pole without
// CT, a pole with two. What none of them explains is the arrangement itself.
#pragma once

#include <cstdint>
#include <memory>
#include <vector>

#include "site/point_form.hpp"

namespace bln::rules {

class Context;

enum class Outcome : std::uint8_t {
    exact,    ///< registered = true, proven
    nominal,  ///< at nominal voltages only
    wrong,
    neutral_open,  ///< it depends on whether a neutral goes to the load, which is not recorded
    not_built,     ///< facts are missing; see the notes
};

enum class Cause : std::uint8_t {
    none,
    configuration,    ///< ratio or direction of channels alone
    another_circuit,  ///< a CT of the point surrounds a circuit that is not the point's
    another_phase,    ///< voltages of other phases than the currents
    pole_unmetered,
    pole_metered_twice,
    too_few,     ///< fewer elements than any exact arrangement needs
    arrangement  ///< enough elements that do not add up to the truth
};

/// One element as built and configured, against what its channel is meant to do.
struct Scale {
    std::int32_t channel = -1;
    Rational ratio = 1;     ///< registered over true current; not 1: as-built and configured ratio differ
    bool backward = false;  ///< the element counts its own conductor's power negative
    bool one_ct = false;
};

struct Diagnosis {
    Outcome outcome = Outcome::not_built;
    Cause cause = Cause::none;
    std::vector<FormNote> notes;
    std::vector<Scale> scales;              ///< by element, where the form is built but not exact
    std::vector<std::uint32_t> elements;    ///< that the cause is about
    std::vector<std::uint32_t> conductors;  ///< that the cause is about
    std::unique_ptr<PointForm> form;        ///< where it is built but not exact
    Form intended;  ///< the same with ratios and directions as they are meant: what is left is the arrangement
};

[[nodiscard]] Diagnosis diagnose(const Context& context, std::uint32_t point);

}  // namespace bln::rules
