// Intervals from columns in memory, long and wide.
#include <unordered_set>

#include "energy/interval_layout.hpp"
#include "energy/quality.hpp"
#include "site/error_list.hpp"
#include "site/instant.hpp"
#include "site/model.hpp"

namespace bln {
namespace {

std::vector<std::string> checked_ids(std::span<const std::string_view> ids) {
    ErrorList errors;
    std::unordered_set<std::string_view> seen;
    for (std::size_t i = 0; i < ids.size(); ++i) {
        if (!valid_id(ids[i]))
            errors.row(BLN_E_VALUE, "\"" + std::string(ids[i]) + "\" is not an id: 1 to 64 of A-Z a-z 0-9 . _ -", i + 1,
                       ids[i]);
        else if (!seen.insert(ids[i]).second)
            errors.row(BLN_E_DUPLICATE, "channel " + std::string(ids[i]) + " stands twice in the list", i + 1, ids[i]);
    }
    errors.raise();
    return {ids.begin(), ids.end()};
}

/// Takes rows of columns one by one, names what is wrong with them, and hands blocks on.
class RowGatherer {
public:
    RowGatherer(const IntervalRule& rule, Quantities used, std::string_view registers)
        : used_(used), readings_(!registers.empty()), grid_(rule), layout_(rule, used, registers) {
        rows_.reserve(block_rows, used);
    }
    /// Time of a row, checked; false when an error was added.
    bool place(Instant& at, std::size_t row, std::string_view id) {
        const char* complaint = nullptr;
        if (!readings_)
            complaint = grid_.place(at);
        else if (!writable(at))
            complaint = "the reading lies outside of the years 0001 to 9999";
        if (complaint != nullptr) errors_.row(BLN_E_VALUE, complaint, row + 1, id);
        return complaint == nullptr;
    }
    bool quality(const Column& column, std::size_t i, std::size_t row, std::string_view id, std::uint8_t& code) {
        if (!column.has(i)) return true;
        const std::int64_t number = column.integer(i);
        if (number < 0 || number >= no_quality || quality_rank(static_cast<std::uint8_t>(number)) < 0) {
            errors_.row(BLN_E_VALUE, std::to_string(number) + " is no quality code", row + 1, id);
            return false;
        }
        code = static_cast<std::uint8_t>(number);
        return true;
    }
    bool sign(Quantity q, std::int64_t value, std::size_t row, std::string_view id) {
        if (value >= 0 || !one_way(q)) return true;
        errors_.row(BLN_E_VALUE, "a register of one direction cannot be negative", row + 1, id);
        return false;
    }
    void add(std::uint32_t channel, Instant at, std::uint8_t code, Quantities given,
             const std::array<std::int64_t, quantity_count>& values, std::size_t row) {
        rows_.channel.push_back(channel);
        rows_.at.push_back(at);
        rows_.quality.push_back(code);
        rows_.given.push_back(given);
        rows_.line.push_back(row + 1);
        for (std::size_t q = 0; q < quantity_count; ++q)
            if ((used_ >> q & 1U) != 0) rows_.value[q].push_back(values[q]);
        if (rows_.size() >= block_rows) flush();
    }
    void flush() {
        layout_.add(rows_);
        rows_.clear(used_);
    }
    ErrorList& errors() noexcept { return errors_; }
    Intervals build(std::vector<std::string> ids) {
        errors_.raise();
        flush();
        return layout_.build(std::move(ids));
    }

private:
    Quantities used_;
    bool readings_;
    StartGrid grid_;
    IntervalLayout layout_;
    RowBlock rows_;
    ErrorList errors_;
};

}  // namespace

Intervals intervals_from_columns(const IntervalRule& rule, std::span<const std::string_view> ids, std::size_t rows,
                                 const IntervalColumns& columns, std::string_view registers) {
    std::vector<std::string> channels = checked_ids(ids);
    if (rows > 0 && (!columns.channel.given() || !columns.at.given()))
        throw Failure(BLN_E_ARGUMENT, "the columns channel and at are required");
    (void)columns.channel.counts();
    (void)columns.at.instants();
    (void)columns.quality.counts();
    Quantities used = 0;
    for (std::size_t q = 0; q < quantity_count; ++q)
        if (columns.quantity[q].counts().given()) used = static_cast<Quantities>(used | 1U << q);

    RowGatherer gatherer(rule, used, registers);
    ErrorList& errors = gatherer.errors();
    std::array<std::int64_t, quantity_count> values{};
    for (std::size_t i = 0; i < rows; ++i) {
        if (!columns.channel.has(i) || !columns.at.has(i)) {
            errors.row(BLN_E_VALUE, "the row names no channel or no time", i + 1);
            continue;
        }
        const std::int64_t c = columns.channel.integer(i);
        if (c < 0 || static_cast<std::uint64_t>(c) >= ids.size()) {
            errors.row(BLN_E_VALUE, "channel " + std::to_string(c) + " is not a position in the list of ids", i + 1);
            continue;
        }
        const std::string_view id = ids[static_cast<std::size_t>(c)];
        std::uint8_t code = no_quality;
        bool good = gatherer.quality(columns.quality, i, i, id, code);
        Quantities given = 0;
        for (std::size_t q = 0; q < quantity_count; ++q) {
            if (!columns.quantity[q].has(i)) continue;
            values[q] = columns.quantity[q].integer(i);
            given = static_cast<Quantities>(given | 1U << q);
            good = gatherer.sign(static_cast<Quantity>(q), values[q], i, id) && good;
        }
        Instant at = columns.at.integer(i);
        if (good && gatherer.place(at, i, id)) gatherer.add(static_cast<std::uint32_t>(c), at, code, given, values, i);
    }
    return gatherer.build(std::move(channels));
}

Intervals intervals_from_wide(const IntervalRule& rule, std::span<const std::string_view> ids, std::size_t rows,
                              const Column& at, Quantity quantity, std::span<const Column> counts,
                              std::span<const Column> quality) {
    std::vector<std::string> channels = checked_ids(ids);
    if (rows > 0 && !at.given()) throw Failure(BLN_E_ARGUMENT, "the column at is required");
    (void)at.instants();
    for (const Column& c : counts) (void)c.counts();
    for (const Column& c : quality) (void)c.counts();
    const Quantities used = bit_of(quantity);
    RowGatherer gatherer(rule, used, {});
    std::array<std::int64_t, quantity_count> values{};
    std::int64_t& value = values[static_cast<std::size_t>(quantity)];
    for (std::size_t i = 0; i < rows; ++i) {
        Instant start = at.has(i) ? at.integer(i) : 0;
        if (!at.has(i)) {
            gatherer.errors().row(BLN_E_VALUE, "the row names no time", i + 1);
            continue;
        }
        if (!gatherer.place(start, i, {})) continue;
        for (std::size_t c = 0; c < ids.size(); ++c) {
            if (!counts[c].has(i)) continue;
            value = counts[c].integer(i);
            std::uint8_t code = no_quality;
            bool good = gatherer.sign(quantity, value, i, ids[c]);
            if (c < quality.size()) good = gatherer.quality(quality[c], i, i, ids[c], code) && good;
            if (good) gatherer.add(static_cast<std::uint32_t>(c), start, code, used, values, i);
        }
    }
    return gatherer.build(std::move(channels));
}

}  // namespace bln
