// From counts of channels to energies of rows, in exact integers.
#include <algorithm>
#include <limits>
#include <numeric>
#include <utility>

#include "energy/energy.hpp"
#include "energy/findings.hpp"
#include "power/failure.hpp"

namespace bln {
namespace {

constexpr std::int64_t most64 = std::numeric_limits<std::int64_t>::max();

std::uint64_t magnitude(std::int64_t v) noexcept {
    return v < 0 ? std::uint64_t{0} - static_cast<std::uint64_t>(v) : static_cast<std::uint64_t>(v);
}

[[noreturn]] void overflow(const std::string& row) {
    throw Failure(BLN_E_OVERFLOW, "an exact energy of " + row + " needs more than 64 bits", row);
}

/// Greatest energy that divides every coefficient: 1 count of the statement. Gives the coefficients as
/// multiples of it.
class Quantum {
public:
    void include(const Rational& wh) {
        if (wh.is_zero()) return;
        // gcd of fractions in lowest terms: gcd of numerators over lcm of denominators.
        num_ = std::gcd(num_, magnitude(wh.num()));
        const auto den = static_cast<std::uint64_t>(wh.den());
        const UWide lcm = UWide{den_ / std::gcd(den_, den)} * den;
        if (lcm > static_cast<UWide>(most64))
            throw Failure(BLN_E_OVERFLOW, "the common denominator of the coefficients needs more than 64 bits");
        den_ = static_cast<std::uint64_t>(lcm);
    }
    [[nodiscard]] Rational value() const {
        if (num_ > static_cast<std::uint64_t>(most64)) throw Failure(BLN_E_OVERFLOW, "the quantum needs 64 bits");
        return num_ == 0 ? Rational(1) : Rational(static_cast<std::int64_t>(num_), static_cast<std::int64_t>(den_));
    }

private:
    std::uint64_t num_ = 0, den_ = 1;
};

/// One term as a multiple of the quantum.
struct Term64 {
    std::uint32_t channel;
    std::int64_t factor;
};

/// How the interval that a change of the record cuts is divided: the first part that it touches, and
/// where the parts end, as offsets in the interval.
struct Cut {
    std::size_t interval = 0;
    std::size_t part = 0;
    std::vector<std::int64_t> lengths;  // microseconds, sum = duration
};

/// Divides a count by time: floors, then the units left over to the largest remainders, earlier first.
void divide(std::int64_t count, const Cut& cut, std::int64_t duration, std::vector<std::int64_t>& out) {
    const std::size_t n = cut.lengths.size();
    out.assign(n, 0);
    std::vector<Wide> rest(n);
    std::int64_t left = count;
    for (std::size_t i = 0; i < n; ++i) {
        const Wide product = Wide{count} * cut.lengths[i];
        Wide floor = product / duration;
        if (product % duration < 0) --floor;
        out[i] = static_cast<std::int64_t>(floor);
        rest[i] = product - floor * duration;
        left -= out[i];
    }
    for (; left > 0; --left) {
        const auto at = static_cast<std::size_t>(std::max_element(rest.begin(), rest.end()) - rest.begin());
        ++out[at];
        rest[at] = -1;
    }
}

/// Net energy of every channel: as given, or import minus export.
CountMatrix net_of(const Intervals& x, std::vector<std::uint64_t>& disagreements) {
    CountMatrix out = x.of(Quantity::net_p);
    const CountMatrix &in = x.of(Quantity::import_p), &ex = x.of(Quantity::export_p);
    const std::size_t n = x.channels().size() * x.count();
    if (!out.given()) {
        out.counts.assign(n, 0);
        out.present.assign(n, 0);
    }
    disagreements.assign(x.channels().size(), 0);
    if (!in.given() && !ex.given()) return out;
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

class Roller {
public:
    Roller(const Ledger& ledger, const Intervals& x, Statement& out) : ledger_(ledger), x_(x), out_(out) {
        place_parts();
        Quantum quantum;
        for (const LedgerPart& part : ledger.parts)
            for (const LedgerEntry& e : part.entries)
                for (const LedgerTerm& t : e.terms) quantum.include(t.wh);
        for (const LedgerPart& part : ledger.parts)
            for (const Rational& wh : part.wh_per_count) quantum.include(wh);
        out_.quantum = quantum.value();
    }

    /// Energy of one entry of the ledger in every interval.
    void run(std::size_t entry, const std::string& name, const CountMatrix& m, std::span<const std::uint64_t> greatest,
             std::int64_t* counts, std::uint8_t* complete) {
        std::fill(complete, complete + x_.count(), std::uint8_t{1});
        std::fill(counts, counts + x_.count(), 0);
        for (std::size_t p = 0; p < ledger_.parts.size(); ++p) {
            const LedgerEntry& e = ledger_.parts[p].entries[entry];
            const std::size_t first = whole_[p].first, last = whole_[p].second;
            if (first >= last) continue;
            if (e.lacking) std::fill(complete + first, complete + last, std::uint8_t{0});
            stretch(terms(e, name), name, m, greatest, first, last, counts, complete);
        }
        for (const Cut& cut : cuts_) split(entry, name, m, cut, counts, complete);
    }

    /// Intervals that are divided between different coefficients of this entry.
    [[nodiscard]] std::uint64_t mixed(std::size_t entry) const {
        std::uint64_t n = 0;
        for (const Cut& cut : cuts_) {
            bool differs = false;
            for (std::size_t i = 1; i < cut.lengths.size(); ++i)
                differs = differs || ledger_.parts[cut.part + i].entries[entry].terms !=
                                         ledger_.parts[cut.part].entries[entry].terms;
            n += differs ? 1 : 0;
        }
        return n;
    }

private:
    void place_parts() {
        const std::int64_t d = x_.rule().duration;
        whole_.resize(ledger_.parts.size());
        for (std::size_t p = 0; p < ledger_.parts.size(); ++p) {
            // Offsets from the first interval fit: the whole span does.
            const Wide from = Wide{ledger_.parts[p].from} - x_.first(), to = Wide{ledger_.parts[p].to} - x_.first();
            whole_[p] = {static_cast<std::size_t>((from + d - 1) / d), static_cast<std::size_t>(to / d)};
            if (p + 1 == ledger_.parts.size() || to % d == 0) continue;
            const auto interval = static_cast<std::size_t>(to / d);
            const std::int64_t begin = x_.start(interval);
            if (cuts_.empty() || cuts_.back().interval != interval) cuts_.push_back({interval, p, {}});
            Cut& cut = cuts_.back();
            cut.lengths.push_back(ledger_.parts[p].to - std::max(begin, ledger_.parts[p].from));
        }
        for (Cut& cut : cuts_)
            cut.lengths.push_back(d - std::accumulate(cut.lengths.begin(), cut.lengths.end(), std::int64_t{0}));
    }

    const std::vector<Term64>& terms(const LedgerEntry& e, const std::string& name) {
        terms_.clear();
        for (const LedgerTerm& t : e.terms) {
            // Exact: every coefficient is a multiple of the quantum.
            const Wide factor = Wide{t.wh.num()} * out_.quantum.den() / t.wh.den() / out_.quantum.num();
            if (factor > most64 || factor < -Wide{most64}) overflow(name);
            terms_.push_back({t.channel, static_cast<std::int64_t>(factor)});
        }
        return terms_;
    }

    void stretch(const std::vector<Term64>& list, const std::string& name, const CountMatrix& m,
                 std::span<const std::uint64_t> greatest, std::size_t first, std::size_t last, std::int64_t* counts,
                 std::uint8_t* complete) {
        const std::size_t n = x_.count();
        UWide bound = 0;
        bool narrow = true;
        for (const Term64& t : list) {
            const UWide product = UWide{magnitude(t.factor)} * greatest[t.channel];
            narrow = narrow && product <= static_cast<UWide>(most64) && bound + product <= static_cast<UWide>(most64);
            if (narrow) bound += product;
        }
        for (const Term64& t : list) {
            const std::uint8_t* present = m.present.data() + t.channel * n;
            for (std::size_t i = first; i < last; ++i) complete[i] &= present[i];
        }
        if (narrow) {
            for (const Term64& t : list) {
                const std::int64_t* x = m.counts.data() + t.channel * n;
                for (std::size_t i = first; i < last; ++i) counts[i] += t.factor * x[i];
            }
            return;
        }
        for (std::size_t i = first; i < last; ++i) {
            Wide sum = 0;
            for (const Term64& t : list)
                if (__builtin_add_overflow(sum, Wide{t.factor} * m.counts[t.channel * n + i], &sum)) overflow(name);
            counts[i] = narrowed(sum, name);
        }
    }

    void split(std::size_t entry, const std::string& name, const CountMatrix& m, const Cut& cut, std::int64_t* counts,
               std::uint8_t* complete) {
        Wide sum = 0;
        for (std::size_t i = 0; i < cut.lengths.size(); ++i) {
            const LedgerEntry& e = ledger_.parts[cut.part + i].entries[entry];
            if (e.lacking) complete[cut.interval] = 0;
            for (const Term64& t : terms(e, name)) {
                const std::size_t at = t.channel * x_.count() + cut.interval;
                if (m.present[at] == 0) complete[cut.interval] = 0;
                divide(m.counts[at], cut, x_.rule().duration, pieces_);
                if (__builtin_add_overflow(sum, Wide{t.factor} * pieces_[i], &sum)) overflow(name);
            }
        }
        counts[cut.interval] = narrowed(sum, name);
    }

    static std::int64_t narrowed(Wide v, const std::string& name) {
        if (v > most64 || v < -Wide{most64}) overflow(name);
        return static_cast<std::int64_t>(v);
    }

    const Ledger& ledger_;
    const Intervals& x_;
    Statement& out_;
    std::vector<std::pair<std::size_t, std::size_t>> whole_;  // of each part: the intervals that lie in it entirely
    std::vector<Cut> cuts_;
    std::vector<Term64> terms_;
    std::vector<std::int64_t> pieces_;
};

std::vector<std::uint64_t> greatest_of(const CountMatrix& m, std::size_t channels, std::size_t count) {
    std::vector<std::uint64_t> out(channels, 0);
    for (std::size_t c = 0; c < channels; ++c)
        for (std::size_t t = 0; t < count; ++t) out[c] = std::max(out[c], magnitude(m.counts[c * count + t]));
    return out;
}

/// Net energy is split by its sign interval by interval, after the elements were summed: clamping each
/// element first would over-register loads between lines and loads of low power factor.
void total(StatementRow& row, std::span<const std::int64_t> net, std::span<const std::int64_t> q,
           std::span<const std::uint8_t> complete) {
    Wide in = 0, ex = 0, reactive = 0;
    for (const std::int64_t v : net) (v < 0 ? ex : in) += v < 0 ? -Wide{v} : Wide{v};
    for (const std::int64_t v : q) reactive += v;
    for (const std::uint8_t c : complete) row.missing += c == 0 ? 1 : 0;
    const auto fits = [](Wide v) { return v <= most64 && v >= -Wide{most64}; };
    if (!fits(in) || !fits(ex) || !fits(in - ex) || !fits(reactive)) overflow(row.id);
    row.import_p = static_cast<std::int64_t>(in);
    row.export_p = static_cast<std::int64_t>(ex);
    row.net = static_cast<std::int64_t>(in - ex);
    row.net_q = static_cast<std::int64_t>(reactive);
}

/// Entries that become rows: all points and roll-ups, and the channels of which something is left.
std::vector<std::size_t> chosen(const Ledger& ledger) {
    std::vector<std::size_t> out(ledger.points + ledger.rollups);
    std::iota(out.begin(), out.end(), std::size_t{0});
    for (std::size_t e = out.size(); e < ledger.kinds.size(); ++e)
        if (std::any_of(ledger.parts.begin(), ledger.parts.end(),
                        [&](const LedgerPart& p) { return !p.entries[e].terms.empty(); }))
            out.push_back(e);
    return out;
}

StatementRow row_of(const Ledger& ledger, const Intervals& x, std::size_t entry) {
    const View& view = *ledger.parts.back().view;
    StatementRow row;
    row.kind = ledger.kinds[entry];
    if (entry < ledger.points) {
        row.id = view.point[entry].id;
        row.premises = view.point[entry].premises.id;
    } else if (entry < ledger.points + ledger.rollups) {
        row.id = view.rollup[entry - ledger.points].id;
    } else {
        row.id = x.channels()[entry - ledger.points - ledger.rollups];
    }
    return row;
}

}  // namespace

Statement roll_up(const std::shared_ptr<const Model>& model, Instant known, std::shared_ptr<const Intervals> intervals,
                  const Policy& policy, const Progress& progress) {
    Statement out;
    out.intervals = std::move(intervals);
    const Intervals& x = *out.intervals;
    const std::size_t n = x.count(), channels = x.channels().size();
    const Ledger ledger = make_ledger(model, known, x, progress);
    Roller roller(ledger, x, out);

    std::vector<std::uint64_t> disagreements;
    const CountMatrix net = net_of(x, disagreements);
    const CountMatrix& q = x.of(Quantity::net_q);
    const std::vector<std::uint64_t> greatest = greatest_of(net, channels, n);
    const std::vector<std::uint64_t> greatest_q =
        q.given() ? greatest_of(q, channels, n) : std::vector<std::uint64_t>();
    const std::vector<std::size_t> entries = chosen(ledger);
    out.net.counts.resize(entries.size() * n);
    out.net.complete.resize(entries.size() * n);
    if (q.given()) {
        out.net_q.counts.resize(entries.size() * n);
        out.net_q.complete.resize(entries.size() * n);
    }
    out.rows.reserve(entries.size());
    for (std::size_t r = 0; r < entries.size(); ++r) {
        progress.at(r, entries.size() + 1);
        StatementRow row = row_of(ledger, x, entries[r]);
        roller.run(entries[r], row.id, net, greatest, out.net.counts.data() + r * n, out.net.complete.data() + r * n);
        std::span<const std::int64_t> reactive;
        if (q.given()) {
            roller.run(entries[r], row.id, q, greatest_q, out.net_q.counts.data() + r * n,
                       out.net_q.complete.data() + r * n);
            reactive = std::span(out.net_q.counts).subspan(r * n, n);
        }
        total(row, std::span(out.net.counts).subspan(r * n, n), reactive,
              std::span(out.net.complete).subspan(r * n, n));
        row.mixed = roller.mixed(entries[r]);
        out.rows.push_back(std::move(row));
    }
    progress.at(entries.size(), entries.size() + 1);
    const energy::Inputs inputs{ledger, x, net, disagreements, policy};
    energy::judge(inputs, out);
    progress.at(entries.size() + 1, entries.size() + 1);
    return out;
}

}  // namespace bln
