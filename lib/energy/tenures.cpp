#include "energy/tenures.hpp"

#include <algorithm>

namespace bln::energy {

Tenures::Tenures(const Ledger& ledger, const Grid& grid)
    : ledger_(&ledger), end_(grid.to), turns_(ledger.parts.size()), base_(ledger.points) {
    std::size_t inside = 0;
    while (inside + 1 < ledger.parts.size() && ledger.parts[inside].outside) ++inside;
    for (std::uint32_t p = 0; p < ledger.points; ++p) {
        open_.push_back(p);
        tallies_.push_back({p, ledger.parts[inside].entries[p].holder, grid.from, grid.to, {}, 0, 0, 0});
    }
    for (std::size_t k = inside + 1; k < ledger.parts.size() && !ledger.parts[k].outside; ++k)
        for (std::uint32_t p = 0; p < ledger.points; ++p)
            if (ledger.parts[k].entries[p].holder != ledger.parts[k - 1].entries[p].holder) turns_[k].push_back(p);
}

bool Tenures::turns_within(const Cut& cut) const noexcept {
    for (std::size_t i = 1; i < cut.lengths.size(); ++i)
        if (!turns_[cut.part + i].empty()) return true;
    return false;
}

void Tenures::settle(std::uint32_t row, const RowTally& tally, const Given& given) {
    Base& base = base_[row];
    TenureTally& to = tallies_[open_[row]];
    to.sums.add_between(base.tally, tally);
    base.tally = tally;
    if (!given.p.empty()) to.given += given.p[row] - base.given, base.given = given.p[row];
    if (!given.q.empty()) to.given_q += given.q[row] - base.given_q, base.given_q = given.q[row];
}

void Tenures::open(std::uint32_t row, std::size_t part) {
    const LedgerPart& from = ledger_->parts[part];
    tallies_[open_[row]].to = from.from;
    open_[row] = static_cast<std::uint32_t>(tallies_.size());
    tallies_.push_back({row, from.entries[row].holder, from.from, end_, {}, 0, 0, 0});
}

void Tenures::turn(std::size_t part, std::span<const RowTally> rows, const Given& given) {
    for (const std::uint32_t r : turns_[part]) {
        settle(r, rows[r], given);
        open(r, part);
    }
}

void Tenures::before(const Cut& cut, std::span<const RowTally> rows, const Given& given) {
    for (std::size_t i = 1; i < cut.lengths.size(); ++i)
        for (const std::uint32_t r : turns_[cut.part + i]) settle(r, rows[r], given);
}

void Tenures::after(const Cut& cut, const Pieces& pieces, std::span<RowTally> rows, const Given& given) {
    const std::size_t parts = cut.lengths.size(), width = rows.size();
    std::vector<std::uint32_t> turned;
    for (std::size_t i = 1; i < parts; ++i)
        turned.insert(turned.end(), turns_[cut.part + i].begin(), turns_[cut.part + i].end());
    std::sort(turned.begin(), turned.end());
    turned.erase(std::unique(turned.begin(), turned.end()), turned.end());
    for (const std::uint32_t r : turned) {
        Base& base = base_[r];
        const RowTally before = base.tally;
        Wide import_p = 0, import_q = 0;
        for (std::size_t i = 0; i < parts;) {
            if (i > 0) open(r, cut.part + i);
            Wide p = 0, q = 0;
            for (bool first = true; i < parts; ++i, first = false) {
                const std::vector<std::uint32_t>& turn = turns_[cut.part + i];
                if (!first && std::binary_search(turn.begin(), turn.end(), r)) break;
                p += pieces.p[i * width + r];
                if (!pieces.q.empty()) q += pieces.q[i * width + r];
            }
            TenureTally& to = tallies_[open_[r]];
            ++to.divided;
            to.sums.net += p;
            to.sums.import_p += std::max<Wide>(p, 0);
            to.sums.export_p += std::max<Wide>(-p, 0);
            to.sums.net_q += q;
            to.sums.import_q += std::max<Wide>(q, 0);
            to.sums.export_q += std::max<Wide>(-q, 0);
            to.sums.flagged_net += p;
            import_p += std::max<Wide>(p, 0);
            import_q += std::max<Wide>(q, 0);
            const auto hand = [&](std::span<const std::int64_t> at, std::span<const std::int64_t> now,
                                  std::int64_t& from, std::int64_t& into) {
                if (now.empty()) return;
                const std::int64_t reached = i == parts ? now[r] : at[(i - 1) * width + r];
                into += reached - from;
                from = reached;
            };
            hand(pieces.given_p, given.p, base.given, to.given);
            hand(pieces.given_q, given.q, base.given_q, to.given_q);
        }
        // What one tenant takes is not set off against what the next one gives back.
        RowTally& row = rows[r];
        row.import_p = before.import_p + import_p;
        row.export_p = before.export_p + import_p - (row.net - before.net);
        row.import_q = before.import_q + import_q;
        row.export_q = before.export_q + import_q - (row.net_q - before.net_q);
        base.tally = row;
    }
}

std::vector<TenureTally> Tenures::list(std::span<const RowTally> rows, const Given& given) const {
    Tenures now = *this;
    for (std::uint32_t r = 0; r < now.open_.size(); ++r) now.settle(r, rows[r], given);
    std::stable_sort(now.tallies_.begin(), now.tallies_.end(),
                     [](const TenureTally& a, const TenureTally& b) { return a.row < b.row; });
    return std::move(now.tallies_);
}

}  // namespace bln::energy
