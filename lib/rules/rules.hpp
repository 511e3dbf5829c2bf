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
// rollups.cpp
void rollup_in_itself(const Context&, Verdicts&);
void circuit_rolled_up_twice(const Context&, Verdicts&);
void circuit_never_rolled_up(const Context&, Verdicts&);

}  // namespace bln::rules
