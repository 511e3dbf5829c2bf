// Which breaker feeds which channel, where no record says so: a plan of switching steps, and what readings before and
// during each step say.
//
// Every channel is read by itself, so this is code assignment and not pooling: each breaker gets a word of one bit a
// step and is off in the steps whose bit is 1; the steps in which a channel's current falls spell the word of its
// breaker.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "site/column.hpp"
#include "site/finding.hpp"
#include "site/policy.hpp"
#include "site/view.hpp"

namespace bln {

enum class SwitchRule : std::uint8_t { may = 10, ask = 20, never = 30 };

struct TraceBreaker {
    std::string id;
    int poles = 1;
    SwitchRule rule = SwitchRule::may;
    std::string why;                  ///< of `never`
    std::vector<std::uint32_t> word;  ///< steps in which it is off, from 0, ascending; empty: not switched
};

/// What the words can stand.
enum class TraceCheck : std::uint8_t {
    plain = 10,    ///< nothing: a load that changes by itself during a step names a wrong breaker
    detect = 20,   ///< one wrong step is noticed
    correct = 30,  ///< one wrong step is put right
};

struct TraceOptions {
    TraceCheck check = TraceCheck::detect;
    std::uint64_t most_off = 0;  ///< breakers that may be off at once; 0: any number
};

struct TracePlan {
    TraceOptions options;
    std::vector<TraceBreaker> breakers;  ///< as given
    std::size_t traced = 0;
    std::uint32_t steps = 0;
    std::uint32_t least_steps = 0;  ///< no plan can do with fewer
    std::uint32_t most_off = 0;     ///< greatest number off in one step
    std::uint32_t distance = 0;     ///< steps in which any two words, or a word and no fall at all, differ at least
};

/// BLN_E_VALUE (an id that is none, or twice), BLN_E_RANGE (poles 1 to 3), BLN_E_SIZE (more than 4096 breakers to
/// switch).
[[nodiscard]] TracePlan trace_plan(std::vector<TraceBreaker> breakers, const TraceOptions& options);
/// The circuits of a panel, or of all panels where @p panel is empty. Mains, supplies of the metering, circuits that
/// feed a panel and circuits whose record says `never` are left on; spares have nothing to trace. BLN_E_NO_ENTITY.
[[nodiscard]] std::vector<TraceBreaker> trace_breakers(const View& view, std::string_view panel);
[[nodiscard]] std::string trace_json(const TracePlan& plan);
[[nodiscard]] std::string trace_text(const TracePlan& plan);

/// One channel over one step: before, and while the breakers of the step are off.
struct TraceReading {
    std::string channel;
    std::uint32_t step = 0;  ///< from 1
    double before = 0, off = 0;
    double noise = 0;  ///< of one reading; 0: by policy
};
/// BLN_E_VALUE (id, step, negative), BLN_E_NOT_FINITE, all listed.
[[nodiscard]] std::vector<TraceReading> trace_readings(std::span<const std::string_view> channels, const Column& step,
                                                       const Column& before, const Column& off, const Column& noise,
                                                       std::uint32_t steps);
/// Columns channel, step, before_amps, off_amps; noise_amps and note may be there.
[[nodiscard]] std::vector<TraceReading> trace_readings_csv(std::string_view csv, std::uint64_t max_bytes,
                                                           std::uint32_t steps);

enum class TraceVerdict : std::uint8_t {
    contradictory = 10,
    undecided = 20,
    not_proven = 30,
    not_among = 32,
    likely = 35,
    proven = 40
};
// X(enumerator, number, "slug", "what it means")
// clang-format off
#define BLN_TRACE_CAUSES(X) \
    X(none, 0, "none", "") \
    X(no_load, 10, "no_load", "the channel carried no load that its noise would let fall be seen") \
    X(no_word, 20, "no_word", "its current fell in steps that belong to no breaker") \
    X(two_breakers, 30, "two_breakers", "its current fell in parts: conductors of two breakers run through its CT") \
    X(partly, 40, "partly", "its current fell in parts, and no two breakers explain it") \
    X(corrected, 50, "corrected", "one step disagrees and was put right: its load changed by itself") \
    X(too_little, 60, "too_little", "the steps read do not tell two breakers apart") \
    X(too_many, 70, "too_many", "more channels follow its breaker than the breaker has poles")
// clang-format on
#define BLN_TRACE_CAUSE_ENUM(name, number, slug, what) name = number,
enum class TraceCause : std::uint8_t { BLN_TRACE_CAUSES(BLN_TRACE_CAUSE_ENUM) };
#undef BLN_TRACE_CAUSE_ENUM
struct TraceCauseInfo {
    std::string_view slug, what;
};
[[nodiscard]] const TraceCauseInfo& info(TraceCause cause) noexcept;

struct TraceRow {
    std::string channel;
    TraceVerdict verdict = TraceVerdict::not_proven;
    TraceCause cause = TraceCause::none;
    std::string breaker, second;  ///< second: of two_breakers, or the next best of undecided
    std::string read;             ///< one sign a step: 1 fell, 0 stayed, p fell in part, - nothing usable
    double share = 0;             ///< of two_breakers: of the current that belongs to `breaker`
    double nats = 0;              ///< by which the best explanation beats the next
    double probability = 0;
    double amps = 0;  ///< mean before the steps
    std::uint32_t steps = 0, wrong_steps = 0;
};
struct TraceResult {
    std::vector<TraceRow> rows;  ///< in the order in which channels are first read
    Report report;
};
/// @p view may be null; else what it records of a channel is compared. Readings are findings, never failures.
[[nodiscard]] TraceResult trace_decode(const TracePlan& plan, const View* view, std::span<const TraceReading> readings,
                                       const Policy& policy);
[[nodiscard]] std::string trace_result_text(const TracePlan& plan, const TraceResult& result);

/// Somebody saw a circuit switch: between the sample before and this one.
struct TraceEvent {
    std::string circuit;
    std::uint64_t sample = 0;
};
/// What loads that switch by themselves say, before anything is switched: steps of each channel, channels that step
/// together (poles of one circuit), and channels that step with the events of a circuit. As JSON. @p amps: one column a
/// channel. BLN_E_VALUE (id, event beyond the samples), BLN_E_NOT_FINITE.
[[nodiscard]] std::string trace_natural(std::span<const std::string_view> channels, std::size_t samples,
                                        std::span<const Column> amps, std::span<const TraceEvent> events,
                                        const Policy& policy);

[[nodiscard]] std::span<const Message> trace_messages() noexcept;
[[nodiscard]] std::span<const PolicyKey> trace_policy() noexcept;

namespace plan {
enum TracePolicyAt : std::size_t {
    least_times,
    noise_amps,
    noise_percent,
    accept_nats,
    wild_percent,
    partial_low,
    partial_high,
    step_amps,
    step_times,
    together_percent,
    together_events,
    event_samples,
    missed_percent
};
}  // namespace plan

}  // namespace bln
