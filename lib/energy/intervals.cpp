#include "energy/intervals.hpp"

#include <algorithm>
#include <unordered_map>

#include "site/csv.hpp"
#include "site/error_list.hpp"
#include "site/instant.hpp"
#include "site/model.hpp"

namespace bln {

std::string_view word_of(Quantity q) noexcept {
    constexpr std::string_view words[] = {"net_p", "net_q", "import_p", "export_p"};
    return words[static_cast<std::size_t>(q)];
}

IntervalRule IntervalRule::of(const bln_interval_rule& rule) {
    if (rule.stamp != BLN_STAMP_START && rule.stamp != BLN_STAMP_END)
        throw Failure(BLN_E_RANGE, "the rule does not say whether times are starts or ends");
    if (rule.duration <= 0) throw Failure(BLN_E_RANGE, "the duration of an interval is not more than 0");
    if (rule.wh_num <= 0 || rule.wh_den <= 0) throw Failure(BLN_E_RANGE, "a count stands for no positive energy");
    return {rule.duration, Rational(rule.wh_num, rule.wh_den), rule.stamp == BLN_STAMP_END};
}

/// Gathers rows, then lays them out.
class IntervalBuilder {
public:
    struct Row {
        std::uint32_t channel = 0;
        std::uint8_t given = 0;  ///< bit q: quantity q is there
        Instant at = 0;
        std::array<std::int64_t, quantity_count> value{};
    };

    explicit IntervalBuilder(const IntervalRule& rule) { out_.rule_ = rule; }

    /// Adds a channel; false when it is there already.
    bool add_channel(std::string_view id) {
        const auto at = static_cast<std::uint32_t>(out_.channels_.size());
        if (!index_.emplace(std::string(id), at).second) return false;
        out_.channels_.emplace_back(id);
        return true;
    }
    std::uint32_t channel(std::string_view id) {
        // Rows of one channel or of one instant usually follow one another.
        if (last_ < out_.channels_.size() && out_.channels_[last_] == id) return last_;
        if (last_ + 1 < out_.channels_.size() && out_.channels_[last_ + 1] == id) return ++last_;
        key_.assign(id);
        const auto found = index_.find(key_);
        if (found != index_.end()) return last_ = found->second;
        add_channel(id);
        return last_ = static_cast<std::uint32_t>(out_.channels_.size() - 1);
    }
    void reserve(std::size_t rows) { rows_.reserve(rows); }
    /// What is wrong with the time of a row, or null. Turns ends into starts.
    const char* place(Instant& at) {
        const Wide start = Wide{at} - (out_.rule_.end_stamped ? out_.rule_.duration : 0);
        if (start < begin_of_time || start + out_.rule_.duration > end_of_time)
            return "the interval lies outside of time";
        at = static_cast<Instant>(start);
        if (rows_.empty()) {
            low_ = high_ = at;
            return nullptr;
        }
        if ((Wide{at} - low_) % out_.rule_.duration != 0)
            return "the interval does not lie on the grid of the first row";
        low_ = std::min(low_, at);
        high_ = std::max(high_, at);
        return nullptr;
    }
    void add(const Row& row) { rows_.push_back(row); }

    Intervals build() {
        const std::size_t channels = out_.channels_.size();
        out_.arrivals_.resize(channels);
        if (rows_.empty()) return std::move(out_);
        const Wide count = (Wide{high_} - low_) / out_.rule_.duration + 1;
        // A single mistyped year must not ask for all the memory there is.
        const Wide most = Wide{1000} * static_cast<Wide>(rows_.size()) + 1'000'000;
        if (count * static_cast<Wide>(channels) > most || count > 0xFFFFFFFF)
            throw Failure(BLN_E_SIZE, "the rows span from " + stamp(low_) + " to " + stamp(high_) +
                                          ", far more intervals than there are rows");
        out_.first_ = low_;
        out_.count_ = static_cast<std::size_t>(count);
        std::uint8_t used = 0;
        for (const Row& r : rows_) used = static_cast<std::uint8_t>(used | r.given);
        for (std::size_t q = 0; q < quantity_count; ++q)
            if ((used >> q & 1U) != 0) {
                out_.matrix_[q].counts.assign(channels * out_.count_, 0);
                out_.matrix_[q].present.assign(channels * out_.count_, 0);
            }
        std::vector<Instant> before(channels, begin_of_time);
        for (const Row& r : rows_) lay(r, before[r.channel]);
        for (CountMatrix& m : out_.matrix_)
            for (std::size_t i = 0; i < m.present.size(); ++i)
                if (m.present[i] == torn) m.present[i] = 0, m.counts[i] = 0;
        return std::move(out_);
    }

private:
    static constexpr std::uint8_t torn = 2;  // rows contradict one another

    static std::string stamp(Instant at) {
        if (!writable(at)) return std::to_string(at);
        std::string out;
        append_instant(out, at);
        return out;
    }

    void lay(const Row& r, Instant& before) {
        Arrival& arrival = out_.arrivals_[r.channel];
        ++arrival.rows;
        if (r.at < before) ++arrival.out_of_order;
        before = std::max(before, r.at);
        const auto t = static_cast<std::size_t>((Wide{r.at} - low_) / out_.rule_.duration);
        const std::size_t i = r.channel * out_.count_ + t;
        bool again = false, differs = false;
        for (std::size_t q = 0; q < quantity_count; ++q) {
            if ((r.given >> q & 1U) == 0) continue;
            std::int64_t& cell = out_.matrix_[q].counts[i];
            std::uint8_t& present = out_.matrix_[q].present[i];
            if (present == 0) {
                cell = r.value[q];
                present = 1;
                continue;
            }
            again = true;
            if (cell == r.value[q]) continue;
            differs = true;
            present = torn;
            out_.conflicts_.push_back(
                {r.channel, static_cast<std::uint32_t>(t), static_cast<Quantity>(q), cell, r.value[q]});
        }
        if (again && !differs) ++arrival.repeated;
    }

    Intervals out_;
    std::unordered_map<std::string, std::uint32_t> index_;
    std::string key_;
    std::uint32_t last_ = 0;
    std::vector<Row> rows_;
    Instant low_ = 0, high_ = 0;
};

namespace {

constexpr std::string_view not_an_id = "is not an id: 1 to 64 of A-Z a-z 0-9 . _ -";
constexpr std::string_view negative = "a register of one direction cannot be negative";

bool one_way(Quantity q) noexcept { return q == Quantity::import_p || q == Quantity::export_p; }

/// Columns of the CSV form.
struct Header {
    int channel = -1, at = -1;
    std::array<int, quantity_count> quantity{-1, -1, -1, -1};
};

Header read_header(const CsvScanner& csv, bool end_stamped) {
    ErrorList errors;
    Header h;
    const auto take = [&](int& slot, std::size_t i) {
        if (slot >= 0)
            errors.add(csv.error(BLN_E_DUPLICATE, "column " + std::string(csv.cell(i)) + " stands twice", i));
        slot = static_cast<int>(i);
    };
    const std::string_view time = end_stamped ? "end" : "start", other = end_stamped ? "start" : "end";
    for (std::size_t i = 0; i < csv.size(); ++i) {
        const std::string_view name = csv.cell(i);
        int* slot = nullptr;
        if (name == "channel") slot = &h.channel;
        if (name == time) slot = &h.at;
        for (std::size_t q = 0; q < quantity_count; ++q)
            if (name == word_of(static_cast<Quantity>(q))) slot = &h.quantity[q];
        if (slot != nullptr) {
            take(*slot, i);
            continue;
        }
        bool unit = false;
        for (std::size_t q = 0; q < quantity_count; ++q) {
            const std::string stem = std::string(word_of(static_cast<Quantity>(q))) + "_";
            unit = unit || name.substr(0, stem.size()) == stem;
        }
        if (name == other)
            errors.add(csv.error(
                BLN_E_FIELD, "the file says " + std::string(other) + " where the rule says " + std::string(time), i));
        else if (unit)
            errors.add(
                csv.error(BLN_E_UNIT, "column " + std::string(name) + ": energies are counts, without a unit", i));
        else
            errors.add(csv.error(BLN_E_FIELD, "there is no column \"" + std::string(name) + "\"", i));
    }
    if (h.channel < 0) errors.add(csv.error(BLN_E_FIELD, "there is no column channel", csv.size()));
    if (h.at < 0) errors.add(csv.error(BLN_E_FIELD, "there is no column " + std::string(time), csv.size()));
    errors.raise();
    return h;
}

/// Reads the counts of one record; false when an error was added.
bool read_counts(const CsvScanner& csv, const Header& h, IntervalBuilder::Row& row, ErrorList& errors) {
    bool good = true;
    for (std::size_t q = 0; q < quantity_count; ++q) {
        if (h.quantity[q] < 0) continue;
        const auto at = static_cast<std::size_t>(h.quantity[q]);
        const std::string_view cell = csv.cell(at);
        if (cell.empty()) continue;
        std::string complaint;
        bln_status status = read_integer(cell, row.value[q]);
        if (status != BLN_OK) {
            complaint = "\"" + std::string(cell.substr(0, 40)) +
                        (status == BLN_E_OVERFLOW ? "\" needs more than 64 bits" : "\" is not an integer count");
        } else if (row.value[q] < 0 && one_way(static_cast<Quantity>(q))) {
            status = BLN_E_VALUE;
            complaint = negative;
        }
        if (status != BLN_OK) {
            errors.add(csv.error(status, std::move(complaint), at, csv.cell(static_cast<std::size_t>(h.channel))));
            good = false;
        }
        row.given = static_cast<std::uint8_t>(row.given | 1U << q);
    }
    return good;
}

}  // namespace

Intervals intervals_from_columns(const IntervalRule& rule, std::span<const std::string_view> ids, std::size_t rows,
                                 const IntervalColumns& columns) {
    IntervalBuilder builder(rule);
    ErrorList errors;
    for (std::size_t i = 0; i < ids.size(); ++i) {
        if (!valid_id(ids[i]))
            errors.row(BLN_E_VALUE, "\"" + std::string(ids[i]) + "\" " + std::string(not_an_id), i + 1, ids[i]);
        else if (!builder.add_channel(ids[i]))
            errors.row(BLN_E_DUPLICATE, "channel " + std::string(ids[i]) + " stands twice in the list", i + 1, ids[i]);
    }
    errors.raise();
    if (rows > 0 && (!columns.channel.given() || !columns.at.given()))
        throw Failure(BLN_E_ARGUMENT, "the columns channel and at are required");
    (void)columns.channel.counts();
    (void)columns.at.instants();
    for (const Column& c : columns.quantity) (void)c.counts();

    builder.reserve(rows);
    for (std::size_t i = 0; i < rows; ++i) {
        IntervalBuilder::Row row;
        if (!columns.channel.has(i) || !columns.at.has(i)) {
            errors.row(BLN_E_VALUE, "the row names no channel or no time", i + 1);
            continue;
        }
        const std::int64_t c = columns.channel.integer(i);
        if (c < 0 || static_cast<std::uint64_t>(c) >= ids.size()) {
            errors.row(BLN_E_VALUE, "channel " + std::to_string(c) + " is not a position in the list of ids", i + 1);
            continue;
        }
        row.channel = static_cast<std::uint32_t>(c);
        row.at = columns.at.integer(i);
        bool good = true;
        for (std::size_t q = 0; q < quantity_count; ++q) {
            if (!columns.quantity[q].has(i)) continue;
            row.value[q] = columns.quantity[q].integer(i);
            row.given = static_cast<std::uint8_t>(row.given | 1U << q);
            if (row.value[q] < 0 && one_way(static_cast<Quantity>(q))) {
                errors.row(BLN_E_VALUE, std::string(negative), i + 1, ids[row.channel]);
                good = false;
            }
        }
        if (!good) continue;
        if (const char* complaint = builder.place(row.at); complaint != nullptr)
            errors.row(BLN_E_VALUE, complaint, i + 1, ids[row.channel]);
        else
            builder.add(row);
    }
    errors.raise();
    return builder.build();
}

Intervals intervals_from_csv(const IntervalRule& rule, std::string_view text, std::uint64_t max_bytes) {
    CsvScanner csv(text, max_bytes);
    if (!csv.next()) throw Failure(ErrorItem{BLN_E_SYNTAX, "the text is empty: there is no header", {}, {}, 1, 1, 0});
    const Header header = read_header(csv, rule.end_stamped);
    const std::size_t width = csv.size();
    IntervalBuilder builder(rule);
    ErrorList errors;
    builder.reserve(text.size() / 48);
    const auto channel_at = static_cast<std::size_t>(header.channel), time_at = static_cast<std::size_t>(header.at);
    while (csv.next()) {
        if (csv.size() != width) {
            errors.add(csv.error(
                BLN_E_VALUE,
                "the record has " + std::to_string(csv.size()) + " cells, the header " + std::to_string(width), 0));
            continue;
        }
        const std::string_view id = csv.cell(channel_at), time = csv.cell(time_at);
        IntervalBuilder::Row row;
        bool good = valid_id(id);
        if (!good)
            errors.add(csv.error(BLN_E_VALUE, "\"" + std::string(id.substr(0, 80)) + "\" " + std::string(not_an_id),
                                 channel_at));
        if (const std::string_view why = read_instant(time, row.at); !why.empty()) {
            errors.add(csv.error(BLN_E_VALUE, "\"" + std::string(time.substr(0, 40)) + "\": " + std::string(why),
                                 time_at, id));
            good = false;
        }
        good = read_counts(csv, header, row, errors) && good;
        if (!good) continue;
        if (const char* complaint = builder.place(row.at); complaint != nullptr) {
            errors.add(csv.error(BLN_E_VALUE, complaint, time_at, id));
            continue;
        }
        row.channel = builder.channel(id);
        builder.add(row);
    }
    errors.raise();
    return builder.build();
}

}  // namespace bln
