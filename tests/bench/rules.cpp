// Rules per second, cost per channel as a site grows, and one edit against a whole check: ratios of one run.
#include <benchmark/benchmark.h>
#include <blondel/blondel.h>

#include <chrono>
#include <cstdlib>
#include <map>
#include <string>

#include "support/generated_site.hpp"

namespace {

void must(bln_status status) {
    if (status != BLN_OK) std::abort();
}

double now() { return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count(); }

/// A generated site of about this many channels; every second point or so has two.
struct Made {
    bln_draft* draft;
    bln_site* site;
    bln_view* view;
    double channels;
};
const Made& made(std::size_t channels) {
    static std::map<std::size_t, Made> all;
    const auto at = all.find(channels);
    if (at != all.end()) return at->second;
    Made m{};
    m.draft = support::generated_draft(channels * 10 / 17);
    must(bln_draft_freeze(m.draft, &m.site, nullptr));
    must(bln_view_new(m.site, BLN_END_OF_TIME, BLN_END_OF_TIME, &m.view, nullptr));
    m.channels = static_cast<double>(bln_site_count(m.site, BLN_KIND_CHANNEL));
    return all.emplace(channels, m).first->second;
}

bln_report* checked(const Made& m) {
    bln_report* report = nullptr;
    must(bln_check(m.view, nullptr, nullptr, nullptr, &report, nullptr));
    return report;
}

/// Verdicts of all rules together, and the number of rules.
std::pair<double, double> verdicts(const Made& m) {
    bln_report* report = checked(m);
    bln_text* json = nullptr;
    must(bln_report_json(report, &json, nullptr));
    const std::string text = bln_text_data(json);
    double sum = 0, rules = 0;
    for (std::size_t at = text.find("\"coverage\""); (at = text.find("\"right\":", at)) != std::string::npos;
         ++at, ++rules)
        for (const char* name : {"\"right\":", "\"wrong\":", "\"undecided\":", "\"not_checked\":"}) {
            const std::size_t n = text.find(name, at);
            sum += std::strtod(text.c_str() + n + std::string(name).size(), nullptr);
        }
    bln_text_free(json);
    bln_report_free(report);
    return {sum, rules};
}

void rules_per_second(benchmark::State& state) {
    const Made& m = made(2000);
    const auto [sum, rules] = verdicts(m);
    for (auto _ : state) bln_report_free(checked(m));
    const auto runs = static_cast<double>(state.iterations());
    state.counters["rules"] = rules;
    state.counters["channels"] = m.channels;
    state.counters["rules/s"] = benchmark::Counter(runs * rules, benchmark::Counter::kIsRate);
    state.counters["verdicts/s"] = benchmark::Counter(runs * sum, benchmark::Counter::kIsRate);
}

/// Both sizes take turns; the ratio is the cost of a channel of the large one over that of the small one.
void cost_per_channel(benchmark::State& state) {
    const Made& small = made(2000);
    const Made& large = made(static_cast<std::size_t>(state.range(0)));
    double of_small = 0, of_large = 0;
    for (auto _ : state) {
        const double begin = now();
        bln_report_free(checked(large));
        const double middle = now();
        bln_report_free(checked(small));
        of_large += (middle - begin) / large.channels;
        of_small += (now() - middle) / small.channels;
    }
    const auto runs = static_cast<double>(state.iterations());
    state.counters["channels"] = large.channels;
    state.counters["us/channel"] = of_large / runs * 1e6;
    state.counters["ratio"] = of_large / of_small;
}

/// One edit of a field and its update, against a whole check of the same site.
void one_edit(benchmark::State& state) {
    const Made& m = made(2000);
    bln_draft* draft = nullptr;
    bln_recheck* recheck = nullptr;
    must(bln_draft_of(m.site, &draft, nullptr));
    must(bln_recheck_new(draft, BLN_END_OF_TIME, BLN_END_OF_TIME, nullptr, nullptr, nullptr, &recheck, nullptr));
    const std::size_t channels = bln_site_count(m.site, BLN_KIND_CHANNEL);
    double edits = 0, whole = 0, reached = 0;
    std::size_t at = 0;
    for (auto _ : state) {
        at = (at + 7919) % channels;
        const char* id = bln_site_id(m.site, BLN_KIND_CHANNEL, at);
        const double begin = now();
        must(bln_draft_set_integer(draft, BLN_KIND_CHANNEL, id, "primary_amps",
                                   static_cast<std::int64_t>(50 + at % 100), nullptr, nullptr));
        bln_report *appeared = nullptr, *gone = nullptr, *changed = nullptr;
        must(bln_recheck_update(recheck, draft, nullptr, nullptr, &appeared, &gone, &changed, nullptr));
        bln_report_free(appeared);
        bln_report_free(gone);
        bln_report_free(changed);
        const double middle = now();
        edits += middle - begin;
        reached += static_cast<double>(bln_recheck_reached(recheck));
        bln_report_free(checked(m));
        whole += now() - middle;
    }
    state.counters["us/edit"] = edits / static_cast<double>(state.iterations()) * 1e6;
    state.counters["reached"] = reached / static_cast<double>(state.iterations());
    state.counters["percent"] = 100 * edits / whole;
    bln_recheck_free(recheck);
    bln_draft_free(draft);
}

}  // namespace

BENCHMARK(rules_per_second)->Name("check, 2,000 channels")->Unit(benchmark::kMillisecond);
BENCHMARK(cost_per_channel)
    ->Name("cost per channel / that of 2,000")
    ->Arg(20000)
    ->Arg(200000)
    ->Unit(benchmark::kMillisecond);
BENCHMARK(one_edit)->Name("one edit / whole check, 2,000 channels")->Unit(benchmark::kMillisecond);
