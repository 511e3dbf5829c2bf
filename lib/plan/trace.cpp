// The plan of switching steps.
#include "plan/trace.hpp"

#include <algorithm>
#include <unordered_set>

#include "plan/trace_words.hpp"
#include "power/failure.hpp"
#include "site/topology.hpp"

namespace bln {
namespace {

constexpr std::size_t most_breakers = 4096;
constexpr std::string_view practice = "common practice, no source";

// In the order of plan::TracePolicyAt.
constexpr PolicyKey keys[] = {
    {"least_times", "", "how many times its noise a load has to be, so that its fall is seen", practice, 5, 1, 1000},
    {"noise_amps", "A", "standard deviation of one reading of current", "our choice", 0.05, 1e-6, 1000},
    {"noise_percent", "%", "by how much a load wanders by itself between two readings, in percent of its current",
     "our choice", 2, 0, 100},
    {"accept_nats", "nat", "by how much the best explanation has to beat the next, in natural units of log-likelihood",
     practice, 6, 0.1, 100},
    {"wild_percent", "%", "how often a load changes by itself during a step", "our choice", 1, 0.0001, 50},
    {"partial_low_percent", "%", "what is left below this counts as a complete fall", "our choice", 15, 0, 50},
    {"partial_high_percent", "%", "what is left above this counts as no fall", "our choice", 85, 50, 100},
    {"step_amps", "A", "least natural step of a current", "our choice", 0.5, 0, 100000},
    {"step_times", "", "least natural step, in multiples of the channel's noise between samples", "our choice", 6, 1,
     1000},
    {"together_percent", "%", "share of their steps that channels must have in common to belong together", "our choice",
     80, 1, 100},
    {"together_events", "", "number of steps that they must have in common", "our choice", 3, 1, 1000000},
    {"event_samples", "", "samples by which a step may stand off the event that caused it", "our choice", 1, 0, 1000},
    {"missed_percent", "%", "how often an event leaves no step in its channel", "our choice", 5, 0.0001, 99},
};

}  // namespace

std::span<const PolicyKey> trace_policy() noexcept { return keys; }

TracePlan trace_plan(std::vector<TraceBreaker> breakers, const TraceOptions& options) {
    TracePlan out;
    out.options = options;
    std::unordered_set<std::string_view> seen;
    for (const TraceBreaker& b : breakers) {
        if (!valid_id(b.id)) throw Failure(BLN_E_VALUE, "the breaker is not an id: 1 to 64 of A-Z a-z 0-9 . _ -", b.id);
        if (!seen.insert(b.id).second) throw Failure(BLN_E_VALUE, "the breaker stands twice", b.id);
        if (b.poles < 1 || b.poles > 3) throw Failure(BLN_E_RANGE, "a breaker has 1 to 3 poles", b.id);
        out.traced += b.rule == SwitchRule::never ? 0 : 1;
    }
    if (out.traced > most_breakers)
        throw Failure(BLN_E_SIZE, "a plan switches at most " + std::to_string(most_breakers) +
                                      " breakers; make one for each panel");
    const std::uint32_t distance = options.check == TraceCheck::plain ? 1 : options.check == TraceCheck::detect ? 2 : 3;
    plan::Words words =
        plan::choose_words(out.traced, distance, options.most_off == 0 ? most_breakers : options.most_off);
    out.steps = words.steps;
    out.least_steps = words.least;
    out.distance = words.distance;
    std::vector<std::uint32_t> off(out.steps, 0);
    std::size_t next = 0;
    for (TraceBreaker& b : breakers) {
        b.word.clear();
        if (b.rule == SwitchRule::never) continue;
        b.word = std::move(words.words[next++]);
        for (const std::uint32_t s : b.word) out.most_off = std::max(out.most_off, ++off[s]);
    }
    out.breakers = std::move(breakers);
    return out;
}

std::vector<TraceBreaker> trace_breakers(const View& view, std::string_view panel) {
    std::int32_t only = -1;
    if (!panel.empty()) {
        only = view.model().find(Kind::panel, panel);
        if (only < 0) throw Failure(BLN_E_NO_ENTITY, "there is no such panel", std::string(panel));
    }
    std::vector<bool> feeds(view.circuit.size(), false), supplies(view.circuit.size(), false);
    for (const as_of::panel& p : view.panel)
        if (p.fed_from.resolved()) feeds[static_cast<std::size_t>(p.fed_from.at)] = true;
    for (const as_of::device& d : view.device)
        if (d.supply.resolved()) supplies[static_cast<std::size_t>(d.supply.at)] = true;
    std::vector<TraceBreaker> out;
    for (std::size_t c = 0; c < view.circuit.size(); ++c) {
        const as_of::circuit& circuit = view.circuit[c];
        if (only >= 0 && circuit.panel.at != only) continue;
        TraceBreaker b;
        b.id = circuit.id;
        b.poles = static_cast<int>(std::clamp<std::size_t>(pole_count(circuit), 1, 3));
        b.rule = circuit.switch_off == SwitchOff::may     ? SwitchRule::may
                 : circuit.switch_off == SwitchOff::never ? SwitchRule::never
                                                          : SwitchRule::ask;
        const auto leave = [&](const char* why) {
            if (b.rule == SwitchRule::never && !b.why.empty()) return;
            b.rule = SwitchRule::never;
            b.why = why;
        };
        if (b.rule == SwitchRule::never) b.why = "the record says never";
        if (circuit.role == Role::main || feeds[c]) leave("it feeds other circuits");
        if (circuit.role == Role::meter_supply || supplies[c]) leave("it feeds the metering itself");
        if (circuit.role == Role::spare) leave("it has no load");
        out.push_back(std::move(b));
    }
    return out;
}

}  // namespace bln
