#include "energy/ledger.hpp"

#include <algorithm>
#include <unordered_map>

#include "power/failure.hpp"

namespace bln {
namespace {

/// Adds weighted terms; a dense scratch row keeps sums sparse and ordered.
class Mixer {
public:
    explicit Mixer(std::size_t channels) : sum_(channels), touched_(channels, 0) {}
    void add(std::uint32_t channel, const Rational& wh) {
        if (touched_[channel] == 0) {
            touched_[channel] = 1;
            list_.push_back(channel);
            sum_[channel] = 0;
        }
        sum_[channel] += wh;
    }
    std::vector<LedgerTerm> take() {
        std::sort(list_.begin(), list_.end());
        std::vector<LedgerTerm> out;
        out.reserve(list_.size());
        for (const std::uint32_t c : list_) {
            touched_[c] = 0;
            if (!sum_[c].is_zero()) out.push_back({c, sum_[c]});
        }
        list_.clear();
        return out;
    }

private:
    std::vector<Rational> sum_;
    std::vector<std::uint8_t> touched_;
    std::vector<std::uint32_t> list_;
};

/// Counts that are not in primary quantities are brought there by the ratio that was configured, where
/// that ratio is one of currents.
Rational primary_factor(const View& view, const as_of::channel& channel, ScaledBy read_from, Scaling& how) {
    how = Scaling::registers_primary;
    if (!channel.device.resolved()) return 1;
    const ScaledBy by = view.device[static_cast<std::size_t>(channel.device.at)].scaled_by;
    // Whoever stands before the place where the counts were read has scaled them already.
    if (by == ScaledBy::unknown || (by != ScaledBy::none && by <= read_from)) return 1;
    how = Scaling::ratio_unknown;
    if (!channel.primary_amps || !channel.secondary) return 1;
    for (const Term& ct : channel.cts) {
        if (!ct.ref.resolved()) continue;
        const Ref& type = view.ct[static_cast<std::size_t>(ct.ref.at)].type;
        if (!type.resolved()) continue;
        const Output output = view.ct_type[static_cast<std::size_t>(type.at)].output;
        if (output != Output::amps && output != Output::milliamps) continue;
        how = Scaling::ratio_applied;
        return Rational(*channel.primary_amps, *channel.secondary) * (output == Output::milliamps ? 1000 : 1);
    }
    return 1;
}

std::uint64_t magnitude_of(std::int64_t v) noexcept {
    return v < 0 ? std::uint64_t{0} - static_cast<std::uint64_t>(v) : static_cast<std::uint64_t>(v);
}

/// Apparent energy is not bilinear: it cannot be had from channels that are re-weighted or that add currents.
ApparentBar apparent_bar(const View& view, const Term& element) {
    const as_of::channel& channel = view.channel[static_cast<std::size_t>(element.ref.at)];
    if (!(element.weight == Rational(1)) || (channel.multiplier && !(*channel.multiplier == Rational(1))))
        return ApparentBar::reweighted;
    std::size_t conductors = 0;
    for (const Term& ct : channel.cts)
        conductors += ct.ref.resolved()
                          ? std::max<std::size_t>(1, view.ct[static_cast<std::size_t>(ct.ref.at)].passes.size())
                          : 1;
    return conductors > 1 ? ApparentBar::summed_current : ApparentBar::none;
}

class PartMaker {
public:
    PartMaker(Ledger& ledger, const Grid& grid, std::size_t record_channels)
        : ledger_(ledger), grid_(grid), mixer_(grid.channels.size()), series_(record_channels, -1) {
        for (std::size_t c = 0; c < ledger.channel_at.size(); ++c)
            if (ledger.channel_at[c] >= 0)
                series_[static_cast<std::size_t>(ledger.channel_at[c])] = static_cast<std::int32_t>(c);
        ledger.holders.emplace_back();
    }

    LedgerPart make(std::shared_ptr<const View> shared, Instant from, Instant to) {
        const View& view = *shared;
        LedgerPart part;
        part.from = from;
        part.to = to;
        const std::size_t channels = grid_.channels.size();
        part.entries.resize(ledger_.points + ledger_.rollups + channels);
        scale(view, part);
        std::vector<Rational> rest(channels, Rational(1));
        for (std::size_t p = 0; p < ledger_.points; ++p) point(view, p, part, rest);
        rollups(view, part);
        for (std::size_t c = 0; c < channels; ++c)
            if (!rest[c].is_zero())
                part.entries[ledger_.channel_entry(c)].terms.push_back(
                    {static_cast<std::uint32_t>(c), rest[c] * part.wh_per_count[c]});
        part.view = std::move(shared);
        return part;
    }

private:
    void scale(const View& view, LedgerPart& part) {
        const std::size_t channels = grid_.channels.size();
        part.wh_per_count.assign(channels, grid_.rule.wh_per_count);
        for (std::size_t c = 0; c < channels; ++c) {
            if (ledger_.channel_at[c] < 0) continue;
            const as_of::channel& channel = view.channel[static_cast<std::size_t>(ledger_.channel_at[c])];
            try {
                part.wh_per_count[c] *= primary_factor(view, channel, grid_.rule.read_from, ledger_.scaling[c]);
                if (channel.multiplier) part.wh_per_count[c] *= *channel.multiplier;
            } catch (Failure& f) {
                f.items().front().subject = std::string(channel.id);
                throw;
            }
        }
    }

    void point(const View& view, std::size_t p, LedgerPart& part, std::vector<Rational>& rest) {
        const as_of::point& point = view.point[p];
        LedgerEntry& entry = part.entries[p];
        entry.lacking = !ledger_.ever[p];
        entry.holder = holder(view, point.premises);
        try {
            for (const Term& t : point.elements) {
                const std::int32_t c = t.ref.resolved() ? series_[static_cast<std::size_t>(t.ref.at)] : -1;
                if (c < 0) {
                    entry.lacking = true;
                    continue;
                }
                const auto at = static_cast<std::size_t>(c);
                if (entry.bar == ApparentBar::none) entry.bar = apparent_bar(view, t);
                mixer_.add(static_cast<std::uint32_t>(c), t.weight * part.wh_per_count[at]);
                if (ledger_.kinds[p] == RowKind::point) rest[at] -= t.weight;
            }
        } catch (Failure& f) {
            f.items().front().subject = std::string(point.id);
            throw;
        }
        entry.terms = mixer_.take();
    }

    std::uint32_t holder(const View& view, const Ref& premises) {
        if (!premises.given()) return 0;
        Holder one{std::string(premises.id), Occupancy::unknown, {}};
        if (premises.resolved()) {
            const as_of::premises& p = view.premises[static_cast<std::size_t>(premises.at)];
            one.occupancy = p.occupancy;
            one.occupant = p.occupant;
        }
        // No id holds a line end.
        const std::string key = one.premises + '\n' + std::string(word_of(one.occupancy)) + '\n' + one.occupant;
        const auto [at, fresh] = holders_.try_emplace(key, static_cast<std::uint32_t>(ledger_.holders.size()));
        if (fresh) ledger_.holders.push_back(std::move(one));
        return at->second;
    }

    /// Inner roll-ups first, by depth-first search without recursion; what lies on a circle gets no sum.
    void rollups(const View& view, LedgerPart& part) {
        enum class Mark : std::uint8_t { fresh, open, done };
        struct Frame {
            std::size_t at, next;
        };
        std::vector<Mark> mark(ledger_.rollups, Mark::fresh);
        std::vector<Frame> path;
        for (std::size_t start = 0; start < ledger_.rollups; ++start) {
            if (mark[start] != Mark::fresh) continue;
            mark[start] = Mark::open;
            path.push_back({start, 0});
            while (!path.empty()) {
                Frame& top = path.back();
                const std::span<const Term> inner = view.rollup[top.at].rollups;
                if (top.next == inner.size()) {
                    sum(view, top.at, part);
                    mark[top.at] = Mark::done;
                    path.pop_back();
                    continue;
                }
                const Ref& ref = inner[top.next++].ref;
                if (!ref.resolved()) continue;
                const auto to = static_cast<std::size_t>(ref.at);
                if (mark[to] == Mark::open) {
                    for (std::size_t k = path.size(); k-- > 0;) {
                        part.entries[ledger_.points + path[k].at].circular = true;
                        if (path[k].at == to) break;
                    }
                } else if (mark[to] == Mark::fresh) {
                    mark[to] = Mark::open;
                    path.push_back({to, 0});
                }
            }
        }
    }

    void sum(const View& view, std::size_t r, LedgerPart& part) {
        const as_of::rollup& rollup = view.rollup[r];
        LedgerEntry& entry = part.entries[ledger_.points + r];
        entry.against = rollup.against.at;
        part.order.push_back(static_cast<std::uint32_t>(ledger_.points + r));
        if (entry.circular) {
            entry.lacking = true;
            return;
        }
        entry.lacking = !ledger_.ever[ledger_.points + r];
        const auto take = [&](const Term& t, std::size_t offset) {
            if (!t.ref.resolved()) {
                entry.lacking = true;
                return;
            }
            const LedgerEntry& from = part.entries[offset + static_cast<std::size_t>(t.ref.at)];
            entry.lacking = entry.lacking || from.lacking;
            for (const LedgerTerm& x : from.terms) mixer_.add(x.channel, x.wh * t.weight);
            entry.children.push_back(
                {static_cast<std::uint32_t>(offset + static_cast<std::size_t>(t.ref.at)), t.weight});
            // A difference of sums of P and Q is a sum of P and Q; a fraction of a load is not a load.
            if (from.bar != ApparentBar::none || t.weight.den() != 1 || magnitude_of(t.weight.num()) > 1)
                entry.bar = ApparentBar::of_a_part;
        };
        try {
            for (const Term& t : rollup.points) take(t, 0);
            for (const Term& t : rollup.rollups) take(t, ledger_.points);
        } catch (Failure& f) {
            f.items().front().subject = std::string(rollup.id);
            throw;
        }
        entry.terms = mixer_.take();
    }

    Ledger& ledger_;
    const Grid& grid_;
    Mixer mixer_;
    std::unordered_map<std::string, std::uint32_t> holders_;
    std::vector<std::int32_t> series_;  // of each channel of the record: its position in the intervals, or -1
};

}  // namespace

Ledger make_ledger(const std::shared_ptr<const Model>& model, Instant known, const Grid& grid,
                   const Progress& progress) {
    Ledger out;
    out.points = model->entities(Kind::point).size();
    out.rollups = model->entities(Kind::rollup).size();
    const std::size_t channels = grid.channels.size();
    out.scaling.assign(channels, Scaling::registers_primary);
    for (const std::string& id : grid.channels) out.channel_at.push_back(model->find(Kind::channel, id));
    out.kinds.assign(out.points, RowKind::check);
    out.ever.assign(out.points + out.rollups, false);
    out.kinds.insert(out.kinds.end(), out.rollups, RowKind::rollup);
    out.kinds.insert(out.kinds.end(), channels, RowKind::unallocated);

    const Instant begin = grid.first, end = grid.start(grid.count);
    std::vector<Instant> cuts{begin};
    const auto cut = [&](Instant at) {
        if (at > begin && at < end) cuts.push_back(at);
    };
    for (const Instant at : model->breakpoints(known)) cut(at);
    cut(grid.from);
    cut(grid.to);
    std::sort(cuts.begin(), cuts.end());
    cuts.erase(std::unique(cuts.begin(), cuts.end()), cuts.end());
    cuts.push_back(end);

    // A point that is billed at any time takes part in the division throughout.
    std::vector<std::shared_ptr<const View>> views;
    for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
        progress.at(i, cuts.size());
        views.push_back(std::make_shared<const View>(model, cuts[i], known));
        for (std::size_t p = 0; p < out.points; ++p) {
            const as_of::point& point = views.back()->point[p];
            if (point.use != PointUse::check) out.kinds[p] = RowKind::point;
            out.ever[p] = out.ever[p] || !point.elements.empty();
        }
        for (std::size_t r = 0; r < out.rollups; ++r) {
            const as_of::rollup& rollup = views.back()->rollup[r];
            out.ever[out.points + r] = out.ever[out.points + r] || !rollup.points.empty() || !rollup.rollups.empty();
        }
    }
    // Whether a border of the period lies within the interval in which `at` lies.
    const auto in_cut_interval = [&](Instant at) {
        const auto cuts_it = [&](Instant border) {
            if (border <= begin || border >= end) return false;
            const Wide from_begin = Wide{border} - begin, d = grid.rule.duration;
            return from_begin % d != 0 && from_begin / d == (Wide{at} - begin) / d;
        };
        return cuts_it(grid.from) || cuts_it(grid.to);
    };
    PartMaker maker(out, grid, model->entities(Kind::channel).size());
    for (std::size_t i = 0; i < views.size(); ++i) {
        LedgerPart part = maker.make(views[i], cuts[i], cuts[i + 1]);
        part.outside = part.to <= grid.from || part.from >= grid.to;
        if (!part.outside || out.view == nullptr) out.view = part.view;
        if (!out.parts.empty() && out.parts.back().outside == part.outside && !in_cut_interval(part.from) &&
            out.parts.back().entries == part.entries && out.parts.back().wh_per_count == part.wh_per_count) {
            out.parts.back().to = part.to;
            out.parts.back().view = std::move(part.view);
        } else {
            out.parts.push_back(std::move(part));
        }
    }
    return out;
}

}  // namespace bln
