#include "energy/rounding.hpp"

#include <algorithm>
#include <limits>

namespace bln::energy {
namespace {

constexpr Wide most64 = std::numeric_limits<std::int64_t>::max();

bool fits(Wide v) noexcept { return v <= most64 && v >= -most64; }

/// Floor division for a positive divisor.
Wide floor_of(Wide x, Wide by, Wide& rest) noexcept {
    Wide q = x / by;
    rest = x % by;
    if (rest < 0) {
        --q;
        rest += by;
    }
    return q;
}

}  // namespace

std::int64_t rounded(Wide x, Rational scale, const std::string& row) {
    Wide product = 0, rest = 0;
    if (__builtin_mul_overflow(x, Wide{scale.num()}, &product)) energy_overflow(row);
    Wide q = floor_of(product, scale.den(), rest);
    if (rest >= scale.den() - rest) ++q;
    if (!fits(q)) energy_overflow(row);
    return static_cast<std::int64_t>(q);
}

Rounder::Rounder(const Program& program, Rational scale)
    : program_(&program),
      scale_(scale),
      share_(program.ids.size()),
      given_(program.ids.size(), 0),
      extra_(program.ids.size(), 0) {
    for (std::size_t r = 0; r < program.ids.size(); ++r) {
        const RowKind kind = program.kinds[r];
        if (kind == RowKind::point || kind == RowKind::unallocated)
            parties_.push_back(static_cast<std::uint32_t>(r));
        else if (kind == RowKind::check)
            others_.push_back(static_cast<std::uint32_t>(r));
    }
    // A point and a channel may share an id: the point goes first, as its row does.
    std::stable_sort(parties_.begin(), parties_.end(),
                     [&](std::uint32_t a, std::uint32_t b) { return program.ids[a] < program.ids[b]; });
}

void Rounder::add(Share& to, Wide exact, std::size_t row) const {
    const std::int64_t den = scale_.den();
    std::int64_t narrow = 0;
    if (fits(exact) && !__builtin_mul_overflow(static_cast<std::int64_t>(exact), scale_.num(), &narrow) &&
        !__builtin_add_overflow(narrow, to.rest, &narrow)) {
        std::int64_t q = narrow / den, rest = narrow % den;
        if (rest < 0) --q, rest += den;
        to.rest = rest;
        if (__builtin_add_overflow(to.whole, q, &to.whole)) energy_overflow(program_->ids[row]);
        return;
    }
    Wide product = 0, rest = 0;
    if (__builtin_mul_overflow(exact, Wide{scale_.num()}, &product) ||
        __builtin_add_overflow(product, Wide{to.rest}, &product))
        energy_overflow(program_->ids[row]);
    const Wide q = floor_of(product, den, rest) + to.whole;
    if (!fits(q)) energy_overflow(program_->ids[row]);
    to.whole = static_cast<std::int64_t>(q);
    to.rest = static_cast<std::int64_t>(rest);
}

void Rounder::hand_out(std::size_t row, std::int64_t now, std::span<std::int64_t> out) {
    if (__builtin_sub_overflow(now, given_[row], &out[row])) energy_overflow(program_->ids[row]);
    given_[row] = now;
}

void Rounder::advance(std::span<const Wide> exact, const PartProgram& part, std::span<std::int64_t> out) {
    ranking_.clear();
    Wide total = 0, floors = 0;
    for (const std::uint32_t r : parties_) {
        total += exact[r];
        add(share_[r], exact[r], r);
        floors += share_[r].whole;
        extra_[r] = 0;
        if (share_[r].rest > 0) ranking_.push_back(r);
    }
    if (!parties_.empty()) add(total_, total, parties_.front());
    // As many units as rounding the total leaves over; never more than there are remainders.
    const auto units = static_cast<std::size_t>(Wide{nearest(total_)} - floors);
    if (units > 0 && units < ranking_.size())
        // ranking_ is ascending by id: a stable order of equals breaks ties by id.
        std::stable_sort(ranking_.begin(), ranking_.end(),
                         [&](std::uint32_t a, std::uint32_t b) { return share_[a].rest > share_[b].rest; });
    for (std::size_t i = 0; i < units && i < ranking_.size(); ++i) extra_[ranking_[i]] = 1;
    for (const std::uint32_t r : parties_) hand_out(r, share_[r].whole + extra_[r], out);
    for (const std::uint32_t r : others_) {
        add(share_[r], exact[r], r);
        hand_out(r, nearest(share_[r]), out);
    }
    for (const std::uint32_t r : part.order) {
        if (program_->kinds[r] != RowKind::rollup) continue;
        add(share_[r], exact[r], r);
        if (!part.steps[r].adds_rows) {
            hand_out(r, nearest(share_[r]), out);
            continue;
        }
        Wide sum = 0;
        for (std::uint32_t i = part.steps[r].first; i < part.steps[r].last; ++i)
            sum += Wide{part.terms[i].factor} * out[part.terms[i].source];
        if (!fits(sum) || !fits(sum + given_[r])) energy_overflow(program_->ids[r]);
        out[r] = static_cast<std::int64_t>(sum);
        given_[r] += out[r];
    }
}

}  // namespace bln::energy
