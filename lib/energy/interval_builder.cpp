#include "energy/interval_builder.hpp"

#include <algorithm>

#include "energy/quality.hpp"
#include "site/instant.hpp"

namespace bln {
namespace {

constexpr std::uint8_t there = 1, torn = 2;  // torn: rows contradict one another

}  // namespace

void RowBlock::clear(Quantities used) noexcept {
    channel.clear();
    at.clear();
    given.clear();
    quality.clear();
    line.clear();
    for (std::size_t q = 0; q < quantity_count; ++q)
        if ((used >> q & 1U) != 0) value[q].clear();
}

void RowBlock::reserve(std::size_t rows, Quantities used) {
    channel.reserve(rows);
    at.reserve(rows);
    given.reserve(rows);
    quality.reserve(rows);
    line.reserve(rows);
    for (std::size_t q = 0; q < quantity_count; ++q)
        if ((used >> q & 1U) != 0) value[q].reserve(rows);
}

const char* StartGrid::place(Instant& at) noexcept {
    const Wide start = Wide{at} - (end_stamped_ ? duration_ : 0);
    if (start < begin_of_time || start + duration_ > end_of_time) return "the interval lies outside of time";
    at = static_cast<Instant>(start);
    if (!begun_) {
        begun_ = true;
        anchor_ = last_ = at;
        return nullptr;
    }
    if (at == last_) return nullptr;
    if ((Wide{at} - last_) == duration_) {
        last_ = at;
        return nullptr;
    }
    if ((Wide{at} - anchor_) % duration_ != 0)
        return "the interval does not lie on the grid of the first row: it overlaps others";
    last_ = at;
    return nullptr;
}

IntervalBuilder::IntervalBuilder(const IntervalRule& rule, Quantities used) {
    out_.rule_ = rule;
    for (std::size_t q = 0; q < quantity_count; ++q)
        if ((used >> q & 1U) != 0) used_.push_back(static_cast<Quantity>(q));
}

void IntervalBuilder::too_wide() const {
    const auto stamp = [&](std::int64_t t) {
        const Wide at = Wide{anchor_} + Wide{t} * out_.rule_.duration;
        return at >= first_instant && at <= last_instant ? instant_text(static_cast<Instant>(at))
                                                         : std::to_string(static_cast<std::int64_t>(at));
    };
    throw Failure(BLN_E_SIZE, "the rows span from " + stamp(low_) + " to " + stamp(high_) +
                                  ", far more intervals than there are rows");
}

template <class T>
T& IntervalBuilder::item(Lane<T>& lane, std::int64_t t, T fill) {
    if (lane.items.empty()) {
        lane.base = t;
        lane.items.push_back(fill);
        ++cells_;
        return lane.items.front();
    }
    const std::int64_t at = t - lane.base;
    const auto size = static_cast<std::int64_t>(lane.items.size());
    if (at >= 0 && at < size) return lane.items[static_cast<std::size_t>(at)];
    const auto more = static_cast<std::uint64_t>(at < 0 ? -at : at - size + 1);
    cells_ += more;
    // A single mistyped year must not ask for all the memory there is.
    if (cells_ > rows_ * 1000 + 32'000'000) too_wide();
    if (at >= size) {
        if (lane.items.capacity() <= static_cast<std::size_t>(at))
            lane.items.reserve(std::max(static_cast<std::size_t>(at) + 1, lane.items.size() * 3 / 2));
        lane.items.resize(static_cast<std::size_t>(at) + 1, fill);
        return lane.items.back();
    }
    // Rows in falling order of time must not shift the lane each time: leave room in front.
    const auto room = static_cast<std::int64_t>(std::max<std::uint64_t>(more, static_cast<std::uint64_t>(size) / 2));
    lane.items.insert(lane.items.begin(), static_cast<std::size_t>(room), fill);
    lane.base -= room;
    return lane.items[static_cast<std::size_t>(t - lane.base)];
}

void IntervalBuilder::lay(std::uint32_t channel, std::int64_t t, std::size_t slot, Quantity q, std::int64_t value,
                          bool& again, bool& differs) {
    Counts& lane = lanes_[channel * used_.size() + slot];
    std::uint8_t& state = item(lane.state, t, std::uint8_t{0});
    std::int64_t& cell = item(lane.value, t, std::int64_t{0});
    if (state == 0) {
        state = there;
        cell = value;
        return;
    }
    again = true;
    if (cell == value) return;
    differs = true;
    state = torn;
    out_.conflicts_.push_back({channel, static_cast<std::uint32_t>(0), q, cell, value});
    conflict_at_.push_back(t);
}

void IntervalBuilder::add(const RowBlock& rows) {
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const std::uint32_t channel = rows.channel[i];
        const Instant at = rows.at[i];
        ++rows_;
        if (!begun_) {
            begun_ = true;
            anchor_ = last_at_ = at;
        }
        if (at != last_at_) {
            const Wide step = Wide{at} - last_at_;
            last_t_ = step == out_.rule_.duration
                          ? last_t_ + 1
                          : static_cast<std::int64_t>((Wide{at} - anchor_) / out_.rule_.duration);
            last_at_ = at;
            low_ = std::min(low_, last_t_);
            high_ = std::max(high_, last_t_);
        }
        if (channel >= before_.size()) {
            const std::size_t n = std::size_t{channel} + 1;
            before_.resize(n, begin_of_time);
            out_.arrivals_.resize(n);
            lanes_.resize(n * used_.size());
            quality_.resize(n);
        }
        Arrival& arrival = out_.arrivals_[channel];
        ++arrival.rows;
        if (at < before_[channel]) ++arrival.out_of_order;
        before_[channel] = std::max(before_[channel], at);
        bool again = false, differs = false;
        for (std::size_t slot = 0; slot < used_.size(); ++slot) {
            const auto q = static_cast<std::size_t>(used_[slot]);
            if ((rows.given[i] >> q & 1U) != 0)
                lay(channel, last_t_, slot, used_[slot], rows.value[q][i], again, differs);
        }
        if (again && !differs) ++arrival.repeated;
        if (const std::uint8_t code = rows.quality[i]; code != no_quality) {
            any_quality_ = true;
            std::uint8_t& known = item(quality_[channel], last_t_, no_quality);
            known = known == no_quality ? code : worse_quality(known, code);
        }
    }
}

Intervals IntervalBuilder::build(std::vector<std::string> channels) {
    const std::size_t n = channels.size();
    out_.channels_ = std::move(channels);
    out_.arrivals_.resize(n);
    if (!begun_) return std::move(out_);
    lanes_.resize(n * used_.size());
    quality_.resize(n);
    const std::uint64_t count = static_cast<std::uint64_t>(high_ - low_) + 1;
    const UWide most = UWide{1000} * rows_ + 32'000'000;
    if (UWide{count} * n > most || count > 0xFFFFFFFF) too_wide();
    out_.first_ = anchor_ + low_ * out_.rule_.duration;
    out_.count_ = static_cast<std::size_t>(count);
    const auto copy = [&](auto& lane, auto* to) {
        // Room in front of a lane may lie before the first interval.
        const std::int64_t skip = std::max<std::int64_t>(0, low_ - lane.base);
        if (static_cast<std::size_t>(skip) < lane.items.size())
            std::copy(lane.items.begin() + skip, lane.items.end(), to + (lane.base + skip - low_));
        lane = {};
    };
    for (std::size_t slot = 0; slot < used_.size(); ++slot) {
        bool any = false;
        for (std::size_t c = 0; c < n && !any; ++c) any = !lanes_[c * used_.size() + slot].state.items.empty();
        if (!any) continue;
        CountMatrix& m = out_.matrix_[static_cast<std::size_t>(used_[slot])];
        m.counts.assign(n * out_.count_, 0);
        m.present.assign(n * out_.count_, 0);
        for (std::size_t c = 0; c < n; ++c) {
            Counts& lane = lanes_[c * used_.size() + slot];
            copy(lane.value, m.counts.data() + c * out_.count_);
            copy(lane.state, m.present.data() + c * out_.count_);
        }
        if (out_.conflicts_.empty()) continue;
        for (std::size_t i = 0; i < m.present.size(); ++i)
            if (m.present[i] == torn) m.present[i] = 0, m.counts[i] = 0;
    }
    for (std::size_t i = 0; i < out_.conflicts_.size(); ++i)
        out_.conflicts_[i].interval = static_cast<std::uint32_t>(conflict_at_[i] - low_);
    if (any_quality_) {
        out_.quality_.assign(n * out_.count_, no_quality);
        for (std::size_t c = 0; c < n; ++c) copy(quality_[c], out_.quality_.data() + c * out_.count_);
        std::replace(out_.quality_.begin(), out_.quality_.end(), no_quality, std::uint8_t{0});
    }
    return std::move(out_);
}

}  // namespace bln
