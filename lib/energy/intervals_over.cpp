// The intervals that a period touches.
#include <algorithm>

#include "energy/intervals.hpp"
#include "power/failure.hpp"
#include "power/wide.hpp"

namespace bln {
namespace {

/// Position of the interval that holds @p at, or in which @p at is the end.
Wide floor_of(Wide x, std::int64_t by) noexcept {
    const Wide q = x / by;
    return x % by < 0 ? q - 1 : q;
}

template <class T>
std::vector<T> cut(const std::vector<T>& from, std::size_t channels, std::size_t had, Wide first, std::size_t count) {
    if (from.empty()) return {};
    std::vector<T> out(channels * count, T{});
    const Wide begin = std::max<Wide>(first, 0),
               end = std::min<Wide>(first + static_cast<Wide>(count), static_cast<Wide>(had));
    if (begin >= end) return out;
    for (std::size_t c = 0; c < channels; ++c) {
        const auto source = from.begin() + static_cast<std::ptrdiff_t>(c * had);
        std::copy(source + static_cast<std::ptrdiff_t>(begin), source + static_cast<std::ptrdiff_t>(end),
                  out.begin() + static_cast<std::ptrdiff_t>(c * count) + static_cast<std::ptrdiff_t>(begin - first));
    }
    return out;
}

}  // namespace

Intervals Intervals::over(Instant from, Instant to) const {
    const std::int64_t d = rule_.duration;
    const Wide first = floor_of(Wide{from} - first_, d), last = -floor_of(first_ - Wide{to}, d);
    const Wide count = last - first;
    const std::size_t channels = channels_.size();
    if (first_ + first * d < begin_of_time || first_ + last * d > end_of_time)
        throw Failure(BLN_E_RANGE, "the intervals of the period lie outside of time");
    // A mistyped year must not ask for all the memory there is.
    const Wide most = Wide{1000} * static_cast<Wide>(count_ * channels) + 1'000'000;
    if (count * static_cast<Wide>(std::max<std::size_t>(channels, 1)) > most || count > 0xFFFFFFFF)
        throw Failure(BLN_E_SIZE, "the period has far more intervals than there are counts");
    Intervals out;
    out.rule_ = rule_;
    out.channels_ = channels_;
    out.first_ = static_cast<Instant>(first_ + first * d);
    out.count_ = static_cast<std::size_t>(count);
    for (std::size_t q = 0; q < quantity_count; ++q) {
        out.matrix_[q].counts = cut(matrix_[q].counts, channels, count_, first, out.count_);
        out.matrix_[q].present = cut(matrix_[q].present, channels, count_, first, out.count_);
    }
    out.quality_ = cut(quality_, channels, count_, first, out.count_);
    for (const Conflict& c : conflicts_) {
        if (c.interval < first || c.interval >= last) continue;
        out.conflicts_.push_back(c);
        out.conflicts_.back().interval = static_cast<std::uint32_t>(Wide{c.interval} - first);
    }
    out.arrivals_ = arrivals_;
    for (const RegisterStep& s : steps_)
        if (s.from < to && s.to > from) out.steps_.push_back(s);
    out.cut_off_ = cut_off_;
    return out;
}

}  // namespace bln
