// Reading and checking a large site through the C interface, beside merely parsing the same text with the
// JSON library alone. Ratios of one run are what counts; absolute numbers belong to a machine.
#include <benchmark/benchmark.h>
#include <blondel/blondel.h>
#include <rapidjson/document.h>
#include <rapidjson/reader.h>

#include <chrono>
#include <cstdlib>
#include <string>

#include "support/generated_site.hpp"

namespace {

constexpr std::size_t channels_wanted = 2000;

struct Text {
    std::string json;
    std::size_t channels = 0;
};

void must(bln_status status) {
    if (status != BLN_OK) std::abort();
}

/// The smallest generated site of at least the channels wanted.
const Text& text() {
    static const Text made = [] {
        Text t;
        for (std::size_t points = channels_wanted / 2; t.channels < channels_wanted; points += 25) {
            bln_site* site = support::generated_site(points);
            t.channels = bln_site_count(site, BLN_KIND_CHANNEL);
            if (t.channels >= channels_wanted) {
                bln_text* json = nullptr;
                must(bln_site_json(site, BLN_JSON_READABLE, &json, nullptr));
                t.json.assign(bln_text_data(json), bln_text_size(json));
                bln_text_free(json);
            }
            bln_site_free(site);
        }
        return t;
    }();
    return made;
}

void sax_once() {
    rapidjson::MemoryStream stream(text().json.data(), text().json.size());
    rapidjson::BaseReaderHandler<> handler;
    rapidjson::Reader reader;
    benchmark::DoNotOptimize(reader.Parse<rapidjson::kParseValidateEncodingFlag>(stream, handler).IsError());
}

void dom_once() {
    rapidjson::Document document;
    document.Parse<rapidjson::kParseValidateEncodingFlag>(text().json.data(), text().json.size());
    benchmark::DoNotOptimize(document.HasParseError());
}

bln_view* view_of(bln_site* site) {
    bln_view* view = nullptr;
    must(bln_view_new(site, BLN_END_OF_TIME, BLN_END_OF_TIME, &view, nullptr));
    return view;
}

bln_site* read() {
    bln_site* site = nullptr;
    must(bln_site_read(text().json.data(), text().json.size(), nullptr, &site, nullptr));
    return site;
}

void read_once() { bln_site_free(read()); }

void check(bln_view* view) {
    bln_report* report = nullptr;
    must(bln_check(view, nullptr, nullptr, nullptr, &report, nullptr));
    bln_report_free(report);
}

void read_and_check_once() {
    bln_site* site = read();
    bln_view* view = view_of(site);
    check(view);
    bln_view_free(view);
    bln_site_free(site);
}

template <class Call>
double seconds(Call&& call) {
    const auto began = std::chrono::steady_clock::now();
    call();
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
}

void rates(benchmark::State& state) {
    const auto runs = static_cast<double>(state.iterations());
    state.SetBytesProcessed(static_cast<std::int64_t>(text().json.size()) * state.iterations());
    state.counters["channels/s"] =
        benchmark::Counter(runs * static_cast<double>(text().channels), benchmark::Counter::kIsRate);
}

template <void (*Call)()>
void alone(benchmark::State& state) {
    (void)text();
    for (auto _ : state) Call();
    rates(state);
}

/// The work and its peer take turns, so that whatever else the machine does falls on both.
template <void (*Work)(), void (*Peer)()>
void ratio(benchmark::State& state) {
    (void)text();
    double work = 0;
    double peer = 0;
    for (auto _ : state) {
        const double w = seconds(Work);
        work += w;
        peer += seconds(Peer);
        state.SetIterationTime(w);
    }
    rates(state);
    state.counters["ratio"] = work / peer;
}

void check_alone(benchmark::State& state) {
    bln_site* site = read();
    bln_view* view = view_of(site);
    for (auto _ : state) check(view);
    rates(state);
    bln_view_free(view);
    bln_site_free(site);
}

}  // namespace

BENCHMARK(alone<sax_once>)->Name("JSON library, events only")->Unit(benchmark::kMillisecond);
BENCHMARK(alone<dom_once>)->Name("JSON library, document")->Unit(benchmark::kMillisecond);
BENCHMARK(alone<read_once>)->Name("read")->Unit(benchmark::kMillisecond);
BENCHMARK(check_alone)->Name("check")->Unit(benchmark::kMillisecond);
BENCHMARK(alone<read_and_check_once>)->Name("read and check")->Unit(benchmark::kMillisecond);
BENCHMARK(ratio<read_and_check_once, sax_once>)
    ->Name("read and check / events only")
    ->UseManualTime()
    ->Unit(benchmark::kMillisecond);
BENCHMARK(ratio<read_and_check_once, dom_once>)
    ->Name("read and check / document")
    ->UseManualTime()
    ->Unit(benchmark::kMillisecond);
