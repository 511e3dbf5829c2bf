// A stream of bytes that becomes intervals: memory grows with the energy in it, not with the text.
#pragma once

#include <memory>
#include <string>
#include <string_view>

#include "energy/interval_layout.hpp"
#include "energy/interval_reader.hpp"

namespace bln {

class IntervalCollector {
public:
    /// @param map  JSON of a column map; empty: our names. Throws what ColumnMap and RegisterRule throw.
    IntervalCollector(const IntervalRule& rule, std::string_view map, std::uint64_t max_bytes);
    /// Throws what IntervalReader::next() and IntervalBuilder throw.
    void push(std::string_view block);
    /// Throws the errors of all cells; otherwise what was read. Of no use after that.
    [[nodiscard]] Intervals finish();
    [[nodiscard]] const IntervalReader& reader() const noexcept { return *reader_; }

private:
    void drain();
    IntervalRule rule_;
    std::string registers_;
    std::unique_ptr<IntervalReader> reader_;
    std::unique_ptr<IntervalLayout> layout_;
    RowBlock rows_;
};

}  // namespace bln
