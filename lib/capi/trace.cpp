// Tracing circuits: plan, decoder, natural steps.
#include "plan/trace.hpp"

#include "capi/sized.hpp"

namespace bln::capi {
/// A plan with the words of its breakers as text.
struct Traced {
    TracePlan plan;
    std::vector<std::string> words;
};
/// A result, and the plan that it belongs to.
struct Decoded {
    std::shared_ptr<const Traced> of;
    TraceResult result;
};
}  // namespace bln::capi

struct bln_trace {
    std::shared_ptr<const bln::capi::Traced> core;
};
struct bln_trace_result {
    std::shared_ptr<const bln::capi::Decoded> core;
};

using namespace bln;
using namespace bln::capi;

namespace {

const Traced& core(const bln_trace* trace) { return *required(trace, "trace").core; }
const TraceResult& core(const bln_trace_result* result) { return required(result, "result").core->result; }

TraceOptions options_of(const bln_trace_options* from) {
    TraceOptions out;
    if (from == nullptr) return out;
    const bln_trace_options given = take(from, "options");
    if (given.check != BLN_TRACE_PLAIN && given.check != BLN_TRACE_DETECT && given.check != BLN_TRACE_CORRECT)
        throw Failure(BLN_E_RANGE, "options->check is none of BLN_TRACE_PLAIN, BLN_TRACE_DETECT, BLN_TRACE_CORRECT");
    out.check = static_cast<TraceCheck>(given.check);
    out.most_off = given.most_off;
    return out;
}

std::unique_ptr<bln_trace> plan_of(std::vector<TraceBreaker> breakers, const bln_trace_options* options) {
    auto made = std::make_shared<Traced>();
    made->plan = trace_plan(std::move(breakers), options_of(options));
    for (const TraceBreaker& b : made->plan.breakers) {
        std::string& word = made->words.emplace_back(b.word.empty() ? 0 : made->plan.steps, '0');
        for (const std::uint32_t s : b.word) word[s] = '1';
    }
    return holding<bln_trace>(std::shared_ptr<const Traced>(std::move(made)));
}

Policy limits_of(const bln_policy* policy) {
    if (policy != nullptr && policy->domain != BLN_POLICY_TRACE)
        throw Failure(BLN_E_ARGUMENT, "the policy belongs to another domain than BLN_POLICY_TRACE");
    return policy == nullptr ? Policy(trace_policy()) : policy->values;
}

std::unique_ptr<bln_trace_result> decoded(const bln_trace* trace, const bln_view* view,
                                          const std::vector<TraceReading>& readings, const bln_policy* policy) {
    auto made = std::make_shared<Decoded>();
    made->of = required(trace, "trace").core;
    made->result =
        trace_decode(made->of->plan, view == nullptr ? nullptr : view->view.get(), readings, limits_of(policy));
    return holding<bln_trace_result>(std::shared_ptr<const Decoded>(std::move(made)));
}

}  // namespace

extern "C" {

bln_status bln_trace_new(size_t n, const char* const* ids, const int32_t* poles, const int32_t* rules,
                         const bln_trace_options* options, bln_trace** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        std::vector<TraceBreaker> breakers(n);
        for (std::size_t i = 0; i < n; ++i) {
            breakers[i].id = required_text((&required(ids, "ids"))[i], "a breaker");
            if (poles != nullptr) breakers[i].poles = poles[i];
            if (rules == nullptr) continue;
            if (rules[i] != BLN_SWITCH_MAY && rules[i] != BLN_SWITCH_ASK && rules[i] != BLN_SWITCH_NEVER)
                throw Failure(BLN_E_RANGE, "the rule is none of BLN_SWITCH_MAY, BLN_SWITCH_ASK, BLN_SWITCH_NEVER",
                              breakers[i].id);
            breakers[i].rule = static_cast<SwitchRule>(rules[i]);
        }
        return plan_of(std::move(breakers), options);
    });
}

bln_status bln_trace_of_view(const bln_view* view, const char* panel, const bln_trace_options* options, bln_trace** out,
                             bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const View& v = *required(view, "view").view;
        return plan_of(trace_breakers(v, panel == nullptr ? std::string_view{} : required_text(panel, "panel")),
                       options);
    });
}

bln_status bln_trace_about(const bln_trace* trace, bln_trace_info* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const TracePlan& p = core(trace).plan;
        hand_out(
            out,
            bln_trace_info{0, p.steps, p.least_steps, p.most_off, p.distance, static_cast<std::uint32_t>(p.traced)},
            "out");
    });
}

size_t bln_trace_count(const bln_trace* trace) BLN_NOEXCEPT {
    return trace == nullptr ? 0 : trace->core->plan.breakers.size();
}

bln_status bln_trace_at(const bln_trace* trace, size_t i, bln_trace_breaker* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const TraceBreaker& b = item_at(core(trace).plan.breakers, i, "breaker");
        hand_out(out,
                 bln_trace_breaker{0, static_cast<std::int32_t>(b.rule), b.id.c_str(), core(trace).words[i].c_str(),
                                   b.why.c_str(), b.poles, 0},
                 "out");
    });
}

bln_status bln_trace_json(const bln_trace* trace, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return text_of(trace_json(core(trace).plan)); });
}
bln_status bln_trace_text(const bln_trace* trace, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return text_of(trace_text(core(trace).plan)); });
}
void bln_trace_free(bln_trace* trace) BLN_NOEXCEPT { delete trace; }

bln_status bln_trace_decode(const bln_trace* trace, const bln_view* view, size_t n, const char* const* channels,
                            const bln_trace_columns* columns, const bln_policy* policy, bln_trace_result** out,
                            bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const bln_trace_columns given = take(columns, "columns");
        std::vector<std::string_view> ids(n);
        for (std::size_t i = 0; i < n; ++i) ids[i] = required_text((&required(channels, "channels"))[i], "a channel");
        return decoded(trace, view,
                       trace_readings(ids, Column(given.step, "step"), Column(given.before, "before"),
                                      Column(given.off, "off"), Column(given.noise, "noise"), core(trace).plan.steps),
                       policy);
    });
}

bln_status bln_trace_decode_csv(const bln_trace* trace, const bln_view* view, const char* csv, size_t n,
                                const bln_limits* limits, const bln_policy* policy, bln_trace_result** out,
                                bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        return decoded(trace, view,
                       trace_readings_csv(required_bytes(csv, n, "csv"), most_bytes(limits), core(trace).plan.steps),
                       policy);
    });
}

size_t bln_trace_result_count(const bln_trace_result* result) BLN_NOEXCEPT {
    return result == nullptr ? 0 : result->core->result.rows.size();
}

bln_status bln_trace_result_at(const bln_trace_result* result, size_t i, bln_trace_row* out,
                               bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const TraceRow& r = item_at(core(result).rows, i, "channel");
        bln_trace_row row{};
        row.verdict = static_cast<std::int32_t>(r.verdict);
        row.channel = r.channel.c_str();
        row.breaker = r.breaker.c_str();
        row.second = r.second.c_str();
        row.read = r.read.c_str();
        row.cause_text = info(r.cause).what.data();
        row.cause = static_cast<std::int32_t>(r.cause);
        row.steps = r.steps;
        row.wrong_steps = r.wrong_steps;
        row.nats = r.nats;
        row.probability = r.probability;
        row.share = r.share;
        row.amps = r.amps;
        hand_out(out, row, "out");
    });
}

bln_status bln_trace_result_report(const bln_trace_result* result, bln_report** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        auto made = std::make_unique<bln_report>();
        made->report = core(result).report;
        return made;
    });
}

bln_status bln_trace_result_text(const bln_trace_result* result, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const Decoded& d = *required(result, "result").core;
        return text_of(trace_result_text(d.of->plan, d.result));
    });
}
void bln_trace_result_free(bln_trace_result* result) BLN_NOEXCEPT { delete result; }

bln_status bln_trace_natural(size_t n, const char* const* channels, size_t samples, const bln_column* amps,
                             size_t events, const char* const* circuits, const uint64_t* at, const bln_policy* policy,
                             bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        std::vector<std::string_view> ids(n);
        std::vector<Column> columns;
        for (std::size_t i = 0; i < n; ++i) {
            ids[i] = required_text((&required(channels, "channels"))[i], "a channel");
            columns.emplace_back((&required(amps, "amps"))[i], "amps");
        }
        std::vector<TraceEvent> seen(events);
        for (std::size_t i = 0; i < events; ++i) {
            seen[i].circuit = required_text((&required(circuits, "circuits"))[i], "a circuit");
            seen[i].sample = (&required(at, "at"))[i];
        }
        return text_of(trace_natural(ids, samples, columns, seen, limits_of(policy)));
    });
}

}  // extern "C"
