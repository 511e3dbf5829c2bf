#include "energy/engine.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>

#include "power/failure.hpp"

// The loops over blocks are compiled once more for wider registers, and the loader chooses. Sanitizers cannot start
// with such functions.
#if defined(__x86_64__) && defined(__linux__) && defined(__GNUC__) && !defined(__clang__) && \
    !defined(__SANITIZE_THREAD__) && !defined(__SANITIZE_ADDRESS__)
#define BLN_WIDE_LOOP __attribute__((target_clones("avx2", "default"), optimize("O3")))
#else
#define BLN_WIDE_LOOP
#endif

namespace bln::energy {
namespace {

constexpr Wide most64 = std::numeric_limits<std::int64_t>::max();

/// Counts of which the loops need not ask: below 2^36 of one channel, and below 2^53 of a row, so that the sum over
/// a block of 512 stays below 2^62.
constexpr std::uint64_t easy_count = std::uint64_t{1} << 36;
constexpr std::uint64_t easy_row = std::uint64_t{1} << 53;

std::uint64_t magnitude(std::int64_t v) noexcept {
    return v < 0 ? std::uint64_t{0} - static_cast<std::uint64_t>(v) : static_cast<std::uint64_t>(v);
}

/// What of the counts is beyond easy_count, as bits that are not 0. Asked while they are read anyway.
constexpr std::uint64_t beyond_easy(std::uint64_t seen) noexcept { return seen & ~(2 * easy_count - 1); }

BLN_WIDE_LOOP std::uint64_t copy_counts(std::int64_t* __restrict to, const std::int64_t* __restrict from,
                                        std::size_t n) noexcept {
    std::uint64_t seen = 0;
    for (std::size_t i = 0; i < n; ++i) {
        to[i] = from[i];
        seen |= static_cast<std::uint64_t>(from[i]) + easy_count;
    }
    return beyond_easy(seen);
}

// Unsigned sums: a count that is not easy may wrap here, and the row is then worked out again.
BLN_WIDE_LOOP std::uint64_t add_counts(std::int64_t* __restrict to, const std::int64_t* __restrict from,
                                       std::size_t n) noexcept {
    std::uint64_t seen = 0;
    for (std::size_t i = 0; i < n; ++i) {
        const auto v = static_cast<std::uint64_t>(from[i]);
        to[i] = static_cast<std::int64_t>(static_cast<std::uint64_t>(to[i]) + v);
        seen |= v + easy_count;
    }
    return beyond_easy(seen);
}

BLN_WIDE_LOOP std::uint64_t add_multiple(std::int64_t* __restrict to, const std::int64_t* __restrict from,
                                         std::int64_t factor, std::size_t n) noexcept {
    std::uint64_t seen = 0;
    for (std::size_t i = 0; i < n; ++i) {
        const auto v = static_cast<std::uint64_t>(from[i]);
        to[i] = static_cast<std::int64_t>(static_cast<std::uint64_t>(to[i]) + static_cast<std::uint64_t>(factor) * v);
        seen |= v + easy_count;
    }
    return beyond_easy(seen);
}

/// to = or += factor * from.
std::uint64_t add(std::int64_t* to, const std::int64_t* from, std::int64_t factor, std::size_t n, bool fresh) noexcept {
    if (factor == 1) return fresh ? copy_counts(to, from, n) : add_counts(to, from, n);
    if (fresh) std::fill(to, to + n, 0);
    return add_multiple(to, from, factor, n);
}

struct Easy {
    std::int64_t net = 0, positive = 0;
};

BLN_WIDE_LOOP void sum_easy(const std::int64_t* v, std::size_t n, Easy* out) noexcept {
    std::int64_t net = 0, positive = 0;
    for (std::size_t i = 0; i < n; ++i) {
        net += v[i];
        positive += v[i] & ~(v[i] >> 63);
    }
    *out = {net, positive};
}

struct Fused {
    Easy sums;
    std::uint64_t beyond = 0;
};

/// A row of up to three channels in one pass. Sums that a count beyond easy_count spoils are not used.
BLN_WIDE_LOOP void add_three(std::int64_t* __restrict to, const std::int64_t* __restrict a,
                             const std::int64_t* __restrict b, const std::int64_t* __restrict c, std::size_t n,
                             Fused* out) noexcept {
    std::uint64_t seen = 0, net = 0, positive = 0;
    for (std::size_t i = 0; i < n; ++i) {
        const auto x = static_cast<std::uint64_t>(a[i]), y = static_cast<std::uint64_t>(b[i]),
                   z = static_cast<std::uint64_t>(c[i]);
        const std::uint64_t sum = x + y + z;
        const auto v = static_cast<std::int64_t>(sum);
        to[i] = v;
        net += sum;
        positive += static_cast<std::uint64_t>(v & ~(v >> 63));
        seen |= (x + easy_count) | (y + easy_count) | (z + easy_count);
    }
    *out = {{static_cast<std::int64_t>(net), static_cast<std::int64_t>(positive)}, beyond_easy(seen)};
}

struct Sums {
    Wide net = 0, positive = 0;
};

Sums sums_of(const std::int64_t* v, std::size_t n, bool easy) noexcept {
    if (easy) {
        Easy e;
        sum_easy(v, n, &e);
        return {e.net, e.positive};
    }
    Sums s;
    for (std::size_t i = 0; i < n; ++i) {
        s.net += v[i];
        if (v[i] > 0) s.positive += v[i];
    }
    return s;
}

struct Range8 {
    std::uint8_t low = 255, high = 0;
};

BLN_WIDE_LOOP void range_in(const std::uint8_t* v, std::size_t n, Range8* out) noexcept {
    std::uint8_t low = 255, high = 0;
    for (std::size_t i = 0; i < n; ++i) {
        low = v[i] < low ? v[i] : low;
        high = v[i] > high ? v[i] : high;
    }
    *out = {low, high};
}

Range8 range_of(const std::uint8_t* v, std::size_t n) noexcept {
    Range8 r;
    range_in(v, n, &r);
    return r;
}

BLN_WIDE_LOOP void worst_of(std::uint8_t* __restrict to, const std::uint8_t* __restrict from, std::size_t n) noexcept {
    for (std::size_t i = 0; i < n; ++i) to[i] = to[i] < from[i] ? from[i] : to[i];
}

/// Whether the next eight bytes are all @p v: states come in long runs of one value.
bool eight_of(const std::uint8_t* at, std::uint8_t v) noexcept {
    std::uint64_t word = 0;
    std::memcpy(&word, at, 8);
    return word == 0x0101010101010101U * v;
}

bool bit(const std::uint8_t* bits, std::size_t i) noexcept { return (bits[i / 8] >> (i % 8) & 1U) != 0; }

bool all_bits(const std::uint8_t* bits, std::size_t a, std::size_t n) noexcept {
    std::size_t i = a;
    const std::size_t end = a + n;
    for (; i < end && i % 8 != 0; ++i)
        if (!bit(bits, i)) return false;
    std::uint8_t all = 255;
    for (; i + 8 <= end; i += 8) all &= bits[i / 8];
    if (all != 255) return false;
    for (; i < end; ++i)
        if (!bit(bits, i)) return false;
    return true;
}

}  // namespace

Engine::Engine(const Ledger& ledger, const Grid& grid, Rational quantum, bool reactive)
    : ledger_(ledger), grid_(grid), reactive_(reactive), program_(compile(ledger, grid)) {
    quantum_ = quantum.is_zero() ? program_.quantum : quantum;
    scale_ = quantum.is_zero() ? Rational(1) : program_.quantum / quantum;
    const std::size_t rows = program_.ids.size();
    live_.rows.resize(rows);
    for (std::size_t i = 0; i < ledger.rollups; ++i)
        for (const LedgerPart& part : ledger.parts) {
            const std::int32_t main = part.outside ? -1 : part.entries[ledger.points + i].against;
            if (main < 0) continue;
            const PairTally pair{ledger.points + i, static_cast<std::size_t>(main), 0, 0, 0, 0};
            if (std::none_of(live_.pairs.begin(), live_.pairs.end(),
                             [&](const PairTally& p) { return p.sum == pair.sum && p.main == pair.main; }))
                live_.pairs.push_back(pair);
        }
    if (!(scale_ == Rational(1)))
        for (int i = 0; i < (reactive ? 2 : 1); ++i) live_.rounders.emplace_back(program_, scale_);
    choose_slots();
    exact_.resize(rows);
    whole_.resize(rows);
    cell_.resize(most);
    for (std::size_t c = 0; c < rank_.size(); ++c)
        rank_[c] = static_cast<std::int8_t>(quality_rank(static_cast<std::uint8_t>(c)));
    live_.tenures = Tenures(ledger, grid);
    saved_ = live_;
}

void Engine::choose_slots() {
    const std::size_t rows = program_.ids.size();
    std::vector<std::uint8_t> keep(rows, live_.rounders.empty() ? 0 : 1);
    for (const PairTally& pair : live_.pairs) keep[pair.sum] = keep[pair.main] = 1;
    for (const PartProgram& part : program_.parts)
        for (const Step& step : part.steps)
            for (std::uint32_t i = step.first; step.adds_rows && i < step.last; ++i) keep[part.terms[i].source] = 1;
    std::size_t slots = 1;
    for (std::size_t r = 0; r < rows; ++r) slot_.push_back(keep[r] != 0 ? slots++ * most : 0);
    for (Lane* lane : {&p_, &q_}) {
        if (lane == &q_ && !reactive_) break;
        lane->counts.resize(slots * most);
        lane->states.resize(slots * most);
        lane->uniform.resize(rows);
        lane->bound.resize(rows);
    }
}

void Engine::push(std::span<const BlockChannel> channels, std::size_t count, const BlockRows& out,
                  const std::function<void(std::size_t)>& each) {
    saved_ = live_;
    channels_ = channels;
    try {
        for (std::size_t offset = 0; offset < count; offset += most) {
            if (each) each(live_.done);
            block(offset, std::min(most, count - offset), out);
        }
    } catch (...) {
        std::swap(live_, saved_);
        throw;
    }
}

/// Intervals [offset, offset + n) of the push: stretches of one part, and divided intervals between them.
void Engine::block(std::size_t offset, std::size_t n, const BlockRows& out) {
    const std::size_t end = live_.done + n;
    while (live_.done < end) {
        const std::size_t a = offset + n - (end - live_.done);
        if (live_.cut < program_.cuts.size() && program_.cuts[live_.cut].interval == live_.done) {
            cut_interval(a, program_.cuts[live_.cut++], out);
            continue;
        }
        while (live_.part + 1 < program_.parts.size() && program_.parts[live_.part].last <= live_.done) ++live_.part;
        turn(live_.part);
        const PartProgram& part = program_.parts[live_.part];
        std::size_t until = std::min(end, part.last);
        if (live_.cut < program_.cuts.size()) until = std::min(until, program_.cuts[live_.cut].interval);
        const std::size_t length = until - live_.done;
        segment(a, length, part, out);
        compare(live_.part, length);
        round(length, part, out, a);
        live_.done = until;
    }
}

/// Tenures that end before part @p part.
void Engine::turn(std::size_t part) {
    while (live_.turned < part) live_.tenures.turn(++live_.turned, live_.rows, given());
}

/// One interval that the record, or the border of the period, divides.
void Engine::cut_interval(std::size_t a, const Cut& cut, const BlockRows& out) {
    turn(cut.part);
    const bool turns = live_.tenures.turns_within(cut);
    if (turns) live_.tenures.before(cut, live_.rows, given());
    for (std::vector<Wide>& parts : parts_) parts.assign(live_.rows.size() * cut.lengths.size(), 0);
    for (std::size_t r = 0; r < live_.rows.size(); ++r) {
        divided(a, cut, r);
        total_row(r, 1);
        if (reactive_) total_q(r, 1);
        write(r, 1, out, a);
    }
    for (std::size_t r = 0; r < cut.mixed.size(); ++r) live_.rows[r].mixed += cut.mixed[r];
    compare(cut.part, 1);
    if (!turns || live_.rounders.empty()) {
        round(1, cut.sums, out, a);
    } else {
        round_pieces(false, cut, out.net == nullptr ? nullptr : out.net + a, out.stride);
        if (reactive_) round_pieces(true, cut, out.net_q == nullptr ? nullptr : out.net_q + a, out.stride);
    }
    if (turns) live_.tenures.after(cut, {parts_[0], parts_[1], parts_given_[0], parts_given_[1]}, live_.rows, given());
    live_.turned = cut.part + cut.lengths.size() - 1;
    ++live_.done;
}

Given Engine::given() const noexcept {
    Given out;
    if (!live_.rounders.empty()) out.p = live_.rounders[0].given();
    if (live_.rounders.size() > 1) out.q = live_.rounders[1].given();
    return out;
}

/// Rows take their channels from all over memory, in pieces too short for the machine to see them coming.
void Engine::prefetch(const Step& step, const PartProgram& part, std::size_t a, std::size_t n) const noexcept {
    constexpr std::size_t line = 64;  // bytes
    const auto bring = [](const void* from, std::size_t bytes) {
        const auto* at = static_cast<const char*>(from);
        for (std::size_t i = 0; i < bytes; i += line) __builtin_prefetch(at + i);
    };
    for (std::uint32_t i = step.first; !step.adds_rows && i < step.last; ++i) {
        const BlockChannel& c = channels_[part.terms[i].source];
        if (c.p.counts != nullptr) bring(c.p.counts + a, n * sizeof(std::int64_t));
        if (c.p.bytes != nullptr) bring(c.p.bytes + a, n);
        if (c.quality != nullptr) bring(c.quality + a, n);
    }
}

void Engine::segment(std::size_t a, std::size_t n, const PartProgram& part, const BlockRows& out) {
    for (std::size_t i = 0; i < part.order.size(); ++i) {
        const std::uint32_t r = part.order[i];
        if (i + 1 < part.order.size()) prefetch(part.steps[part.order[i + 1]], part, a, n);
        row(p_, false, r, part.steps[r], part, a, n);
        states(p_, false, r, part.steps[r], part, a, n);
        if (reactive_) {
            row(q_, true, r, part.steps[r], part, a, n);
            states(q_, true, r, part.steps[r], part, a, n);
        }
        // While the row is in the nearest cache.
        total_row(r, n);
        if (reactive_) total_q(r, n);
        write(r, n, out, a);
    }
}

void Engine::row(Lane& lane, bool q, std::size_t r, const Step& step, const PartProgram& part, std::size_t a,
                 std::size_t n) {
    std::int64_t* to = lane.counts.data() + slot_[r];
    bool fresh = true;
    std::uint64_t beyond = 0;
    UWide bound = UWide{step.weight} * easy_count;
    if (step.adds_rows) {
        bound = 0;
        for (std::uint32_t i = step.first; i < step.last; ++i)
            bound += UWide{magnitude(part.terms[i].factor)} * lane.bound[part.terms[i].source];
    }
    lane.summed = false;
    if (bound > easy_row) return slow_row(lane, q, r, step, part, a, n);
    if (!step.adds_rows && step.last - step.first <= 3 && step.weight == step.last - step.first) {
        // Three terms of weight one, or fewer; a term of weight -1 is none of them.
        static constexpr std::array<std::int64_t, most> nothing{};
        const std::int64_t* from[3] = {nothing.data(), nothing.data(), nothing.data()};
        bool ones = true;
        for (std::uint32_t i = step.first; i < step.last; ++i) {
            const Term64& t = part.terms[i];
            const BlockCounts& c = q ? channels_[t.source].q : channels_[t.source].p;
            ones = ones && t.factor == 1;
            if (c.counts != nullptr) from[i - step.first] = c.counts + a;
        }
        if (ones) {
            Fused fused;
            add_three(to, from[0], from[1], from[2], n, &fused);
            if (fused.beyond != 0) return slow_row(lane, q, r, step, part, a, n);
            lane.bound[r] = static_cast<std::uint64_t>(bound);
            lane.summed = true;
            lane.net = fused.sums.net;
            lane.positive = fused.sums.positive;
            return;
        }
    }
    for (std::uint32_t i = step.first; i < step.last; ++i) {
        const Term64& t = part.terms[i];
        if (step.adds_rows) {
            const std::int64_t* from = lane.counts.data() + slot_[t.source];
            add(to, from, t.factor, n, fresh);
        } else {
            const BlockCounts& c = q ? channels_[t.source].q : channels_[t.source].p;
            if (c.counts == nullptr) continue;
            beyond |= add(to, c.counts + a, t.factor, n, fresh);
        }
        fresh = false;
    }
    if (fresh) std::fill(to, to + n, 0);
    if (beyond != 0) return slow_row(lane, q, r, step, part, a, n);
    lane.bound[r] = static_cast<std::uint64_t>(bound);
}

/// In 128 bits, where nothing proves that 64 are enough.
void Engine::slow_row(Lane& lane, bool q, std::size_t r, const Step& step, const PartProgram& part, std::size_t a,
                      std::size_t n) {
    std::int64_t* to = lane.counts.data() + slot_[r];
    std::uint64_t greatest = 0;
    for (std::size_t i = 0; i < n; ++i) {
        Wide sum = 0;
        for (std::uint32_t k = step.first; k < step.last; ++k) {
            const Term64& t = part.terms[k];
            const BlockCounts* c = step.adds_rows ? nullptr : q ? &channels_[t.source].q : &channels_[t.source].p;
            if (c != nullptr && c->counts == nullptr) continue;
            const std::int64_t v = c != nullptr ? c->counts[a + i] : lane.counts[slot_[t.source] + i];
            if (__builtin_add_overflow(sum, Wide{t.factor} * v, &sum)) energy_overflow(program_.ids[r]);
        }
        if (sum > most64 || sum < -most64) energy_overflow(program_.ids[r]);
        to[i] = static_cast<std::int64_t>(sum);
        greatest = std::max(greatest, magnitude(to[i]));
    }
    lane.bound[r] = greatest;
}

/// State of every interval of a channel: the one that all share, or varied with the states in @p into.
int Engine::channel_state(std::uint32_t channel, bool q, std::size_t a, std::size_t n, std::uint8_t* into) {
    const BlockChannel& x = channels_[channel];
    const BlockCounts& c = q ? x.q : x.p;
    if (c.counts == nullptr) return gone;
    bool all = true;
    if (c.bytes != nullptr) all = std::memchr(c.bytes + a, 0, n) == nullptr;
    if (c.bits != nullptr) all = all_bits(c.bits, a, n);
    constexpr int valid = quality_rank(0);
    int rank = valid;
    bool same = true;
    if (x.quality != nullptr && !q) {
        const Range8 range = range_of(x.quality + a, n);
        same = range.low == range.high;
        rank = rank_[range.low];
        if (same && rank < 0 && all)
            throw Failure(BLN_E_VALUE, std::to_string(range.low) + " is no quality code", grid_.channels[channel]);
    }
    if (all && same) return rank;
    // Mostly the code of the first: eight at a time. Whatever is no code comes to the loop below.
    const std::uint8_t usual = same ? std::uint8_t{0} : x.quality[a];
    const int usual_rank = same ? rank : rank_[usual];
    for (std::size_t i = 0; i < n; ++i) {
        if (all && usual_rank >= 0 && i + 8 <= n && eight_of(x.quality + a + i, usual)) {
            std::memset(into + i, usual_rank, 8);
            i += 7;
            continue;
        }
        const bool there = c.bytes != nullptr ? c.bytes[a + i] != 0 : c.bits == nullptr || bit(c.bits, a + i);
        int state = gone;
        if (there) {
            state = same ? rank : rank_[x.quality[a + i]];
            if (state < 0)
                throw Failure(BLN_E_VALUE, std::to_string(x.quality[a + i]) + " is no quality code",
                              grid_.channels[channel]);
        }
        into[i] = static_cast<std::uint8_t>(state);
    }
    return varied;
}

void Engine::states(Lane& lane, bool q, std::size_t r, const Step& step, const PartProgram& part, std::size_t a,
                    std::size_t n) {
    std::uint8_t* to = lane.states.data() + slot_[r];
    int uniform = step.lacking ? int{gone} : 0;
    bool filled = false;
    if (step.first == step.last) uniform = std::max(uniform, quality_rank(0));
    for (std::uint32_t i = step.first; i < step.last && uniform != gone; ++i) {
        const std::uint32_t source = part.terms[i].source;
        const std::uint8_t* from = cell_.data();
        int state = 0;
        if (step.adds_rows) {
            state = lane.uniform[source];
            from = lane.states.data() + slot_[source];
        } else {
            state = channel_state(source, q, a, n, cell_.data());
        }
        if (state != varied) {
            uniform = std::max(uniform, state);
        } else if (!filled) {
            std::memcpy(to, from, n);
            filled = true;
        } else {
            worst_of(to, from, n);
        }
    }
    if (!filled || uniform == gone) {
        lane.uniform[r] = uniform;
        return;
    }
    const auto least = static_cast<std::uint8_t>(uniform);
    for (std::size_t k = 0; k < n; ++k) to[k] = std::max(to[k], least);
    const Range8 range = range_of(to, n);
    lane.uniform[r] = range.low == range.high ? int{range.low} : varied;
}

/// One row of an interval that the record, or the border of the period, divides.
void Engine::divided(std::size_t a, const Cut& cut, std::size_t r) {
    constexpr int derived = quality_rank(11);
    const std::size_t rows = program_.ids.size();
    for (const bool q : {false, true}) {
        if (q && !reactive_) break;
        Lane& lane = q ? q_ : p_;
        std::vector<Wide>& parts = parts_[q ? 1 : 0];
        Wide sum = 0;
        int state = quality_rank(0);
        for (std::size_t i = 0; i < cut.lengths.size(); ++i) {
            const LedgerPart& part = ledger_.parts[cut.part + i];
            const LedgerEntry& entry = part.entries[program_.entries[r]];
            if (part.outside) continue;
            if (entry.lacking) state = gone;
            whole_terms(entry, program_.quantum, program_.ids[r], terms_);
            for (const Term64& t : terms_) {
                const BlockCounts& c = q ? channels_[t.source].q : channels_[t.source].p;
                const int s = channel_state(t.source, q, a, 1, cell_.data());
                state = std::max(state, s == varied ? int{cell_[0]} : s);
                if (c.counts == nullptr) continue;
                divide(c.counts[a], cut, grid_.rule.duration, pieces_);
                if (__builtin_add_overflow(sum, Wide{t.factor} * pieces_[i], &sum)) energy_overflow(program_.ids[r]);
                parts[i * rows + r] += Wide{t.factor} * pieces_[i];
            }
        }
        if (cut.mixed[r] != 0) state = std::max(state, derived);
        if (sum > most64 || sum < -most64) energy_overflow(program_.ids[r]);
        lane.counts[slot_[r]] = static_cast<std::int64_t>(sum);
        lane.bound[r] = magnitude(lane.counts[slot_[r]]);
        lane.uniform[r] = state;
        lane.summed = false;
    }
}

void Engine::total_row(std::size_t r, std::size_t n) {
    RowTally& t = live_.rows[r];
    const std::int64_t* v = p_.counts.data() + slot_[r];
    const Sums s = p_.summed ? Sums{p_.net, p_.positive} : sums_of(v, n, p_.bound[r] <= easy_row);
    t.net += s.net;
    t.import_p += s.positive;
    t.export_p += s.positive - s.net;
    exact_[r] = s.net;
    const int state = p_.uniform[r];
    if (state != varied) {
        t.quality[static_cast<std::size_t>(state)] += n;
        if (state != gone && !quality_codes[static_cast<std::size_t>(state)].measured) t.flagged_net += s.net;
        return;
    }
    const std::uint8_t* states = p_.states.data() + slot_[r];
    const std::uint8_t usual = states[0];
    const bool usual_flagged = usual != gone && !quality_codes[usual].measured;
    for (std::size_t i = 0; i < n; ++i) {
        if (!usual_flagged && i + 8 <= n && eight_of(states + i, usual)) {
            t.quality[usual] += 8;
            i += 7;
            continue;
        }
        ++t.quality[states[i]];
        if (states[i] != gone && !quality_codes[states[i]].measured) t.flagged_net += v[i];
    }
}

/// Reactive energy, and the apparent energy of each interval: the root of the squares of the sums.
void Engine::total_q(std::size_t r, std::size_t n) {
    RowTally& t = live_.rows[r];
    const std::int64_t *p = p_.counts.data() + slot_[r], *q = q_.counts.data() + slot_[r];
    const std::uint8_t *sp = p_.states.data() + slot_[r], *sq = q_.states.data() + slot_[r];
    const bool easy = p_.bound[r] <= easy_row && q_.bound[r] <= easy_row;
    const Sums s = q_.summed ? Sums{q_.net, q_.positive} : sums_of(q, n, easy);
    t.net_q += s.net;
    t.import_q += s.positive;
    t.export_q += s.positive - s.net;
    const int up = p_.uniform[r], uq = q_.uniform[r];
    const bool apparent = program_.bars[r] == ApparentBar::none;
    for (std::size_t i = 0; i < n; ++i) {
        const bool no_q = (uq != varied ? uq : int{sq[i]}) == gone;
        if (no_q) ++t.missing_q;
        if (no_q || (up != varied ? up : int{sp[i]}) == gone) continue;
        ++t.both;
        t.both_p += p[i];
        t.both_q += q[i];
        if (!apparent) continue;
        // sqrt is correctly rounded everywhere, so the sum does not depend on machine or blocks.
        const auto x = static_cast<double>(p[i]), y = static_cast<double>(q[i]);
        const double va = std::sqrt(x * x + y * y) * 1024;
        t.apparent += easy ? Wide{static_cast<std::int64_t>(va + 0.5)} : static_cast<Wide>(va + 0.5);
    }
}

void Engine::compare(std::size_t part, std::size_t n) {
    while (part + 1 < ledger_.parts.size() && ledger_.parts[part].outside) ++part;
    for (PairTally& pair : live_.pairs) {
        if (ledger_.parts[part].entries[pair.sum].against != static_cast<std::int32_t>(pair.main)) continue;
        const int us = p_.uniform[pair.sum], um = p_.uniform[pair.main];
        if (us == gone || um == gone) {
            pair.left_out += n;
            continue;
        }
        const std::int64_t *sum = p_.counts.data() + slot_[pair.sum], *main = p_.counts.data() + slot_[pair.main];
        const std::uint8_t *ss = p_.states.data() + slot_[pair.sum], *sm = p_.states.data() + slot_[pair.main];
        for (std::size_t i = 0; i < n; ++i) {
            if ((us == varied && ss[i] == gone) || (um == varied && sm[i] == gone)) {
                ++pair.left_out;
                continue;
            }
            ++pair.intervals;
            pair.sum_net += sum[i];
            pair.main_net += main[i];
        }
    }
}

void Engine::round(bool q, std::size_t n, const PartProgram& part, std::int64_t* out, std::size_t stride) {
    Rounder& rounder = live_.rounders[q ? 1 : 0];
    const Lane& lane = q ? q_ : p_;
    const std::size_t rows = exact_.size();
    if (out == nullptr) {
        // Nobody wants the intervals: what is handed out up to the end depends on the sums up to it alone.
        if (q)
            for (std::size_t r = 0; r < rows; ++r)
                exact_[r] = sums_of(lane.counts.data() + slot_[r], n, lane.bound[r] <= easy_row).net;
        rounder.advance(exact_, part, whole_);
        return;
    }
    for (std::size_t i = 0; i < n; ++i) {
        for (std::size_t r = 0; r < rows; ++r) exact_[r] = lane.counts[slot_[r] + i];
        rounder.advance(exact_, part, whole_);
        for (std::size_t r = 0; r < rows; ++r) out[r * stride + i] = whole_[r];
    }
}

void Engine::round(std::size_t n, const PartProgram& part, const BlockRows& out, std::size_t at) {
    if (live_.rounders.empty()) return;
    round(false, n, part, out.net == nullptr ? nullptr : out.net + at, out.stride);
    if (reactive_) round(true, n, part, out.net_q == nullptr ? nullptr : out.net_q + at, out.stride);
}

/// A divided interval up to each instant at which a tenure ends: what is handed out up to an instant follows from the
/// energies up to it alone, so the steps together hand out what one would.
void Engine::round_pieces(bool q, const Cut& cut, std::int64_t* out, std::size_t stride) {
    Rounder& rounder = live_.rounders[q ? 1 : 0];
    const std::vector<Wide>& pieces = parts_[q ? 1 : 0];
    std::vector<std::int64_t>& reached = parts_given_[q ? 1 : 0];
    const std::size_t rows = exact_.size(), parts = cut.lengths.size();
    reached.assign(rows * parts, 0);
    if (out != nullptr)
        for (std::size_t r = 0; r < rows; ++r) out[r * stride] = 0;
    std::fill(exact_.begin(), exact_.end(), 0);
    for (std::size_t i = 0; i < parts; ++i) {
        for (std::size_t r = 0; r < rows; ++r) exact_[r] += pieces[i * rows + r];
        if (i + 1 < parts && live_.tenures.turns(cut.part + i + 1).empty()) continue;
        rounder.advance(exact_, cut.sums, whole_);
        for (std::size_t r = 0; r < rows; ++r) {
            reached[i * rows + r] = rounder.given(r);
            if (out != nullptr && __builtin_add_overflow(out[r * stride], whole_[r], &out[r * stride]))
                energy_overflow(program_.ids[r]);
        }
        std::fill(exact_.begin(), exact_.end(), 0);
    }
}

void Engine::write(std::size_t r, std::size_t n, const BlockRows& out, std::size_t at) {
    const std::size_t to = r * out.stride + at;
    if (live_.rounders.empty()) {
        if (out.net != nullptr) std::memcpy(out.net + to, p_.counts.data() + slot_[r], n * 8);
        if (out.net_q != nullptr && reactive_) std::memcpy(out.net_q + to, q_.counts.data() + slot_[r], n * 8);
    }
    for (const bool q : {false, true}) {
        std::uint8_t* complete = q ? out.complete_q : out.complete;
        if (complete == nullptr || (q && !reactive_)) continue;
        const Lane& lane = q ? q_ : p_;
        const int uniform = lane.uniform[r];
        if (uniform != varied) {
            std::memset(complete + to, uniform == gone ? 0 : 1, n);
            continue;
        }
        const std::uint8_t* states = lane.states.data() + slot_[r];
        for (std::size_t i = 0; i < n; ++i) complete[to + i] = states[i] == gone ? 0 : 1;
    }
    if (out.quality == nullptr) return;
    for (std::size_t i = 0; i < n; ++i) {
        const int state = p_.uniform[r] != varied ? p_.uniform[r] : int{p_.states[slot_[r] + i]};
        out.quality[to + i] =
            quality_codes[std::min<std::size_t>(static_cast<std::size_t>(state), quality_codes.size() - 1)].code;
    }
}

std::int64_t Engine::net(std::size_t row) const {
    return live_.rounders.empty() ? rounded(live_.rows[row].net, scale_, program_.ids[row])
                                  : live_.rounders[0].given(row);
}

std::int64_t Engine::net_q(std::size_t row) const {
    if (!reactive_) return 0;
    return live_.rounders.empty() ? rounded(live_.rows[row].net_q, scale_, program_.ids[row])
                                  : live_.rounders[1].given(row);
}

}  // namespace bln::energy
