#include "proof/prior.hpp"

#include <cmath>

#include "proof/proof_policy.hpp"

namespace bln::infer {

double prior_of(const Policy& policy, std::span<const Seat> seats, std::size_t own, std::size_t foreign) noexcept {
    const auto n = static_cast<double>(seats.size());
    std::size_t moved = 0, reversed = 0, abroad = 0;
    bool exchanged_pair = true;
    for (const Seat& s : seats) {
        moved += s.on != s.recorded ? 1 : 0;
        reversed += s.reversed ? 1 : 0;
        abroad += static_cast<std::size_t>(s.on) >= own ? 1 : 0;
    }
    // Two that moved each sit where the other belongs; three that moved each where another belongs.
    for (const Seat& s : seats) {
        if (s.on == s.recorded) continue;
        bool back = false;
        for (const Seat& t : seats) back = back || (t.recorded == s.on && t.on != t.recorded);
        exchanged_pair = exchanged_pair && back;
    }
    bool once = true;
    for (std::size_t i = 0; i < seats.size(); ++i)
        for (std::size_t j = i + 1; j < seats.size(); ++j) once = once && seats[i].on != seats[j].on;

    const double faults = policy[key::reversed_one] + policy[key::reversed_some] + policy[key::reversed_all] +
                          policy[key::exchanged] + policy[key::rotated] + policy[key::rotated_reversed] +
                          policy[key::wrong_conductor] + policy[key::wild];
    if (moved == 0) {
        if (reversed == 0) return std::max(0.0, 1 - faults);
        if (reversed == 1) return policy[key::reversed_one] / n;
        if (reversed == seats.size()) return policy[key::reversed_all];
        return policy[key::reversed_some] / (std::exp2(n) - 2 - n);
    }
    const double signs = std::exp2(n), share = policy[key::moved_reversed];
    const double sign = reversed == 0 ? 1 - share : share / (signs - 1);
    if (moved == 2 && exchanged_pair && once && abroad == 0) return policy[key::exchanged] / (n * (n - 1) / 2) * sign;
    if (moved == 3 && n == 3 && exchanged_pair && once && abroad == 0) {
        if (reversed == 3) return policy[key::rotated_reversed] / 2;
        return policy[key::rotated] / 2 * (reversed == 0 ? 1 - share : share / (signs - 2));
    }
    if (moved == 1) {
        // Only the one that moved, turned round as well or not; others reversed are two faults.
        const double targets = n * static_cast<double>(own + foreign - 1);
        bool only = true;
        for (const Seat& s : seats) only = only && (!s.reversed || s.on != s.recorded);
        if (reversed == 0) return policy[key::wrong_conductor] / targets * (1 - share);
        if (only) return policy[key::wrong_conductor] / targets * share * 0.8;
        return policy[key::wrong_conductor] / targets * share * 0.2 / (signs - 2);
    }
    return policy[key::wild] / std::pow(static_cast<double>(2 * (own + foreign)), n);
}

}  // namespace bln::infer
