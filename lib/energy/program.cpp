#include "energy/program.hpp"

#include <algorithm>
#include <limits>
#include <numeric>

#include "power/failure.hpp"

namespace bln::energy {
namespace {

constexpr std::int64_t most64 = std::numeric_limits<std::int64_t>::max();

std::uint64_t magnitude(std::int64_t v) noexcept {
    return v < 0 ? std::uint64_t{0} - static_cast<std::uint64_t>(v) : static_cast<std::uint64_t>(v);
}

/// Greatest energy that divides every coefficient.
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

/// Rows: all points and roll-ups, and the channels of which something is left at any time.
void choose_rows(const Ledger& ledger, const Grid& grid, Program& out) {
    const View& view = *ledger.view;
    for (std::size_t e = 0; e < ledger.kinds.size(); ++e) {
        const bool channel = e >= ledger.points + ledger.rollups;
        if (channel && std::none_of(ledger.parts.begin(), ledger.parts.end(),
                                    [&](const LedgerPart& p) { return !p.entries[e].terms.empty(); }))
            continue;
        out.entries.push_back(e);
        out.kinds.push_back(ledger.kinds[e]);
        out.ids.emplace_back(e < ledger.points ? view.point[e].id
                             : channel         ? std::string_view(grid.channels[e - ledger.points - ledger.rollups])
                                               : view.rollup[e - ledger.points].id);
        out.premises.emplace_back(e < ledger.points ? view.point[e].premises.id : std::string_view());
        ApparentBar bar = channel ? ApparentBar::of_a_part : ApparentBar::none;
        for (const LedgerPart& part : ledger.parts)
            if (bar == ApparentBar::none && !part.outside) bar = part.entries[e].bar;
        out.bars.push_back(bar);
    }
}

bool whole(const std::vector<LedgerChild>& children) {
    return std::all_of(children.begin(), children.end(), [](const LedgerChild& c) { return c.weight.den() == 1; });
}

PartProgram part_program(const LedgerPart& part, const Program& p) {
    PartProgram out;
    std::vector<Term64> terms;
    for (std::size_t r = 0; r < p.entries.size(); ++r) {
        const LedgerEntry& entry = part.entries[p.entries[r]];
        Step step;
        step.lacking = entry.lacking;
        step.first = static_cast<std::uint32_t>(out.terms.size());
        // Points and roll-ups are rows of the same number as their entries.
        step.adds_rows = !entry.children.empty() && whole(entry.children);
        if (step.adds_rows)
            for (const LedgerChild& c : entry.children) out.terms.push_back({c.entry, c.weight.num()});
        else
            whole_terms(entry, p.quantum, p.ids[r], terms),
                out.terms.insert(out.terms.end(), terms.begin(), terms.end());
        step.last = static_cast<std::uint32_t>(out.terms.size());
        for (std::uint32_t i = step.first; i < step.last; ++i) {
            const std::uint64_t more = magnitude(out.terms[i].factor), limit = std::uint64_t{1} << 63;
            step.weight = more > limit - step.weight ? limit : step.weight + more;
        }
        out.steps.push_back(step);
    }
    for (std::size_t r = 0; r < p.entries.size(); ++r)
        if (p.kinds[r] != RowKind::rollup) out.order.push_back(static_cast<std::uint32_t>(r));
    out.order.insert(out.order.end(), part.order.begin(), part.order.end());
    return out;
}

/// What can be said of a divided interval before its counts come.
void describe(const Ledger& ledger, const Program& p, Cut& cut) {
    const std::size_t n = p.entries.size(), last = cut.part + cut.lengths.size();
    std::size_t inside = cut.part;
    while (inside + 1 < last && ledger.parts[inside].outside) ++inside;
    cut.sums = p.parts[inside];
    cut.mixed.assign(n, 0);
    for (std::size_t r = 0; r < n; ++r) {
        Step& step = cut.sums.steps[r];
        const std::size_t e = p.entries[r];
        for (std::size_t k = cut.part; k < last; ++k) {
            const bool outside = ledger.parts[k].outside;
            const bool same = ledger.parts[k].entries[e].terms == ledger.parts[inside].entries[e].terms;
            if (outside ? !ledger.parts[inside].entries[e].terms.empty() : !same) cut.mixed[r] = 1;
            if (!outside && ledger.parts[k].entries[e].children != ledger.parts[inside].entries[e].children)
                step.adds_rows = false;
        }
    }
}

}  // namespace

void energy_overflow(const std::string& row) {
    throw Failure(BLN_E_OVERFLOW, "an exact energy of " + row + " needs more than 64 bits", row);
}

void whole_terms(const LedgerEntry& entry, Rational quantum, const std::string& row, std::vector<Term64>& out) {
    out.clear();
    for (const LedgerTerm& t : entry.terms) {
        // Exact: every coefficient is a multiple of the quantum.
        const Wide factor = Wide{t.wh.num()} * quantum.den() / t.wh.den() / quantum.num();
        if (factor > most64 || factor < -Wide{most64}) energy_overflow(row);
        out.push_back({t.channel, static_cast<std::int64_t>(factor)});
    }
}

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

Program compile(const Ledger& ledger, const Grid& grid) {
    Program out;
    Quantum quantum;
    for (const LedgerPart& part : ledger.parts) {
        for (const LedgerEntry& e : part.entries)
            for (const LedgerTerm& t : e.terms) quantum.include(t.wh);
        for (const Rational& wh : part.wh_per_count) quantum.include(wh);
    }
    out.quantum = quantum.value();
    choose_rows(ledger, grid, out);
    const std::int64_t d = grid.rule.duration;
    for (std::size_t p = 0; p < ledger.parts.size(); ++p) {
        const LedgerPart& part = ledger.parts[p];
        out.parts.push_back(part_program(part, out));
        // Offsets from the first interval fit: the whole span does.
        const Wide from = Wide{part.from} - grid.first, to = Wide{part.to} - grid.first;
        out.parts.back().first = static_cast<std::size_t>((from + d - 1) / d);
        out.parts.back().last = static_cast<std::size_t>(to / d);
        if (p + 1 == ledger.parts.size() || to % d == 0) continue;
        const auto interval = static_cast<std::size_t>(to / d);
        if (out.cuts.empty() || out.cuts.back().interval != interval) {
            out.cuts.emplace_back();
            out.cuts.back().interval = interval;
            out.cuts.back().part = p;
        }
        out.cuts.back().lengths.push_back(part.to - std::max(grid.start(interval), part.from));
    }
    for (Cut& cut : out.cuts) {
        cut.lengths.push_back(d - std::accumulate(cut.lengths.begin(), cut.lengths.end(), std::int64_t{0}));
        describe(ledger, out, cut);
    }
    return out;
}

}  // namespace bln::energy
