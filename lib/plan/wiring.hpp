// Which elements a circuit needs, and which CT fits its breaker.
#pragma once

#include <cstdint>
#include <vector>

#include "site/topology.hpp"
#include "site/view.hpp"

namespace bln::plan {

/// One element: the CT's pole and the voltage that multiplies its current.
struct Element {
    int pole = 1;
    Conductor on = Conductor::none;      ///< conductor that the CT surrounds
    Conductor common = Conductor::none;  ///< conductor of the second voltage terminal
    Reference reference = Reference::unknown;
};

/// Elements that make the circuit exact (Blondel's theorem: one for each conductor but the one that all voltages
/// share). Empty where the record does not say enough, with the reason.
struct ElementsOf {
    std::vector<Element> elements;
    Gap gap = Gap::none;
    bool no_return = false;  ///< one pole on a service whose conductors carry no current back
};
/// @param fewest between lines where no neutral carries load current; otherwise one for each pole, to neutral
[[nodiscard]] ElementsOf elements_of(const View& view, std::int32_t circuit, bool fewest);

/// Nominal volts between the two terminals; absent where the record does not say.
[[nodiscard]] std::optional<double> nominal_volts(const as_of::service& service, const Element& element);

/// Smallest rating at or above @p breaker_amps among @p types with this output, and an output that a profile of
/// @p full_scale (absent: any) takes; the first on a tie; -1 for none. "Rated primary at least the overcurrent
/// device, and the smallest such": common practice, no source.
[[nodiscard]] std::int32_t choose_ct_type(const View& view, const std::vector<std::int32_t>& types, Output output,
                                          std::optional<double> breaker_amps, std::optional<double> full_scale);

}  // namespace bln::plan
