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
