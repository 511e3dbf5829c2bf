#include "energy/interval_reader.hpp"

#include <algorithm>

#include "energy/quality.hpp"
#include "site/csv.hpp"
#include "site/instant.hpp"
#include "site/model.hpp"

namespace bln {
namespace {

constexpr std::string_view not_an_id = "is not an id: 1 to 64 of A-Z a-z 0-9 . _ -";

std::string quoted(std::string_view text) { return "\"" + std::string(text.substr(0, 80)) + "\""; }

Rational counts_per_unit(const IntervalRule& rule, const ColumnMap& map) {
    return map.wh_per_unit.is_zero() ? Rational(1) : map.wh_per_unit / rule.wh_per_count;
}

}  // namespace

std::uint32_t ChannelIndex::add(std::string_view name, std::string_view id) {
    auto [at, fresh] = by_id_.emplace(std::string(id), static_cast<std::uint32_t>(ids_.size()));
    if (fresh) {
        ids_.emplace_back(id);
        names_.emplace_back(name);
    }
    by_name_.emplace(std::string(name), at->second);
    return at->second;
}

IntervalReader::IntervalReader(const IntervalRule& rule, ColumnMap map, std::uint64_t max_bytes)
    : rule_(rule),
      map_(std::move(map)),
      csv_(map_.dialect, max_bytes),
      count_(map_.decimal, counts_per_unit(rule, map_)),
      start_(map_.time),
      end_(map_.time),
      grid_(rule) {}

void IntervalReader::refuse(bln_status status, std::string message, std::size_t cell, std::string_view subject) {
    ++refused_;
    if (!errors_.full()) errors_.add(csv_.error(status, std::move(message), cell, subject));
}

IntervalReader::Group& IntervalReader::group_of(std::string_view channel) {
    for (Group& g : groups_)
        if (g.name == channel) return g;
    groups_.emplace_back();
    groups_.back().name = channel;
    return groups_.back();
}

void IntervalReader::place_column(std::size_t i, std::string_view name, ErrorList& errors) {
    const auto known = std::find_if(map_.columns.begin(), map_.columns.end(),
                                    [&](const auto& column) { return column.first == name; });
    ColumnUse use = map_.others;
    if (known != map_.columns.end()) {
        use = known->second;
    } else if (map_.others_refused) {
        bool unit = false;
        for (std::size_t q = 0; q < quantity_count; ++q) {
            const std::string stem = std::string(word_of(static_cast<Quantity>(q))) + "_";
            unit = unit || name.substr(0, stem.size()) == stem;
        }
        errors.add(
            unit ? csv_.error(BLN_E_UNIT, quoted(name) + ": quantities are counts; the unit stands in the rule", i)
                 : csv_.error(BLN_E_FIELD, "there is no column " + quoted(name), i));
        return;
    } else if (use.kind == CellKind::quantity) {
        // A wide file whose columns are named after channels.
        use.channel = id_of(name);
        if (use.channel.empty() && !name.empty()) {
            errors.add(csv_.error(BLN_E_NO_ENTITY, "there is no channel " + quoted(name), i));
            return;
        }
        if (!valid_id(use.channel)) {
            errors.add(csv_.error(BLN_E_VALUE, quoted(name) + " " + std::string(not_an_id), i));
            return;
        }
    }
    const auto once = [&](std::size_t& slot) {
        if (slot != none)
            errors.add(csv_.error(BLN_E_DUPLICATE, "column " + quoted(name) + " says what another column says", i));
        slot = i;
    };
    switch (use.kind) {
        case CellKind::ignored:
            return;
        case CellKind::channel:
            return once(channel_at_);
        case CellKind::start:
            return once(start_at_);
        case CellKind::end:
            return once(end_at_);
        case CellKind::quality:
            return once(use.channel.empty() ? quality_at_ : group_of(use.channel).quality);
        case CellKind::quantity:
            break;
    }
    Group& group = group_of(use.channel);
    for (Cell& cell : group.cells)
        if (cell.quantity == use.quantity) return once(cell.at);
    group.cells.push_back({i, use.quantity});
    used_ = static_cast<Quantities>(used_ | bit_of(use.quantity));
}

void IntervalReader::read_header() {
    ErrorList errors;
    for (std::size_t i = 0; i < csv_.size(); ++i)
        place_column(i, map_.header ? csv_.cell(i) : std::string_view(std::to_string(i + 1)), errors);
    const auto missing = [&](const char* what) {
        errors.add(csv_.error(BLN_E_FIELD, std::string("there is no column ") + what, csv_.size()));
    };
    bool wide = false, long_form = false;
    for (const Group& g : groups_) {
        if (g.cells.empty()) continue;
        (g.name.empty() ? long_form : wide) = true;
    }
    if (long_form && wide)
        errors.add(csv_.error(BLN_E_FIELD,
                              "some quantities belong to a channel of their own, others to the column channel",
                              csv_.size()));
    if (!wide && channel_at_ == none) missing("channel");
    if (wide && channel_at_ != none)
        errors.add(
            csv_.error(BLN_E_FIELD, "a column channel makes no sense where columns belong to channels", channel_at_));
    const bool end = rule_.end_stamped && map_.registers.empty();
    if (end ? end_at_ == none : start_at_ == none && (map_.registers.empty() || end_at_ == none))
        missing(end ? "end" : "start");
    if (!wide && !long_form) missing("that holds a quantity");
    errors.raise();
    groups_.erase(std::remove_if(groups_.begin(), groups_.end(), [](const Group& g) { return g.cells.empty(); }),
                  groups_.end());
    for (Group& g : groups_)
        if (!g.name.empty()) g.channel = channels_.add(g.name, g.name);
    width_ = csv_.size();
}

bool IntervalReader::read_time(Instant& at) {
    const auto one = [&](TimeReader& reader, std::size_t cell, Instant& out) {
        const std::string_view why = reader.read(csv_.cell(cell), out);
        if (why.empty()) return true;
        refuse(BLN_E_VALUE, quoted(csv_.cell(cell).substr(0, 40)) + ": " + std::string(why), cell,
               channel_at_ == none ? std::string_view{} : csv_.cell(channel_at_));
        return false;
    };
    Instant start = 0, end = 0;
    if (start_at_ != none && !one(start_, start_at_, start)) return false;
    if (end_at_ != none && !one(end_, end_at_, end)) return false;
    if (!map_.registers.empty()) {
        at = end_at_ != none ? end : start;
        return true;
    }
    if (start_at_ != none && end_at_ != none && Wide{end} - start != rule_.duration) {
        refuse(BLN_E_VALUE,
               "the record covers " + std::to_string((end - start) / 1'000'000) + " s, and every interval has " +
                   std::to_string(rule_.duration / 1'000'000) + " s",
               end_at_, channel_at_ == none ? std::string_view{} : csv_.cell(channel_at_));
        return false;
    }
    at = rule_.end_stamped ? end : start;
    return true;
}

/// The id of a channel by its name in the file; empty for one that the map leaves out.
std::string_view IntervalReader::id_of(std::string_view name) const {
    for (const auto& [alias, id] : map_.channels)
        if (alias == name) return id;
    return map_.unlisted_refused ? std::string_view{} : name;
}

bool IntervalReader::read_channel(std::uint32_t& channel) {
    const std::string_view name = csv_.cell(channel_at_);
    if (const std::int64_t known = channels_.find(name); known >= 0) {
        channel = static_cast<std::uint32_t>(known);
        return true;
    }
    const std::string_view id = id_of(name);
    if (id.empty()) {
        refuse(BLN_E_NO_ENTITY, "there is no channel " + quoted(name), channel_at_, name);
        return false;
    }
    if (!valid_id(id)) {
        refuse(BLN_E_VALUE, quoted(name) + " " + std::string(not_an_id), channel_at_);
        return false;
    }
    channel = new_channel;
    return true;
}

bool IntervalReader::read_quality(std::size_t at, std::uint8_t& code) {
    const std::string_view word = csv_.cell(at);
    if (word.empty()) return true;
    if (word == last_quality_) {
        code = last_code_;
        return true;
    }
    int found = -1;
    for (const auto& [name, to] : map_.quality)
        if (name == word) found = to;
    if (found < 0) {
        for (const QualityCode& q : quality_codes)
            if (word == q.word) found = q.code;
        std::int64_t number = 0;
        if (read_integer(word, number) == BLN_OK && number >= 0 && number < 255 &&
            quality_rank(static_cast<std::uint8_t>(number)) >= 0)
            found = static_cast<int>(number);
    }
    if (found < 0) {
        refuse(BLN_E_VALUE, quoted(word) + " is no quality code, and the map gives it none", at);
        return false;
    }
    last_quality_.assign(word);
    code = last_code_ = static_cast<std::uint8_t>(found);
    return true;
}

bool IntervalReader::read_group(const Group& group, std::uint32_t channel, Instant at, std::uint8_t quality,
                                bool wanted, RowBlock& rows) {
    Quantities given = 0;
    bool good = true;
    for (const Cell& cell : group.cells) {
        const std::string_view text = csv_.cell(cell.at);
        const auto q = static_cast<std::size_t>(cell.quantity);
        std::int64_t value = 0;
        if (!text.empty()) {
            const bln_status status = count_.read(text, value);
            if (status == BLN_OK && (value >= 0 || !one_way(cell.quantity))) {
                given = static_cast<Quantities>(given | bit_of(cell.quantity));
            } else {
                const char* why = status == BLN_E_OVERFLOW ? " needs more than 64 bits"
                                  : status == BLN_E_RANGE  ? " is not a whole number of counts"
                                  : status != BLN_OK       ? " is not an integer count"
                                                           : ": a register of one direction cannot be negative";
                refuse(status == BLN_E_OVERFLOW ? BLN_E_OVERFLOW : BLN_E_VALUE, quoted(text.substr(0, 40)) + why,
                       cell.at, group.name.empty() ? csv_.cell(channel_at_) : std::string_view(group.name));
                value = 0;
                good = false;
            }
        }
        rows.value[q].push_back(value);
    }
    // An empty cell of a wide file is no row; a row counts as a whole or not at all.
    if (!good || !wanted || (given == 0 && !group.name.empty())) {
        for (const Cell& cell : group.cells) rows.value[static_cast<std::size_t>(cell.quantity)].pop_back();
        return false;
    }
    // Quantities that other channels of a wide file have.
    if (!group.name.empty())
        for (std::size_t q = 0; q < quantity_count; ++q)
            if ((used_ >> q & 1U) != 0 && rows.value[q].size() == rows.channel.size()) rows.value[q].push_back(0);
    rows.channel.push_back(channel);
    rows.at.push_back(at);
    rows.given.push_back(given);
    rows.quality.push_back(quality);
    rows.line.push_back(csv_.line());
    return true;
}

void IntervalReader::read_record(RowBlock& rows) {
    if (csv_.size() != width_) {
        // An empty line loses nothing.
        if (csv_.size() == 1 && csv_.cell(0).empty()) return;
        refuse(BLN_E_VALUE,
               "the record has " + std::to_string(csv_.size()) + " cells, the header " + std::to_string(width_), 0);
        return;
    }
    Instant at = 0;
    std::uint32_t channel = new_channel;
    std::uint8_t quality = no_quality;
    bool good = channel_at_ == none || read_channel(channel);
    good = read_time(at) && good;
    if (quality_at_ != none) good = read_quality(quality_at_, quality) && good;
    if (good && map_.registers.empty()) {
        if (const char* complaint = grid_.place(at); complaint != nullptr) {
            refuse(BLN_E_VALUE, complaint, rule_.end_stamped ? end_at_ : start_at_,
                   channel_at_ == none ? std::string_view{} : csv_.cell(channel_at_));
            good = false;
        }
    }
    for (const Group& group : groups_) {
        std::uint8_t code = quality;
        const bool code_good = group.quality == none || read_quality(group.quality, code);
        const bool wide = !group.name.empty();
        if (read_group(group, wide ? group.channel : channel, at, code, good && code_good, rows) && !wide &&
            channel == new_channel) {
            // Only a row that counts makes a channel known.
            const std::string_view name = csv_.cell(channel_at_);
            rows.channel.back() = channels_.add(name, id_of(name));
        }
    }
}

bool IntervalReader::next(RowBlock& rows, std::size_t most) {
    rows.clear(used_);
    while (rows.size() < most && csv_.next()) {
        if (width_ == 0) {
            read_header();
            rows.reserve(most, used_);
            if (map_.header) continue;
        }
        read_record(rows);
    }
    return rows.size() > 0;
}

}  // namespace bln
