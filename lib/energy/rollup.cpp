// Roll-up of intervals that are all there.
#include <algorithm>
#include <cstring>
#include <optional>
#include <utility>

#include "energy/energy.hpp"
#include "energy/engine.hpp"
#include "energy/findings.hpp"
#include "power/failure.hpp"

namespace bln {
namespace {

/// Net energy of every channel where registers of both directions were given.
CountMatrix net_of(const Intervals& x, std::vector<std::uint64_t>& disagreements) {
    CountMatrix out = x.of(Quantity::net_p);
    const CountMatrix &in = x.of(Quantity::import_p), &ex = x.of(Quantity::export_p);
    const std::size_t n = x.channels().size() * x.count();
    if (!out.given()) {
        out.counts.assign(n, 0);
        out.present.assign(n, 0);
    }
    disagreements.assign(x.channels().size(), 0);
    for (std::size_t i = 0; i < n; ++i) {
        const bool has_in = in.given() && in.present[i] != 0, has_ex = ex.given() && ex.present[i] != 0;
        // A file with one register only has no other direction; with both, a lone one says nothing about the net.
        const bool known = in.given() && ex.given() ? has_in && has_ex : has_in || has_ex;
        if (!known) continue;
        // Registers of one direction are not negative, so their difference fits.
        const std::int64_t net = (has_in ? in.counts[i] : 0) - (has_ex ? ex.counts[i] : 0);
        if (out.present[i] == 0) {
            out.counts[i] = net;
            out.present[i] = 1;
        } else if (in.given() && ex.given() && out.counts[i] != net) {
            ++disagreements[i / x.count()];
        }
    }
    return out;
}

std::vector<energy::Gaps> gaps_of(const CountMatrix& m, std::size_t channels, std::size_t n) {
    std::vector<energy::Gaps> out(channels);
    for (std::size_t c = 0; c < channels && n > 0; ++c) {
        const std::uint8_t* present = m.present.empty() ? nullptr : m.present.data() + c * n;
        for (std::size_t t = 0; t < n;) {
            const void* hole = present == nullptr ? nullptr : std::memchr(present + t, 0, n - t);
            const std::size_t until =
                hole == nullptr ? n : static_cast<std::size_t>(static_cast<const std::uint8_t*>(hole) - present);
            if (present != nullptr) out[c].take_present(until - t), t = until;
            for (; t < n && (present == nullptr || present[t] == 0); ++t) out[c].take(false);
        }
    }
    return out;
}

/// The intervals over the period, and the period in full.
std::shared_ptr<const Intervals> over(std::shared_ptr<const Intervals> x, Period& period) {
    const Instant first = x->first(), end = x->start(x->count());
    if (period.from == begin_of_time) period.from = first;
    if (period.to == end_of_time) period.to = end;
    if (period.from > period.to || (period.from == period.to && x->count() > 0))
        throw Failure(BLN_E_RANGE, "the period does not end after it begins");
    if (period.from == first && period.to == end) return x;
    return std::make_shared<const Intervals>(x->over(period.from, period.to));
}

}  // namespace

Statement roll_up(const std::shared_ptr<const Model>& model, const Period& asked,
                  std::shared_ptr<const Intervals> intervals, const Policy& policy, const Progress& progress) {
    Statement out;
    out.period = asked;
    out.intervals = over(std::move(intervals), out.period);
    out.model = model;
    const Intervals& x = *out.intervals;
    const std::size_t n = x.count(), channels = x.channels().size();
    out.first = x.first();
    out.duration = x.rule().duration;
    out.interval_count = n;
    const Grid grid{x.channels(), x.rule(), x.first(), n, out.period.from, out.period.to};
    const Ledger ledger = make_ledger(model, asked.known, grid, progress);

    std::vector<std::uint64_t> disagreements(channels, 0);
    std::optional<CountMatrix> merged;
    if (x.of(Quantity::import_p).given() || x.of(Quantity::export_p).given()) merged = net_of(x, disagreements);
    const CountMatrix& net = merged ? *merged : x.of(Quantity::net_p);
    const CountMatrix& q = x.of(Quantity::net_q);
    energy::Engine engine(ledger, grid, asked.quantum, q.given());
    const std::size_t rows = engine.program().ids.size();
    BlockRows into;
    into.stride = n;
    out.net.counts.resize(rows * n);
    out.net.complete.resize(rows * n);
    into.net = out.net.counts.data();
    into.complete = out.net.complete.data();
    if (q.given()) {
        out.net_q.counts.resize(rows * n);
        out.net_q.complete.resize(rows * n);
        into.net_q = out.net_q.counts.data();
        into.complete_q = out.net_q.complete.data();
    }
    if (!x.quality().empty()) {
        out.quality.resize(rows * n);
        into.quality = out.quality.data();
    }
    std::vector<BlockChannel> block(channels);
    for (std::size_t c = 0; c < channels; ++c) {
        if (net.given()) block[c].p = {net.counts.data() + c * n, net.present.data() + c * n, nullptr};
        if (q.given()) block[c].q = {q.counts.data() + c * n, q.present.data() + c * n, nullptr};
        if (!x.quality().empty()) block[c].quality = x.quality().data() + c * n;
    }
    engine.push(block, n, into, [&](std::size_t done) { progress.at(done, n + 1); });
    progress.at(n, n + 1);
    const energy::Inputs inputs{ledger, grid, engine, gaps_of(net, channels, n), disagreements, &x, &net, policy};
    energy::judge(inputs, out);
    progress.at(n + 1, n + 1);
    return out;
}

Statement roll_up(const std::shared_ptr<const Model>& model, Instant known, std::shared_ptr<const Intervals> intervals,
                  const Policy& policy, const Progress& progress) {
    Period period;
    period.known = known;
    return roll_up(model, period, std::move(intervals), policy, progress);
}

}  // namespace bln
