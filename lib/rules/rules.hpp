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
// services.cpp
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
