// What a form registers while the supply stands at its nominal voltages: still exact, because the
// nominal voltages are numbers x + y j sqrt(3) with rational x and y.
#pragma once

#include <cstdint>
#include <optional>

#include "power/form.hpp"

namespace bln {

inline constexpr int highest_order = 15;

/// Orders 1 to 15; bit h is order h.
struct NominalOrders {
    std::uint16_t right = 0;    ///< registered = true for every current of that order
    std::uint16_t without = 0;  ///< right because the ideal supply has no voltage of that order
    bool known = false;         ///< false: the service's nominal voltages are not known

    [[nodiscard]] bool exact_at(int order) const noexcept { return (right >> order & 1U) != 0; }
    [[nodiscard]] bool exact_at_fundamental() const noexcept { return known && exact_at(1); }
    [[nodiscard]] std::uint16_t failing() const noexcept {
        return known ? static_cast<std::uint16_t>(~right & 0xFFFEU) : std::uint16_t{0};
    }
};
[[nodiscard]] NominalOrders nominal_orders(const Form& form);

/// S_registered / S_true of an elementary load between two conductors of one load (positions in
/// form.conductors()) at nominal voltages of the fundamental. Nothing when the conductors stand at one
/// potential, belong to different loads, or a voltage that matters is not known.
/// P_registered / P_true = Re F - Im F tan(phi), phi the angle of the load.
[[nodiscard]] std::optional<Quadratic> registration(const Form& form, std::size_t from, std::size_t to);

}  // namespace bln
