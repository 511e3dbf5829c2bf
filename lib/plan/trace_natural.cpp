// What loads that switch by themselves say of channels, before anything is switched.
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numeric>

#include "plan/trace.hpp"
#include "power/failure.hpp"
#include "site/json_text.hpp"
#include "site/model.hpp"

namespace bln {
namespace {

using namespace plan;

struct Step {
    std::size_t at;  ///< sample after it
    double by;
};

/// Steps of one series: differences of neighbours that stand out of its noise; a ramp over several samples is one step.
std::vector<Step> steps_of(const std::vector<double>& x, const Policy& policy) {
    std::vector<Step> out;
    if (x.size() < 2) return out;
    std::vector<double> size;
    for (std::size_t i = 1; i < x.size(); ++i) size.push_back(std::abs(x[i] - x[i - 1]));
    std::vector<double> sorted = size;
    const auto middle = sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2);
    std::nth_element(sorted.begin(), middle, sorted.end());
    // 1.4826: the median of |z| of a normal distribution is 0.6745.
    const double least = std::max(policy[step_amps], policy[step_times] * 1.4826 * *middle);
    for (std::size_t i = 1; i < x.size(); ++i) {
        const double by = x[i] - x[i - 1];
        if (size[i - 1] < least) continue;
        if (!out.empty() && out.back().at + 1 == i && (out.back().by > 0) == (by > 0) && size[i - 2] >= least) {
            out.back().by += by;
            continue;
        }
        out.push_back({i, by});
    }
    return out;
}

class Natural {
public:
    Natural(std::span<const std::string_view> channels, std::size_t samples, std::vector<std::vector<Step>> steps,
            const Policy& policy)
        : channels_(channels), samples_(samples), steps_(std::move(steps)), policy_(policy) {}

    std::string run(std::span<const TraceEvent> events) {
        std::string out = "{\"channels\":[";
        for (std::size_t c = 0; c < channels_.size(); ++c) {
            out += c > 0 ? ",{\"id\":" : "{\"id\":";
            append_json_string(out, channels_[c]);
            out += ",\"steps\":[";
            for (std::size_t i = 0; i < steps_[c].size(); ++i) {
                out += (i > 0 ? ",[" : "[") + std::to_string(steps_[c][i].at) + ',';
                append_json_number(out, steps_[c][i].by);
                out += ']';
            }
            out += "]}";
        }
        out += "],\"together\":[";
        groups(out);
        out += "],\"matches\":[";
        matches(out, events);
        out += "]}";
        return out;
    }

private:
    /// Channels that step at the same samples, the same way and by about as much: poles of one circuit.
    void groups(std::string& out) const {
        std::map<std::size_t, std::vector<std::pair<std::size_t, double>>> at;
        for (std::size_t c = 0; c < steps_.size(); ++c)
            for (const Step& s : steps_[c]) at[s.at].emplace_back(c, s.by);
        std::map<std::pair<std::size_t, std::size_t>, std::size_t> common;
        constexpr std::size_t crowd = 64;  // a voltage dip moves everything: it says nothing of any two
        for (const auto& [sample, list] : at) {
            if (list.size() > crowd) continue;
            for (std::size_t i = 0; i < list.size(); ++i)
                for (std::size_t j = i + 1; j < list.size(); ++j) {
                    const double a = list[i].second, b = list[j].second;
                    if (a * b > 0 && std::abs(a - b) <= 0.2 * std::max(std::abs(a), std::abs(b)))
                        ++common[{list[i].first, list[j].first}];
                }
        }
        std::vector<std::size_t> root(channels_.size());
        std::iota(root.begin(), root.end(), std::size_t{0});
        const auto find = [&](std::size_t v) {
            while (root[v] != v) v = root[v] = root[root[v]];
            return v;
        };
        for (const auto& [pair, n] : common) {
            const auto most = static_cast<double>(std::max(steps_[pair.first].size(), steps_[pair.second].size()));
            if (static_cast<double>(n) >= policy_[together_events] &&
                100 * static_cast<double>(n) >= policy_[together_percent] * most)
                root[find(pair.second)] = find(pair.first);
        }
        std::map<std::size_t, std::vector<std::size_t>> group;
        for (std::size_t c = 0; c < channels_.size(); ++c) group[find(c)].push_back(c);
        bool first = true;
        for (const auto& [r, list] : group) {
            if (list.size() < 2) continue;
            out += first ? "[" : ",[";
            first = false;
            for (std::size_t i = 0; i < list.size(); ++i) {
                if (i > 0) out += ',';
                append_json_string(out, channels_[list[i]]);
            }
            out += ']';
        }
    }

    /// Channels that step with the events of a circuit, against how often they would by chance.
    void matches(std::string& out, std::span<const TraceEvent> events) const {
        std::vector<std::string_view> circuits;
        for (const TraceEvent& e : events)
            if (std::find(circuits.begin(), circuits.end(), e.circuit) == circuits.end()) circuits.push_back(e.circuit);
        const double missed = policy_[missed_percent] / 100;
        const auto window = static_cast<std::size_t>(policy_[event_samples]);
        bool first = true;
        for (const std::string_view circuit : circuits)
            for (std::size_t c = 0; c < channels_.size(); ++c) {
                const double rate = (static_cast<double>(steps_[c].size()) + 1) / (static_cast<double>(samples_) + 2);
                const double chance = 1 - std::pow(1 - rate, static_cast<double>(2 * window + 1));
                double nats = 0;
                std::size_t hits = 0, all = 0;
                for (const TraceEvent& e : events) {
                    if (e.circuit != circuit) continue;
                    const bool hit = std::any_of(steps_[c].begin(), steps_[c].end(), [&](const Step& s) {
                        return s.at + window >= e.sample && s.at <= e.sample + window;
                    });
                    ++all;
                    hits += hit ? 1 : 0;
                    nats += hit ? std::log((1 - missed) / chance) : std::log(missed / (1 - chance));
                }
                if (nats < policy_[accept_nats]) continue;
                out += first ? "{\"circuit\":" : ",{\"circuit\":";
                first = false;
                append_json_string(out, circuit);
                out += ",\"channel\":";
                append_json_string(out, channels_[c]);
                out += ",\"events\":" + std::to_string(all) + ",\"hits\":" + std::to_string(hits) + ",\"nats\":";
                append_json_number(out, nats);
                out += '}';
            }
    }

    std::span<const std::string_view> channels_;
    std::size_t samples_;
    std::vector<std::vector<Step>> steps_;
    const Policy& policy_;
};

}  // namespace

std::string trace_natural(std::span<const std::string_view> channels, std::size_t samples, std::span<const Column> amps,
                          std::span<const TraceEvent> events, const Policy& policy) {
    for (const TraceEvent& e : events) {
        if (!valid_id(e.circuit)) throw Failure(BLN_E_VALUE, "the circuit of an event is not an id", e.circuit);
        if (e.sample >= samples)
            throw Failure(BLN_E_VALUE, "the event stands beyond the last of " + std::to_string(samples) + " samples",
                          e.circuit);
    }
    std::vector<std::vector<Step>> steps;
    std::vector<double> x;
    for (std::size_t c = 0; c < channels.size(); ++c) {
        if (!valid_id(channels[c])) throw Failure(BLN_E_VALUE, "the channel is not an id", std::string(channels[c]));
        x.clear();
        for (std::size_t i = 0; i < samples; ++i) {
            if (!amps[c].has(i)) {
                // A gap holds the last value, one at the beginning the first: it makes no step of its own.
                x.push_back(x.empty() ? std::numeric_limits<double>::quiet_NaN() : x.back());
                continue;
            }
            x.push_back(amps[c].real(i));
            if (!std::isfinite(x.back()))
                throw Failure(BLN_E_NOT_FINITE, "a sample is not a finite number", std::string(channels[c]));
            if (i > 0 && std::isnan(x.front())) std::fill(x.begin(), x.end(), x.back());
        }
        if (!x.empty() && std::isnan(x.front())) x.clear();  // nothing was read of it
        steps.push_back(steps_of(x, policy));
    }
    return Natural(channels, samples, std::move(steps), policy).run(events);
}

}  // namespace bln
