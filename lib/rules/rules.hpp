// Every rule of the catalogue by its name; each lives in the file that its family names.
#pragma once

namespace bln::rules {

class Context;
class Verdicts;

// references.cpp
void dangling_reference(const Context&, Verdicts&);
// channels.cpp
void channel_used_twice(const Context&, Verdicts&);
void input_used_twice(const Context&, Verdicts&);
// poles.cpp
void pole_contradiction(const Context&, Verdicts&);
void ct_on_missing_conductor(const Context&, Verdicts&);
void panel_feeds_itself(const Context&, Verdicts&);
void pole_unmetered(const Context&, Verdicts&);
void pole_metered_twice(const Context&, Verdicts&);
// arrangement.cpp
void elements_too_few(const Context&, Verdicts&);
void exact_only_at_nominal(const Context&, Verdicts&);
void arrangement_not_exact(const Context&, Verdicts&);
void reference_of_another_phase(const Context&, Verdicts&);
void measures_another_circuit(const Context&, Verdicts&);
void point_on_two_services(const Context&, Verdicts&);
// wiring.cpp
void ratio_differs(const Context&, Verdicts&);
void direction_differs(const Context&, Verdicts&);
// services.cpp
void terminal_not_landed(const Context&, Verdicts&);
void landing_contradiction(const Context&, Verdicts&);
void phase_not_in_service(const Context&, Verdicts&);
void reference_from_another_service(const Context&, Verdicts&);
// billing.cpp
void meter_supply_billed(const Context&, Verdicts&);
void point_without_premises(const Context&, Verdicts&);
void circuit_in_two_points(const Context&, Verdicts&);
void common_billed_to_tenant(const Context&, Verdicts&);
void premises_without_point(const Context&, Verdicts&);
// rollups.cpp
void rollup_in_itself(const Context&, Verdicts&);
void circuit_rolled_up_twice(const Context&, Verdicts&);
void circuit_never_rolled_up(const Context&, Verdicts&);
// dates.cpp
void evidence_missing(const Context&, Verdicts&);
void history_contradiction(const Context&, Verdicts&);
void history_gap(const Context&, Verdicts&);
void evidence_about_nothing(const Context&, Verdicts&);
void calibration_expired(const Context&, Verdicts&);
void serial_used_twice(const Context&, Verdicts&);
// waivers.cpp
void waiver_incomplete(const Context&, Verdicts&);
// inputs.cpp
void input_beyond_device(const Context&, Verdicts&);
void groups_contradict(const Context&, Verdicts&);
void output_not_for_input(const Context&, Verdicts&);
void full_scale_exceeded(const Context&, Verdicts&);
void point_over_devices(const Context&, Verdicts&);
void point_over_groups(const Context&, Verdicts&);
void too_few_spares(const Context&, Verdicts&);
void channel_in_no_point(const Context&, Verdicts&);
void ct_on_no_channel(const Context&, Verdicts&);
// scaling.cpp
void scaled_twice(const Context&, Verdicts&);
void scaled_by_nobody(const Context&, Verdicts&);
void service_voltages_contradict(const Context&, Verdicts&);
void reference_out_of_range(const Context&, Verdicts&);
void voltage_leads_unprotected(const Context&, Verdicts&);
// ratings.cpp
void ct_smaller_than_breaker(const Context&, Verdicts&);
void ct_too_large(const Context&, Verdicts&);
void least_current_not_measured(const Context&, Verdicts&);
void class_unknown(const Context&, Verdicts&);
void class_not_for_billing(const Context&, Verdicts&);
void accuracy_not_met(const Context&, Verdicts&);
void mixed_cores(const Context&, Verdicts&);
void mixed_ratings(const Context&, Verdicts&);
// windows.cpp
void window_too_small(const Context&, Verdicts&);
void parallel_partly_enclosed(const Context&, Verdicts&);
void ct_round_whole_circuit(const Context&, Verdicts&);
void ct_round_neutral(const Context&, Verdicts&);
// burden.cpp
void burden_too_high(const Context&, Verdicts&);
void burden_too_low(const Context&, Verdicts&);
// panels.cpp
void space_used_twice(const Context&, Verdicts&);
void poles_not_adjacent(const Context&, Verdicts&);
void poles_on_one_phase(const Context&, Verdicts&);
void phases_differ_from_panel(const Context&, Verdicts&);
void bus_phase_not_fed(const Context&, Verdicts&);
void high_leg_to_neutral(const Context&, Verdicts&);
void breaker_larger_than_feeder(const Context&, Verdicts&);
void role_contradiction(const Context&, Verdicts&);
// claims.cpp
void circuit_subtracted(const Context&, Verdicts&);
void circuit_counted_in_part(const Context&, Verdicts&);
void main_does_not_cover(const Context&, Verdicts&);

}  // namespace bln::rules
