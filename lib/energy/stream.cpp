#include "energy/stream.hpp"

#include <algorithm>
#include <unordered_set>

#include "power/failure.hpp"
#include "site/model.hpp"

namespace bln {
namespace {

Grid grid_of(std::span<const std::string> ids, const Period& period, const IntervalRule& rule, Instant first) {
    const std::int64_t d = rule.duration;
    if (period.from == begin_of_time || period.to == end_of_time)
        throw Failure(BLN_E_RANGE, "the period of a stream has both ends");
    if (period.from >= period.to) throw Failure(BLN_E_RANGE, "the period does not end after it begins");
    if (first > period.from || Wide{period.from} - first >= d)
        throw Failure(BLN_E_RANGE, "the period does not begin in the first interval");
    const Wide count = (Wide{period.to} - first + d - 1) / d;
    if (count > 0xFFFFFFFF || first + count * d > end_of_time)
        throw Failure(BLN_E_RANGE, "the intervals of the period lie outside of time");
    return {ids, rule, first, static_cast<std::size_t>(count), period.from, period.to};
}

std::vector<std::string> checked(std::span<const std::string_view> ids) {
    std::vector<std::string> out;
    std::unordered_set<std::string_view> seen;
    out.reserve(ids.size());
    for (const std::string_view id : ids) {
        if (!valid_id(id))
            throw Failure(BLN_E_VALUE, "\"" + std::string(id) + "\" is not an id: 1 to 64 of A-Z a-z 0-9 . _ -",
                          std::string(id));
        if (!seen.insert(id).second)
            throw Failure(BLN_E_DUPLICATE, "channel " + std::string(id) + " stands twice in the list", std::string(id));
        out.emplace_back(id);
    }
    return out;
}

/// Points at the counts of a column where they lie as the engine wants them; copies them otherwise.
const std::int64_t* direct(const Column& column, std::size_t n, std::vector<std::vector<std::int64_t>>& copies) {
    if (const void* data = column.packed(BLN_TYPE_I64)) return static_cast<const std::int64_t*>(data);
    std::vector<std::int64_t>& copy = copies.emplace_back(n);
    for (std::size_t i = 0; i < n; ++i) copy[i] = column.integer(i);
    return copy.data();
}

const std::uint8_t* codes(const Column& column, std::size_t n, const std::string& id,
                          std::vector<std::vector<std::uint8_t>>& copies) {
    if (!column.given()) return nullptr;
    const void* data = column.packed(BLN_TYPE_U8);
    if (data != nullptr && column.validity() == nullptr) return static_cast<const std::uint8_t*>(data);
    std::vector<std::uint8_t>& copy = copies.emplace_back(n, std::uint8_t{0});
    for (std::size_t i = 0; i < n; ++i) {
        if (!column.has(i)) continue;
        const std::int64_t code = column.integer(i);
        if (code < 0 || code > 255 || quality_rank(static_cast<std::uint8_t>(code)) < 0)
            throw Failure(BLN_E_VALUE, std::to_string(code) + " is no quality code", id);
        copy[i] = static_cast<std::uint8_t>(code);
    }
    return copy.data();
}

}  // namespace

RollupStream::RollupStream(std::shared_ptr<const Model> model, const Period& period, const IntervalRule& rule,
                           Instant first, std::span<const std::string_view> ids, bool reactive, bool digest,
                           Policy policy)
    : model_(std::move(model)),
      period_(period),
      ids_(checked(ids)),
      grid_(grid_of(ids_, period, rule, first)),
      policy_(std::move(policy)),
      ledger_(std::make_unique<Ledger>(make_ledger(model_, period.known, grid_, {}))),
      engine_(std::make_unique<energy::Engine>(*ledger_, grid_, period.quantum, reactive)),
      gaps_(ids_.size()),
      digests_(digest ? ids_.size() : 0) {}

void RollupStream::push(const StreamBlock& block, const BlockRows& out) {
    if (block.count > count() - done())
        throw Failure(BLN_E_RANGE, "the block has " + std::to_string(block.count) + " intervals; the period lacks " +
                                       std::to_string(count() - done()));
    std::vector<std::vector<std::int64_t>> copies;
    std::vector<std::vector<std::uint8_t>> code_copies;
    std::vector<BlockChannel> channels(ids_.size());
    for (std::size_t c = 0; c < ids_.size(); ++c) {
        const auto take = [&](std::span<const Column> columns, BlockCounts& to) {
            if (columns.empty() || !columns[c].counts().given()) return;
            to.counts = direct(columns[c], block.count, copies);
            to.bits = columns[c].validity();
        };
        take(block.net_p, channels[c].p);
        if (engine_->reactive()) take(block.net_q, channels[c].q);
        if (!block.quality.empty())
            channels[c].quality = codes(block.quality[c].counts(), block.count, ids_[c], code_copies);
    }
    engine_->push(channels, block.count, out);
    track(block);
}

/// Gaps and digests: nothing here can fail.
void RollupStream::track(const StreamBlock& block) {
    for (std::size_t c = 0; c < ids_.size(); ++c) {
        const Column* p = block.net_p.empty() ? nullptr : &block.net_p[c];
        if (p != nullptr && p->given() && p->validity() == nullptr)
            gaps_[c].take_present(block.count);
        else
            for (std::size_t i = 0; i < block.count; ++i) gaps_[c].take(p != nullptr && p->has(i));
        if (digests_.empty()) continue;
        for (std::size_t i = 0; i < block.count; ++i) {
            char bytes[19] = {};
            std::size_t at = 0;
            const auto put = [&](std::span<const Column> columns) {
                const bool there = !columns.empty() && columns[c].has(i);
                const auto v = there ? static_cast<std::uint64_t>(columns[c].integer(i)) : 0;
                for (int k = 0; k < 8; ++k) bytes[at++] = static_cast<char>(v >> (8 * k));
                bytes[at++] = there ? 1 : 0;
            };
            put(block.net_p);
            if (engine_->reactive()) put(block.net_q);
            if (!block.quality.empty() && block.quality[c].has(i))
                bytes[at] = static_cast<char>(block.quality[c].integer(i));
            digests_[c].add({bytes, at + 1});
        }
    }
}

Statement RollupStream::finish() const {
    if (done() < count())
        throw Failure(BLN_E_STATE, std::to_string(done()) + " of " + std::to_string(count()) + " intervals have come");
    Statement out;
    out.model = model_;
    out.period = period_;
    out.first = grid_.first;
    out.duration = grid_.rule.duration;
    out.interval_count = grid_.count;
    if (!digests_.empty()) {
        std::string text = "blondel stream 1\n" + std::to_string(grid_.rule.duration) + "\n" +
                           grid_.rule.wh_per_count.text() + "\n" + std::to_string(grid_.first) + "\n" +
                           std::to_string(grid_.count) + "\n";
        for (std::size_t c = 0; c < ids_.size(); ++c) {
            Sha256 copy = digests_[c];
            text += ids_[c] + "\n";
            for (const std::uint8_t b : copy.finish()) text += static_cast<char>(b);
        }
        out.stream_digest = sha256_text(text);
    }
    const energy::Inputs inputs{*ledger_, grid_, *engine_, gaps_, {}, nullptr, nullptr, policy_};
    energy::judge(inputs, out);
    return out;
}

}  // namespace bln
