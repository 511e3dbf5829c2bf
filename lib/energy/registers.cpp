#include "energy/registers.hpp"

#include <algorithm>

#include "energy/quality.hpp"
#include "site/error_list.hpp"

namespace bln {

RegisterBuilder::RegisterBuilder(const IntervalRule& rule, Quantities used, RegisterRule registers)
    : registers_(std::move(registers)) {
    out_.rule_ = rule;
    for (std::size_t q = 0; q < quantity_count; ++q)
        if ((used >> q & 1U) != 0) used_.push_back(static_cast<Quantity>(q));
}

void RegisterBuilder::add(const RowBlock& rows) {
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const std::uint32_t channel = rows.channel[i];
        if (channel >= before_.size()) {
            const std::size_t n = std::size_t{channel} + 1;
            before_.resize(n, begin_of_time);
            out_.arrivals_.resize(n);
            lanes_.resize(n * used_.size());
        }
        Arrival& arrival = out_.arrivals_[channel];
        ++arrival.rows;
        if (rows.at[i] < before_[channel]) ++arrival.out_of_order;
        before_[channel] = std::max(before_[channel], rows.at[i]);
        any_quality_ = any_quality_ || rows.quality[i] != no_quality;
        for (std::size_t slot = 0; slot < used_.size(); ++slot) {
            const auto q = static_cast<std::size_t>(used_[slot]);
            if ((rows.given[i] >> q & 1U) != 0)
                lanes_[channel * used_.size() + slot].push_back(
                    {rows.at[i], rows.value[q][i], rows.quality[i], Origin::read});
        }
    }
}

void RegisterBuilder::add_exchanges() {
    ErrorList errors;
    for (std::size_t i = 0; i < registers_.exchanges.size(); ++i) {
        const RegisterExchange& x = registers_.exchanges[i];
        const auto channel = std::find(out_.channels_.begin(), out_.channels_.end(), x.channel);
        const auto slot = std::find(used_.begin(), used_.end(), x.quantity);
        if (channel == out_.channels_.end() || slot == used_.end()) {
            errors.add({BLN_E_NO_ENTITY, "an exchange names a channel or register that has no readings", x.channel,
                        "/exchanges/" + std::to_string(i), 0, 0, 0});
            continue;
        }
        Lane& lane = lanes_[static_cast<std::size_t>(channel - out_.channels_.begin()) * used_.size() +
                            static_cast<std::size_t>(slot - used_.begin())];
        lane.push_back({x.at, x.last, no_quality, Origin::last});
        lane.push_back({x.at, x.first, no_quality, Origin::first});
    }
    errors.raise();
}

/// Puts readings in order of time and drops what says the same again; readings that contradict one another both go.
void RegisterBuilder::sort(Lane& lane, std::uint32_t channel, Quantity q) {
    const auto earlier = [](const Reading& a, const Reading& b) {
        return a.at != b.at ? a.at < b.at : a.origin < b.origin;
    };
    if (!std::is_sorted(lane.begin(), lane.end(), earlier)) std::stable_sort(lane.begin(), lane.end(), earlier);
    std::size_t kept = 0;
    for (std::size_t i = 0; i < lane.size();) {
        std::size_t end = i + 1;
        bool torn = false;
        Reading one = lane[i];
        for (; end < lane.size() && lane[end].at == one.at && lane[end].origin == Origin::read &&
               one.origin == Origin::read;
             ++end) {
            if (lane[end].value == one.value) {
                ++out_.arrivals_[channel].repeated;
                if (lane[end].quality != no_quality)
                    one.quality =
                        one.quality == no_quality ? lane[end].quality : worse_quality(one.quality, lane[end].quality);
            } else {
                torn = true;
                out_.conflicts_.push_back({channel, interval_at(one.at), q, one.value, lane[end].value});
            }
        }
        if (!torn) lane[kept++] = one;
        i = end;
    }
    lane.resize(kept);
}

/// The grid that most readings lie on: a device read now and then by hand must not move it.
void RegisterBuilder::choose_grid() {
    const std::int64_t d = out_.rule_.duration;
    const auto residue = [d](Instant at) { return ((at % d) + d) % d; };
    std::unordered_map<std::int64_t, std::size_t> counts;
    Instant low = end_of_time, high = begin_of_time;
    for (const Lane& lane : lanes_)
        for (const Reading& r : lane) {
            ++counts[residue(r.at)];
            low = std::min(low, r.at);
            high = std::max(high, r.at);
        }
    std::pair<std::size_t, std::int64_t> best{0, 0};
    for (const auto& [at, n] : counts)
        if (n > best.first || (n == best.first && at < best.second)) best = {n, at};
    // The first grid instant at or after the first reading, the last at or before the last.
    const Wide first = Wide{low} + (best.second - residue(low) + d) % d;
    const Wide last = Wide{high} - (residue(high) - best.second + d) % d;
    if (last <= first) return;
    const Wide count = (last - first) / d;
    std::size_t readings = 0;
    for (const Lane& lane : lanes_) readings += lane.size();
    if (count * static_cast<Wide>(std::max<std::size_t>(1, lanes_.size())) >
            Wide{1000} * static_cast<Wide>(readings) + 32'000'000 ||
        count > 0xFFFFFFFF)
        throw Failure(BLN_E_SIZE, "the readings span far more intervals than there are readings");
    out_.first_ = static_cast<Instant>(first);
    out_.count_ = static_cast<std::size_t>(count);
}

std::uint32_t RegisterBuilder::interval_at(Instant at) const noexcept {
    if (out_.count_ == 0 || at < out_.first_) return 0;
    const auto t = static_cast<std::uint64_t>((Wide{at} - out_.first_) / out_.rule_.duration);
    return static_cast<std::uint32_t>(std::min<std::uint64_t>(t, out_.count_ - 1));
}

/// Walks the readings of one register; what they prove goes into intervals, the rest into steps.
void RegisterBuilder::difference(std::size_t channel, std::size_t slot) {
    const Lane& lane = lanes_[channel * used_.size() + slot];
    if (lane.empty()) return;
    const Quantity q = used_[slot];
    const RegisterLimits& limits = registers_.of(out_.channels_[channel]);
    const std::int64_t d = out_.rule_.duration;
    CountMatrix& m = out_.matrix_[static_cast<std::size_t>(q)];
    const auto c = static_cast<std::uint32_t>(channel);
    const auto grid = [&](const Reading& r) {
        return r.origin == Origin::read && r.at >= out_.first_ && (Wide{r.at} - out_.first_) % d == 0;
    };
    Reading held = lane.front();  // the reading that energy counts from: jitter does not move it
    Reading open = lane.front();  // where the stretch begins that is in no interval yet
    std::int64_t total = 0, open_total = 0;
    const auto note = [&](StepKind kind, const Reading& from, const Reading& to, std::int64_t energy) {
        out_.steps_.push_back({c, q, kind, from.at, to.at, from.value, to.value, energy});
    };
    const auto close = [&](const Reading& to) {
        if (to.at > open.at || total != open_total) {
            const std::int64_t energy = total - open_total;
            if (grid(open) && grid(to) && to.at - open.at == d) {
                const std::size_t i = channel * out_.count_ + interval_at(open.at);
                m.counts[i] = energy;
                m.present[i] = 1;
                if (any_quality_) {
                    const std::uint8_t worse =
                        worse_quality(open.quality == no_quality ? std::uint8_t{0} : open.quality,
                                      to.quality == no_quality ? std::uint8_t{0} : to.quality);
                    // More than one register of a channel may say something about the same interval.
                    out_.quality_[i] = out_.quality_[i] == no_quality ? worse : worse_quality(out_.quality_[i], worse);
                }
            } else {
                note(StepKind::gap, open, to, energy);
            }
        }
        open = to;
        open_total = total;
    };
    for (std::size_t i = 1; i < lane.size(); ++i) {
        const Reading& now = lane[i];
        if (now.origin == Origin::first) {
            note(StepKind::exchange, held, now, 0);
            held = now;
            continue;
        }
        const RegisterMove move =
            register_move(held.value, now.value, now.at - held.at, one_way(q), limits, out_.rule_.wh_per_count);
        if (!move.counts) {
            close(lane[i - 1]);
            note(move.kind, held, now, 0);
            held = open = now;
            open_total = total;
            continue;
        }
        if (__builtin_add_overflow(total, move.energy, &total))
            throw Failure(BLN_E_OVERFLOW, "the energy of a register needs more than 64 bits", out_.channels_[channel]);
        if (!move.plain) note(move.kind, held, now, move.energy);
        if (move.plain || move.kind != StepKind::jitter) held = now;
        if (grid(now)) close(now);
    }
    if (open.at != lane.back().at) close(lane.back());
}

Intervals RegisterBuilder::build(std::vector<std::string> channels) {
    const std::size_t n = channels.size();
    out_.channels_ = std::move(channels);
    out_.arrivals_.resize(n);
    lanes_.resize(n * used_.size());
    ErrorList errors;
    for (std::size_t c = 0; c < n; ++c)
        for (std::size_t slot = 0; slot < used_.size(); ++slot) {
            const std::int64_t modulus = registers_.of(out_.channels_[c]).modulus;
            if (modulus == 0) continue;
            for (const Reading& r : lanes_[c * used_.size() + slot])
                if (r.value >= modulus || r.value <= -modulus)
                    errors.add({BLN_E_VALUE,
                                "a reading of " + std::to_string(r.value) +
                                    " is past the last count of a register that "
                                    "starts from 0 after " +
                                    std::to_string(modulus),
                                out_.channels_[c],
                                {},
                                0,
                                0,
                                0});
        }
    errors.raise();
    choose_grid();
    add_exchanges();
    const std::size_t cells = n * out_.count_;
    for (const Quantity q : used_) {
        out_.matrix_[static_cast<std::size_t>(q)].counts.assign(cells, 0);
        out_.matrix_[static_cast<std::size_t>(q)].present.assign(cells, 0);
    }
    if (any_quality_) out_.quality_.assign(cells, no_quality);
    for (std::size_t c = 0; c < n; ++c)
        for (std::size_t slot = 0; slot < used_.size(); ++slot) {
            sort(lanes_[c * used_.size() + slot], static_cast<std::uint32_t>(c), used_[slot]);
            difference(c, slot);
            Lane().swap(lanes_[c * used_.size() + slot]);
        }
    std::replace(out_.quality_.begin(), out_.quality_.end(), no_quality, std::uint8_t{0});
    return std::move(out_);
}

}  // namespace bln
