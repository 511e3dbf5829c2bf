// The table of rules.
#include "rules/rule.hpp"
#include "rules/rules.hpp"

namespace bln::rules {
namespace {

constexpr Rule rows[] = {
    {"dangling-reference", Family::record, Severity::error, dangling_reference,
     "Does everything that the record names exist?"},
    {"channel-used-twice", Family::channels, Severity::error, channel_used_twice,
     "Is each channel billed once, or in parts that make one whole?"},
    {"input-used-twice", Family::channels, Severity::error, input_used_twice,
     "Does each input of a device stand for one channel?"},
    {"pole-contradiction", Family::poles, Severity::error, pole_contradiction,
     "Do spaces, phases and neutral of each circuit fit together and its panel?"},
    {"ct-on-missing-conductor", Family::poles, Severity::error, ct_on_missing_conductor,
     "Does each circuit have the conductors that CTs are said to surround?"},
    {"panel-feeds-itself", Family::poles, Severity::error, panel_feeds_itself,
     "Does every chain of feeders end, and not come back to where it began?"},
    {"pole-unmetered", Family::poles, Severity::error, pole_unmetered,
     "Is every pole that somebody pays for measured, where the arrangement needs it?"},
    {"pole-metered-twice", Family::poles, Severity::error, pole_metered_twice, "Is no pole measured twice?"},
    {"elements-too-few", Family::arrangement, Severity::error, elements_too_few,
     "Does each point have the elements that the conductors of its loads need (Blondel)?"},
    {"exact-only-at-nominal", Family::arrangement, Severity::warning, exact_only_at_nominal,
     "Is each point exact for any voltages, and not at nominal ones only?"},
    {"arrangement-not-exact", Family::arrangement, Severity::error, arrangement_not_exact,
     "Do the elements of each point add up to what its loads take?"},
    {"point-on-two-services", Family::arrangement, Severity::warning, point_on_two_services,
     "Do the circuits of each point hang on one service, so that it can be proven?"},
    {"reference-of-another-phase", Family::wiring, Severity::error, reference_of_another_phase,
     "Is each current multiplied by the voltage of its own phase?"},
    {"measures-another-circuit", Family::wiring, Severity::error, measures_another_circuit,
     "Do the CTs of each point surround its own circuits only?"},
    {"ratio-differs", Family::wiring, Severity::error, ratio_differs,
     "Was each channel told the ratio of the CT that is built in, turns included?"},
    {"direction-differs", Family::wiring, Severity::error, direction_differs,
     "Do mark, leads, polarity and reference of each channel make its load count forward?"},
    {"landing-contradiction", Family::wiring, Severity::error, landing_contradiction,
     "Do the voltage terminals of devices and references fit the profile?"},
    {"terminal-not-landed", Family::wiring, Severity::error, terminal_not_landed,
     "Is the voltage terminal of each channel landed on a conductor?"},
    {"phase-not-in-service", Family::wiring, Severity::error, phase_not_in_service,
     "Does the service have every conductor that panels, circuits and voltage references name?"},
    {"reference-from-another-service", Family::wiring, Severity::error, reference_from_another_service,
     "Do voltage and current of each channel belong to one service?"},
    {"meter-supply-billed", Family::billing, Severity::error, meter_supply_billed,
     "Is the supply of the metering kept out of the bills of tenants?"},
    {"point-without-premises", Family::billing, Severity::error, point_without_premises,
     "Does each billing point say whose energy it measures?"},
    {"circuit-in-two-points", Family::billing, Severity::error, circuit_in_two_points,
     "Is each circuit billed once, or in parts that make one whole?"},
    {"rollup-in-itself", Family::sums, Severity::error, rollup_in_itself, "Does no roll-up add itself?"},
    {"circuit-rolled-up-twice", Family::sums, Severity::error, circuit_rolled_up_twice,
     "Does each sum contain each circuit at most once, feeders and what they feed included?"},
    {"circuit-never-rolled-up", Family::sums, Severity::error, circuit_never_rolled_up,
     "Does each billing point stand in a roll-up, and in each that is compared with a main above it?"},
};

}  // namespace

std::span<const Rule> catalogue() noexcept { return rows; }

std::string_view word_of(Family family) noexcept {
    switch (family) {
        case Family::record:
            return "record";
        case Family::channels:
            return "channels";
        case Family::poles:
            return "poles";
        case Family::arrangement:
            return "arrangement";
        case Family::wiring:
            return "wiring";
        case Family::billing:
            return "billing";
        case Family::sums:
            return "sums";
    }
    return "record";
}

}  // namespace bln::rules
