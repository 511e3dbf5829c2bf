// Interval files as a stream.
#include <optional>

#include "capi/energy.hpp"
#include "capi/sized.hpp"
#include "energy/interval_collector.hpp"

using namespace bln;
using namespace bln::capi;

struct bln_interval_reader {
    std::optional<IntervalCollector> collector;  // keep 1
    std::optional<IntervalReader> reader;        // keep 0
    RowBlock rows;                               // of the reader, from `next` on
    std::size_t next = 0;
    bool ended = false, broken = false;
    [[nodiscard]] const IntervalReader& state() const noexcept { return collector ? collector->reader() : *reader; }
};

namespace {

/// Runs @p body; an error leaves the reader of no use.
template <class Body>
void reading(bln_interval_reader& reader, Body&& body) {
    if (reader.broken) throw Failure(BLN_E_STATE, "the text could not be read further");
    reader.broken = true;
    std::forward<Body>(body)();
    reader.broken = false;
}

/// One wanted column, or none.
std::optional<OutColumn> wanted(const bln_out_column& into) {
    if (into.data == nullptr) return std::nullopt;
    OutColumn column(into);
    if (!column.whole()) throw Failure(BLN_E_TYPE, "rows go into columns of int64");
    return column;
}

void hand_rows(const RowBlock& rows, std::size_t from, std::size_t n, const bln_interval_rows& into, Quantities used) {
    const auto channel = wanted(into.channel), at = wanted(into.at), line = wanted(into.line),
               quality = wanted(into.quality);
    for (std::size_t i = 0; i < n; ++i) {
        if (channel) channel->put(i, std::int64_t{rows.channel[from + i]});
        if (at) at->put(i, rows.at[from + i]);
        if (line) line->put(i, static_cast<std::int64_t>(rows.line[from + i]));
        if (quality) {
            const std::uint8_t code = rows.quality[from + i];
            quality->put(i, std::int64_t{code == no_quality ? std::uint8_t{0} : code});
            quality->present(i, code != no_quality);
        }
    }
    for (std::size_t q = 0; q < quantity_count; ++q) {
        const auto column = wanted(into.quantity[q]);
        if (!column) continue;
        const bool there = (used >> q & 1U) != 0;
        for (std::size_t i = 0; i < n; ++i) {
            const bool given = there && (rows.given[from + i] >> q & 1U) != 0;
            column->put(i, given ? rows.value[q][from + i] : 0);
            column->present(i, given);
        }
    }
}

}  // namespace

extern "C" {

bln_status bln_interval_reader_new(const bln_interval_rule* rule, const char* map, size_t map_size, int32_t keep,
                                   const bln_limits* limits, bln_interval_reader** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const IntervalRule known = IntervalRule::of(take(rule, "rule"));
        const std::string_view columns = required_bytes(map, map_size, "map");
        const std::uint64_t most = limits == nullptr ? UINT64_MAX : most_bytes(limits);
        auto made = std::make_unique<bln_interval_reader>();
        if (keep != 0)
            made->collector.emplace(known, columns, most);
        else
            made->reader.emplace(known, columns.empty() ? ColumnMap::plain() : ColumnMap::read(columns), most);
        return made;
    });
}

bln_status bln_interval_reader_push(bln_interval_reader* reader, const char* bytes, size_t n,
                                    bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        bln_interval_reader& r = required(reader, "reader");
        const std::string_view block = required_bytes(bytes, n, "bytes");
        if (r.ended) throw Failure(BLN_E_STATE, "the end of the text was told already");
        reading(r, [&] { r.collector ? r.collector->push(block) : r.reader->push(block); });
    });
}

bln_status bln_interval_reader_finish(bln_interval_reader* reader, bln_intervals** out, bln_error** err) BLN_NOEXCEPT {
    if (out != nullptr) *out = nullptr;
    return guarded(err, [&] {
        bln_interval_reader& r = required(reader, "reader");
        if (r.ended) throw Failure(BLN_E_STATE, "the end of the text was told already");
        if (r.collector.has_value() != (out != nullptr))
            throw Failure(BLN_E_ARGUMENT,
                          r.collector ? "out is NULL" : "a reader that keeps nothing makes no intervals");
        reading(r, [&] {
            if (r.collector)
                *out = holding<bln_intervals>(std::make_shared<const Intervals>(r.collector->finish())).release();
            else
                r.reader->finish();
        });
        r.ended = true;
    });
}

bln_status bln_interval_reader_take(bln_interval_reader* reader, const bln_interval_rows* into, size_t room,
                                    size_t* taken, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        bln_interval_reader& r = required(reader, "reader");
        const bln_interval_rows given = take(into, "into");
        required(taken, "taken") = 0;
        if (!r.reader) throw Failure(BLN_E_STATE, "a reader that keeps its rows hands none out");
        if (room == 0) throw Failure(BLN_E_RANGE, "there is room for no row");
        if (r.next >= r.rows.size()) {
            reading(r, [&] {
                r.next = 0;
                r.reader->next(r.rows);
            });
        }
        const std::size_t n = std::min(room, r.rows.size() - r.next);
        hand_rows(r.rows, r.next, n, given, r.reader->used());
        r.next += n;
        *taken = n;
    });
}

size_t bln_interval_reader_channels(const bln_interval_reader* reader) BLN_NOEXCEPT {
    return reader == nullptr ? 0 : reader->state().channels().size();
}
const char* bln_interval_reader_channel(const bln_interval_reader* reader, size_t i) BLN_NOEXCEPT {
    return i >= bln_interval_reader_channels(reader) ? nullptr : reader->state().channels()[i].c_str();
}
uint64_t bln_interval_reader_refused(const bln_interval_reader* reader) BLN_NOEXCEPT {
    return reader == nullptr ? 0 : reader->state().refused();
}
bln_status bln_interval_reader_check(const bln_interval_reader* reader, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        ErrorList errors = required(reader, "reader").state().errors();
        errors.raise();
    });
}
void bln_interval_reader_free(bln_interval_reader* reader) BLN_NOEXCEPT { delete reader; }

}  // extern "C"
