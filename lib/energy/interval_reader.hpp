// Interval files as a stream: bytes in, cut anywhere; blocks of rows out. Memory does not grow with the file.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "energy/cells.hpp"
#include "energy/column_map.hpp"
#include "energy/interval_builder.hpp"
#include "site/csv_stream.hpp"
#include "site/error_list.hpp"

namespace bln {

/// Channels by the name that a file gives them; numbers in the order of arrival.
class ChannelIndex {
public:
    /// Number of a channel by name, or -1 when it is new.
    [[nodiscard]] std::int64_t find(std::string_view name) noexcept {
        // Rows of one channel or of one instant usually follow one another.
        if (last_ < names_.size() && names_[last_] == name) return static_cast<std::int64_t>(last_);
        if (last_ + 1 < names_.size() && names_[last_ + 1] == name) return static_cast<std::int64_t>(++last_);
        if (!names_.empty() && names_.front() == name) return static_cast<std::int64_t>(last_ = 0);
        const auto found = by_name_.find(name);
        return found == by_name_.end() ? -1 : static_cast<std::int64_t>(last_ = found->second);
    }
    /// Adds a name for an id; names of the same id get the same number.
    std::uint32_t add(std::string_view name, std::string_view id);
    [[nodiscard]] const std::vector<std::string>& ids() const noexcept { return ids_; }

private:
    struct Hash {
        using is_transparent = void;
        std::size_t operator()(std::string_view s) const noexcept { return std::hash<std::string_view>{}(s); }
    };
    using Map = std::unordered_map<std::string, std::uint32_t, Hash, std::equal_to<>>;
    std::vector<std::string> names_, ids_;  // names_[i] is the first name of ids_[i]
    Map by_name_, by_id_;
    std::size_t last_ = 0;
};

class IntervalReader {
public:
    /// Throws what ColumnMap and CsvStream throw.
    IntervalReader(const IntervalRule& rule, ColumnMap map, std::uint64_t max_bytes);

    /// Adds bytes. Throws BLN_E_SIZE.
    void push(std::string_view block) { csv_.push(block); }
    /// Nothing more comes.
    void finish() noexcept { csv_.finish(); }
    /// Fills @p rows with what can be read, about @p most rows (a record is never divided); false when there is
    /// nothing. Throws BLN_E_SYNTAX, BLN_E_ENCODING, and the errors of the header; bad records are left out, counted
    /// and listed instead.
    bool next(RowBlock& rows, std::size_t most = 4096);

    [[nodiscard]] Quantities used() const noexcept { return used_; }
    /// Whether the header has been read, so that used() is known.
    [[nodiscard]] bool begun() const noexcept { return width_ > 0; }
    [[nodiscard]] const std::vector<std::string>& channels() const noexcept { return channels_.ids(); }
    /// Cells or records that were refused, however many; errors() lists the first of them.
    [[nodiscard]] std::uint64_t refused() const noexcept { return refused_; }
    [[nodiscard]] const ErrorList& errors() const noexcept { return errors_; }
    [[nodiscard]] bool cut_off() const noexcept { return csv_.cut_off(); }

private:
    static constexpr std::size_t none = static_cast<std::size_t>(-1);
    static constexpr std::uint32_t new_channel = 0xFFFFFFFF;
    struct Cell {
        std::size_t at = none;
        Quantity quantity = Quantity::net_p;
    };
    /// The cells of one row: a whole record of a long file, or the columns of one channel of a wide one.
    struct Group {
        std::string name;  ///< of the channel; empty in a long file
        std::uint32_t channel = 0;
        std::size_t quality = none;
        std::vector<Cell> cells;
    };
    void read_header();
    void place_column(std::size_t i, std::string_view name, ErrorList& errors);
    Group& group_of(std::string_view channel);
    void read_record(RowBlock& rows);
    bool read_time(Instant& at);
    bool read_channel(std::uint32_t& channel);
    bool read_quality(std::size_t at, std::uint8_t& code);
    [[nodiscard]] std::string_view id_of(std::string_view name) const;
    bool read_group(const Group& group, std::uint32_t channel, Instant at, std::uint8_t quality, bool wanted,
                    RowBlock& rows);
    void refuse(bln_status status, std::string message, std::size_t cell, std::string_view subject = {});

    IntervalRule rule_;
    ColumnMap map_;
    CsvStream csv_;
    CountReader count_;
    TimeReader start_, end_;
    StartGrid grid_;
    ChannelIndex channels_;
    std::size_t width_ = 0, channel_at_ = none, start_at_ = none, end_at_ = none, quality_at_ = none;
    std::vector<Group> groups_;
    Quantities used_ = 0;
    std::uint64_t refused_ = 0;
    ErrorList errors_;
    std::string last_quality_;
    std::uint8_t last_code_ = no_quality;
};

}  // namespace bln
