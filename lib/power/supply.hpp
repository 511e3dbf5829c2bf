// What a supply means for the form: which conductors exist, which are bonded, and the nominal
// voltage of each, order by order.
#pragma once

#include <array>
#include <cstdint>

#include "power/conductor.hpp"
#include "power/quadratic.hpp"

namespace bln {

/// How the nominal phase voltages stand to one another.
enum class NominalKind : std::uint8_t {
    none,        ///< not known
    single,      ///< one phase conductor against neutral
    centre_tap,  ///< v_A + v_C = 0 at every order
    wye,         ///< (1, a^-h, a^h) against neutral, a = 1 at 120 degrees
    delta,       ///< only differences are known: those of a wye; orders 3, 9, 15 have none
    high_leg,    ///< (1, -+ j sqrt(3), -1) against neutral; orders 3, 9, 15 have none
};

struct Supply {
    NominalKind nominal = NominalKind::none;
    bool acb = false;                      ///< phase sequence A C B
    Conductor high_leg = Conductor::none;  ///< of a high-leg delta
    /// N; the grounded phase where there is no N; none where nothing is grounded.
    Conductor reference = Conductor::none;
    Bonding bonding;
};

/// Nominal voltages of one order against the reference of the supply (or against an arbitrary datum
/// where nothing is grounded), in units of the first phase's. known[c] is false for conductors whose
/// potential nothing fixes: the ground of an ungrounded delta.
struct NominalVoltages {
    std::array<Quadratic, conductor_count> u{};
    std::array<bool, conductor_count> known{};
    bool any = false;  ///< false: an ideal supply has no voltage of this order between its conductors
};

/// @p order from 1.
[[nodiscard]] NominalVoltages nominal_voltages(const Supply& supply, int order);

}  // namespace bln
