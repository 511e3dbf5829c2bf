#include "energy/interval_collector.hpp"

namespace bln {

IntervalCollector::IntervalCollector(const IntervalRule& rule, std::string_view map, std::uint64_t max_bytes)
    : rule_(rule) {
    ColumnMap columns = map.empty() ? ColumnMap::plain() : ColumnMap::read(map);
    registers_ = columns.registers;
    if (!registers_.empty()) (void)RegisterRule::read(registers_);
    reader_ = std::make_unique<IntervalReader>(rule, std::move(columns), max_bytes);
}

void IntervalCollector::push(std::string_view block) {
    reader_->push(block);
    drain();
}

void IntervalCollector::drain() {
    while (reader_->next(rows_, block_rows)) {
        if (layout_ == nullptr) layout_ = std::make_unique<IntervalLayout>(rule_, reader_->used(), registers_);
        layout_->add(rows_);
    }
}

Intervals IntervalCollector::finish() {
    reader_->finish();
    drain();
    if (!reader_->begun())
        throw Failure(ErrorItem{BLN_E_SYNTAX, "the text is empty: there is no header", {}, {}, 1, 1, 0});
    ErrorList errors = reader_->errors();
    errors.raise();
    if (layout_ == nullptr) layout_ = std::make_unique<IntervalLayout>(rule_, reader_->used(), registers_);
    Intervals out = layout_->build(reader_->channels());
    out.cut_off_ = reader_->cut_off();
    return out;
}

Intervals intervals_from_csv(const IntervalRule& rule, std::string_view text, std::uint64_t max_bytes,
                             std::string_view map) {
    if (text.size() > max_bytes)
        throw Failure(BLN_E_SIZE, "the text has " + std::to_string(text.size()) + " bytes; the limit is " +
                                      std::to_string(max_bytes));
    IntervalCollector collector(rule, map, max_bytes);
    // Blocks that fit the second-level cache.
    constexpr std::size_t block = std::size_t{1} << 17;
    for (std::size_t at = 0; at < text.size(); at += block) collector.push(text.substr(at, block));
    return collector.finish();
}

}  // namespace bln
