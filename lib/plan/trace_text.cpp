// Plans and results of tracing, as text and JSON.
#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "plan/trace.hpp"
#include "site/json_text.hpp"

namespace bln {
namespace {

constexpr std::string_view cautions =
    "Cautions\n"
    "  Switching interrupts people: get their permission for each step. Never switch off life safety, fire alarm and\n"
    "  smoke control, medical equipment, lifts in use, refrigeration, sump pumps or data systems without their "
    "owner's\n"
    "  consent; mark such breakers `never` in the record. Breakers are operated by qualified people under local code "
    "and\n"
    "  employer rules, covers closed, with the meter doing the reading. Motors and lamps may not come back by\n"
    "  themselves. A breaker that is off does not make a conductor dead: backfeed, shared neutrals. The result "
    "supports,\n"
    "  and never replaces, licensed practice.\n";

std::vector<std::vector<std::size_t>> off_by_step(const TracePlan& plan) {
    std::vector<std::vector<std::size_t>> out(plan.steps);
    for (std::size_t b = 0; b < plan.breakers.size(); ++b)
        for (const std::uint32_t s : plan.breakers[b].word) out[s].push_back(b);
    return out;
}

std::string word_text(const TraceBreaker& b, std::uint32_t steps) {
    if (b.word.empty()) return {};
    std::string out(steps, '0');
    for (const std::uint32_t s : b.word) out[s] = '1';
    return out;
}

std::string_view word(SwitchRule r) { return r == SwitchRule::may ? "may" : r == SwitchRule::ask ? "ask" : "never"; }
std::string_view word(TraceCheck c) {
    return c == TraceCheck::plain ? "plain" : c == TraceCheck::detect ? "detect" : "correct";
}
std::string_view word(TraceVerdict v) {
    switch (v) {
        case TraceVerdict::contradictory:
            return "contradictory";
        case TraceVerdict::undecided:
            return "undecided";
        case TraceVerdict::not_among:
            return "none of these";
        case TraceVerdict::likely:
            return "likely";
        case TraceVerdict::proven:
            return "proven";
        case TraceVerdict::not_proven:
            break;
    }
    return "not proven";
}

}  // namespace

std::string trace_json(const TracePlan& plan) {
    std::string out = "{\"check\":";
    append_json_string(out, word(plan.options.check));
    fmt::format_to(
        std::back_inserter(out),
        ",\"most_off_allowed\":{},\"steps\":{},\"least_steps\":{},\"most_off\":{},\"distance\":{},\"breakers\":[",
        plan.options.most_off, plan.steps, plan.least_steps, plan.most_off, plan.distance);
    for (std::size_t b = 0; b < plan.breakers.size(); ++b) {
        const TraceBreaker& x = plan.breakers[b];
        out += b > 0 ? ",{\"id\":" : "{\"id\":";
        append_json_string(out, x.id);
        out += ",\"poles\":" + std::to_string(x.poles) + ",\"rule\":";
        append_json_string(out, word(x.rule));
        out += ",\"word\":";
        append_json_string(out, word_text(x, plan.steps));
        out += ",\"why\":";
        append_json_string(out, x.why);
        out += '}';
    }
    out += "],\"off\":[";
    const auto off = off_by_step(plan);
    for (std::size_t s = 0; s < off.size(); ++s) {
        out += s > 0 ? ",[" : "[";
        for (std::size_t i = 0; i < off[s].size(); ++i) {
            if (i > 0) out += ',';
            append_json_string(out, plan.breakers[off[s][i]].id);
        }
        out += ']';
    }
    out += "]}";
    return out;
}

std::string trace_text(const TracePlan& plan) {
    std::string text = fmt::format(
        "Tracing plan: {} breakers in {} steps, at most {} off at once. {}\n", plan.traced, plan.steps, plan.most_off,
        plan.distance >= 3   ? "One wrong step is put right."
        : plan.distance == 2 ? "One wrong step is noticed."
                             : "A load that changes by itself during a step is not noticed.");
    auto out = std::back_inserter(text);
    fmt::format_to(out, "{}\n\n",
                   plan.steps == plan.least_steps
                       ? "No plan under these conditions has fewer steps."
                       : fmt::format("No plan under these conditions has fewer than {} steps.", plan.least_steps));
    if (plan.steps > 0)
        text +=
            "Before anything is switched, see what loads that switch by themselves say. Then, for each step:\n"
            "read all channels; switch off; wait until the readings are steady, at least three of their intervals;\n"
            "read again; switch on; go on when the loads are back.\n\n";
    const auto off = off_by_step(plan);
    for (std::size_t s = 0; s < off.size(); ++s) {
        fmt::format_to(out, "  step {:<3} off:", s + 1);
        std::size_t width = 15;
        for (const std::size_t b : off[s]) {
            const std::string& id = plan.breakers[b].id;
            if (width + id.size() + 1 > 98) {
                text += "\n               ";
                width = 15;
            }
            text += ' ' + id;
            width += id.size() + 1;
        }
        text += '\n';
    }
    const auto list = [&](SwitchRule rule, const char* title) {
        bool any = false;
        for (const TraceBreaker& b : plan.breakers) {
            if (b.rule != rule) continue;
            if (!any) fmt::format_to(out, "\n{}\n", title);
            any = true;
            fmt::format_to(out, "  {}{}\n", b.id, b.why.empty() ? "" : ": " + b.why);
        }
    };
    list(SwitchRule::ask, "Ask first:");
    list(SwitchRule::never, "Left on:");
    text += '\n';
    text += cautions;
    return text;
}

std::string trace_result_text(const TracePlan& plan, const TraceResult& result) {
    std::string text = fmt::format("Traced: {} channels over {} steps\n\n", result.rows.size(), plan.steps);
    auto out = std::back_inserter(text);
    for (const TraceRow& r : result.rows) {
        fmt::format_to(out, "  {:<20} {:<14} {}", r.channel, word(r.verdict), r.read);
        if (r.cause == TraceCause::two_breakers)
            fmt::format_to(out, "  {:.0f} % {}, {:.0f} % {}", 100 * r.share, r.breaker, 100 * (1 - r.share), r.second);
        else if (!r.breaker.empty() && r.verdict >= TraceVerdict::likely)
            fmt::format_to(out, "  {}", r.breaker);
        else if (!r.breaker.empty() && r.verdict == TraceVerdict::undecided)
            fmt::format_to(out, "  {}{}", r.breaker, r.second.empty() ? "" : " or " + r.second);
        text += '\n';
        if (r.cause != TraceCause::none) fmt::format_to(out, "      {}\n", info(r.cause).what);
    }
    text += '\n';
    text += cautions;
    return text;
}

}  // namespace bln
