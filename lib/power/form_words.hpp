// A form in words and formulas, for people.
#pragma once

#include <span>
#include <string>
#include <string_view>

#include "power/form.hpp"

namespace bln {

/// Names of the loads, for forms with more than one; may be empty (then they are numbered).
using LoadNames = std::span<const std::string_view>;

/// "V_AB·I_A* + V_CB·I_C*"
[[nodiscard]] std::string registered_text(const Form& form, LoadNames names = {});
/// Registered minus true: "−½·(V_A+V_B)·(I_A+I_B)*"; "0" when the form is exact. Voltages count against
/// the neutral where there is one; I_Σ is the sum of the three phase currents of a load with neutral.
[[nodiscard]] std::string error_text(const Form& form, LoadNames names = {});
/// When that error vanishes: "vanishes when V_A + V_B = 0 or I_A + I_B = 0".
[[nodiscard]] std::string condition_text(const Form& form, LoadNames names = {});
/// One sentence on exactness, at all times or at nominal voltages, with the harmonic orders that fail.
[[nodiscard]] std::string verdict_text(const Form& form);
/// How the readings S1, S2, ... of the elements, without weights, give the truth: "S = −S1 + S2, exact for every
/// load"; "exact" stands only before real weights.
[[nodiscard]] std::string correction_text(const Form& form);
/// A voltage row: "V_A", "V_AB", "⅓·(2·V_A−V_B−V_C)".
[[nodiscard]] std::string voltage_text(const Form& form, const VoltageRow& volts);
/// "I_A", "I_B[K2]".
[[nodiscard]] std::string current_name(const Form& form, std::size_t conductor, LoadNames names = {});
/// "A" to "G"; floating commons are E, E2, E3.
[[nodiscard]] std::string terminal_name(std::size_t terminal);
/// "½", "−7/3", "2"
[[nodiscard]] std::string ratio_text(const Rational& r);

}  // namespace bln
