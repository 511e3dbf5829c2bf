// The table of rules.
#include "rules/rule.hpp"
#include "rules/rules.hpp"

namespace bln::rules {
namespace {

constexpr Rule rows[] = {
    {"dangling-reference", Family::record, Severity::error, dangling_reference,
     "Does everything that the record names exist?"},
    {"evidence-missing", Family::record, Severity::error, evidence_missing,
     "Does the evidence exist that assignments of the record rest on?"},
    {"history-contradiction", Family::record, Severity::error, history_contradiction,
     "Does no history give two values for the same beginning, written down at the same time?"},
    {"history-gap", Family::record, Severity::warning, history_gap,
     "Is every fact that was once known still known, without a gap?"},
    {"evidence-about-nothing", Family::record, Severity::warning, evidence_about_nothing,
     "Is each evidence about something that the record has?"},
    {"calibration-expired", Family::record, Severity::warning, calibration_expired,
     "Was each instrument calibrated, and not too long before it was used?"},
    {"serial-used-twice", Family::record, Severity::error, serial_used_twice,
     "Does each serial number stand for one thing?"},
    {"waiver-incomplete", Family::record, Severity::warning, waiver_incomplete,
     "Does each waiver name a finding and give a reason?"},
    {"channel-used-twice", Family::channels, Severity::error, channel_used_twice,
     "Is each channel billed once, or in parts that make one whole?"},
    {"input-used-twice", Family::channels, Severity::error, input_used_twice,
     "Does each input of a device stand for one channel?"},
    {"input-beyond-device", Family::channels, Severity::error, input_beyond_device,
     "Does each channel stand on an input that its device has?"},
    {"groups-contradict", Family::channels, Severity::error, groups_contradict,
     "Do the connectors of each profile hold its inputs?"},
    {"output-not-for-input", Family::channels, Severity::error, output_not_for_input,
     "Do the CTs of each channel give what its input takes?"},
    {"full-scale-exceeded", Family::channels, Severity::error, full_scale_exceeded,
     "Does each input take what its CTs give when the breaker is fully loaded?"},
    {"point-over-devices", Family::channels, Severity::warning, point_over_devices,
     "Do the channels of each point belong to one device?"},
    {"point-over-groups", Family::channels, Severity::warning, point_over_groups,
     "Do the channels of each point stand on one connector, where that is wanted?"},
    {"too-few-spares", Family::channels, Severity::warning, too_few_spares,
     "Does each device keep the spare inputs that are wanted?"},
    {"channel-in-no-point", Family::channels, Severity::warning, channel_in_no_point,
     "Does each channel with a CT stand in a point?"},
    {"ct-on-no-channel", Family::channels, Severity::warning, ct_on_no_channel,
     "Is each CT that hangs wired to a channel?"},
    {"scaled-twice", Family::channels, Severity::error, scaled_twice,
     "Is the ratio of each channel applied once, and not by device and reader both?"},
    {"scaled-by-nobody", Family::channels, Severity::error, scaled_by_nobody,
     "Does somebody apply the ratios of each device that is billed from?"},
    {"ct-smaller-than-breaker", Family::cts, Severity::error, ct_smaller_than_breaker,
     "Is each CT rated for the breaker of its circuit, turns included?"},
    {"ct-too-large", Family::cts, Severity::warning, ct_too_large,
     "Is no CT of unknown class much larger than its circuit needs?"},
    {"least-current-not-measured", Family::cts, Severity::warning, least_current_not_measured,
     "Does the class of each CT hold at the least current that must be measured?"},
    {"class-unknown", Family::cts, Severity::warning, class_unknown, "Is each accuracy class one of a standard?"},
    {"class-not-for-billing", Family::cts, Severity::warning, class_not_for_billing,
     "Does the class of each billing CT limit the phase displacement?"},
    {"accuracy-not-met", Family::cts, Severity::error, accuracy_not_met,
     "Do CTs and meter of each point keep the accuracy that was agreed?"},
    {"mixed-cores", Family::cts, Severity::warning, mixed_cores, "Are the CTs of each point of one construction?"},
    {"mixed-ratings", Family::cts, Severity::warning, mixed_ratings, "Are the CTs of each circuit of one rating?"},
    {"window-too-small", Family::cts, Severity::error, window_too_small,
     "Do the conductors fit through the window of each CT?"},
    {"parallel-partly-enclosed", Family::cts, Severity::error, parallel_partly_enclosed,
     "Do the CTs of each channel surround all parallel conductors of a pole?"},
    {"ct-round-whole-circuit", Family::cts, Severity::error, ct_round_whole_circuit,
     "Does no CT surround all conductors of a circuit in one direction?"},
    {"ct-round-neutral", Family::cts, Severity::warning, ct_round_neutral,
     "Does no billing CT surround neutrals alone?"},
    {"burden-too-high", Family::cts, Severity::error, burden_too_high,
     "Do leads and input of each current-output CT stay within its rated burden?"},
    {"burden-too-low", Family::cts, Severity::warning, burden_too_low,
     "Do leads and input load each current-output CT as much as its class supposes?"},
    {"pole-contradiction", Family::poles, Severity::error, pole_contradiction,
     "Do spaces, phases and neutral of each circuit fit together and its panel?"},
    {"ct-on-missing-conductor", Family::poles, Severity::error, ct_on_missing_conductor,
     "Does each circuit have the conductors that CTs are said to surround?"},
    {"panel-feeds-itself", Family::poles, Severity::error, panel_feeds_itself,
     "Does every chain of feeders end, and not come back to where it began?"},
    {"space-used-twice", Family::poles, Severity::error, space_used_twice,
     "Does each space of a panel hold one breaker, or two of half size?"},
    {"poles-not-adjacent", Family::poles, Severity::error, poles_not_adjacent,
     "Do the poles of each breaker stand side by side?"},
    {"poles-on-one-phase", Family::poles, Severity::error, poles_on_one_phase,
     "Do the poles of each circuit stand on different phases?"},
    {"phases-differ-from-panel", Family::poles, Severity::error, phases_differ_from_panel,
     "Do the phases stated of a circuit agree with its spaces in the panel?"},
    {"bus-phase-not-fed", Family::poles, Severity::error, bus_phase_not_fed,
     "Does the feeder of each panel bring every phase of its bus?"},
    {"high-leg-to-neutral", Family::poles, Severity::error, high_leg_to_neutral,
     "Does no single-pole load stand between the high leg and neutral?"},
    {"breaker-larger-than-feeder", Family::poles, Severity::warning, breaker_larger_than_feeder,
     "Is no breaker larger than the one that feeds its panel?"},
    {"role-contradiction", Family::poles, Severity::warning, role_contradiction,
     "Does nobody bill, and nothing hang on, a spare?"},
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
    {"service-voltages-contradict", Family::wiring, Severity::error, service_voltages_contradict,
     "Do the two nominal voltages of each service fit its kind?"},
    {"reference-out-of-range", Family::wiring, Severity::error, reference_out_of_range,
     "Does each device measure at the voltage of its channels?"},
    {"voltage-leads-unprotected", Family::wiring, Severity::error, voltage_leads_unprotected,
     "Do the voltage leads of each device have overcurrent protection?"},
    {"meter-supply-billed", Family::billing, Severity::error, meter_supply_billed,
     "Is the supply of the metering kept out of the bills of tenants?"},
    {"point-without-premises", Family::billing, Severity::error, point_without_premises,
     "Does each billing point say whose energy it measures?"},
    {"circuit-in-two-points", Family::billing, Severity::error, circuit_in_two_points,
     "Is each circuit billed once, or in parts that make one whole?"},
    {"common-billed-to-tenant", Family::billing, Severity::error, common_billed_to_tenant,
     "Does no tenant pay for what all share?"},
    {"premises-without-point", Family::billing, Severity::warning, premises_without_point,
     "Does each tenant have a billing point?"},
    {"rollup-in-itself", Family::sums, Severity::error, rollup_in_itself, "Does no roll-up add itself?"},
    {"circuit-rolled-up-twice", Family::sums, Severity::error, circuit_rolled_up_twice,
     "Does each sum contain each circuit at most once, feeders and what they feed included?"},
    {"circuit-never-rolled-up", Family::sums, Severity::error, circuit_never_rolled_up,
     "Does each billing point stand in a roll-up, and in each that is compared with a main above it?"},
    {"circuit-subtracted", Family::sums, Severity::error, circuit_subtracted,
     "Does no sum subtract a circuit that it does not add upstream?"},
    {"circuit-counted-in-part", Family::sums, Severity::warning, circuit_counted_in_part,
     "Does each sum that must agree with a main count whole circuits?"},
    {"main-does-not-cover", Family::sums, Severity::error, main_does_not_cover,
     "Does the main of each sum stand upstream of all that the sum adds?"},
};

}  // namespace

std::span<const Rule> catalogue() noexcept { return rows; }

std::string_view word_of(Family family) noexcept {
    switch (family) {
        case Family::record:
            return "record";
        case Family::channels:
            return "channels";
        case Family::cts:
            return "cts";
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
