// Wiring faults as transforms of the physical rows of a form: b' = (s/r) P b, a' = P a, a' = 0, or a
// floating common. What is configured (weights, labels, ratios) stays. Faults compose: apply one after another.
#pragma once

#include <cstdint>
#include <span>
#include <string_view>

#include "power/form.hpp"

namespace bln {

enum class FaultKind : std::uint8_t {
    reversed,         ///< the CT or its leads turned round: b' = -b
    on_conductor,     ///< the CT hangs on conductor y instead of x
    exchanged,        ///< the CTs of elements `element` and y at one another's inputs
    also_round,       ///< conductor y passes the window as well, in the sense of the sign of ratio
    ratio,            ///< true ratio over the one that is configured: b' = b / ratio
    dead,             ///< open or shorted secondary, dead channel, CT round nothing: b' = 0
    volts_exchanged,  ///< voltage leads x and y of the device exchanged
    volts_rotated,    ///< lead A on B, B on C, C on A; ratio -1: the other way round
    landed,           ///< lead x landed on terminal y
    missing,          ///< lead x without voltage: what refers to it reads 0
    floating,         ///< terminal x landed on nothing: a common of unknown potential
    star,             ///< terminal x landed on nothing, its inputs alike: at the star point of A, B, C
    reference,        ///< the voltage of x against y, instead of the one that is meant
};
inline constexpr int every_element = -1;

struct Fault {
    FaultKind kind = FaultKind::reversed;
    int element = every_element;  ///< or every_element, where the kind allows it
    int x = -1, y = -1;           ///< conductors, terminals or elements, as the kind says
    Rational ratio{1};
};

struct FaultInfo {
    FaultKind kind;
    std::string_view slug, doc;
};
[[nodiscard]] std::span<const FaultInfo> fault_kinds() noexcept;

/// The form of the same record with that fault in the wiring. Throws BLN_E_RANGE (element, conductor or terminal
/// that is not there; ratio not above 0), BLN_E_VALUE (the CT does not hang on x; one thing twice; the kind needs an
/// element or another ratio).
[[nodiscard]] Form with_fault(const Form& form, const Fault& fault);
[[nodiscard]] Form with_faults(const Form& form, std::span<const Fault> faults);

}  // namespace bln
