// Intervals of channel energy.
#include <algorithm>

#include "capi/energy.hpp"
#include "capi/sized.hpp"
#include "energy/column_map.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

std::vector<std::string_view> names_of(const char* const* ids, std::size_t count) {
    std::vector<std::string_view> names(count);
    for (std::size_t i = 0; i < count; ++i) names[i] = required_text((&required(ids, "ids"))[i], "an id");
    return names;
}

IntervalColumns columns_of(const bln_interval_columns& given) {
    return {Column(given.channel, "channel"),
            Column(given.at, "at"),
            {Column(given.net_p, "net_p"), Column(given.net_q, "net_q"), Column(given.import_p, "import_p"),
             Column(given.export_p, "export_p"), Column(given.import_q, "import_q"), Column(given.export_q, "export_q"),
             Column(given.q1, "q1"), Column(given.q2, "q2"), Column(given.q3, "q3"), Column(given.q4, "q4"),
             Column(given.apparent, "apparent")},
            Column(given.quality, "quality")};
}

Quantity quantity_at(std::int32_t quantity) {
    if (quantity < 0 || static_cast<std::size_t>(quantity) >= quantity_count)
        throw Failure(BLN_E_RANGE, "there is no quantity " + std::to_string(quantity));
    return static_cast<Quantity>(quantity);
}

/// Runs @p body; says of what it throws that the map is to blame.
template <class Body>
auto about(const char* subject, Body&& body) {
    try {
        return body();
    } catch (Failure& f) {
        for (ErrorItem& item : f.items()) item.subject = subject;
        throw;
    }
}

/// A rule for registers must not be empty: that would mean energy.
std::string_view rule_text(const char* json, std::size_t n) {
    const std::string_view text = required_bytes(json, n, "registers");
    return text.empty() ? std::string_view("{}") : text;
}

}  // namespace

extern "C" {

bln_status bln_intervals_new(const bln_interval_rule* rule, const char* const* ids, size_t id_count, size_t n,
                             const bln_interval_columns* columns, bln_intervals** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const IntervalRule known = IntervalRule::of(take(rule, "rule"));
        const bln_interval_columns given = take(columns, "columns");
        const std::vector<std::string_view> names = names_of(ids, id_count);
        return holding<bln_intervals>(
            std::make_shared<const Intervals>(intervals_from_columns(known, names, n, columns_of(given))));
    });
}

bln_status bln_intervals_new_registers(const bln_interval_rule* rule, const char* registers, size_t registers_size,
                                       const char* const* ids, size_t id_count, size_t n,
                                       const bln_interval_columns* columns, bln_intervals** out,
                                       bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const IntervalRule known = IntervalRule::of(take(rule, "rule"));
        const bln_interval_columns given = take(columns, "columns");
        const std::vector<std::string_view> names = names_of(ids, id_count);
        return holding<bln_intervals>(std::make_shared<const Intervals>(
            intervals_from_columns(known, names, n, columns_of(given), rule_text(registers, registers_size))));
    });
}

bln_status bln_intervals_new_wide(const bln_interval_rule* rule, int32_t quantity, const char* const* ids,
                                  size_t id_count, size_t n, const bln_column* at, const bln_column* counts,
                                  const bln_column* quality, bln_intervals** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const IntervalRule known = IntervalRule::of(take(rule, "rule"));
        const Quantity q = quantity_at(quantity);
        const std::vector<std::string_view> names = names_of(ids, id_count);
        std::vector<Column> values, codes;
        for (std::size_t i = 0; i < id_count; ++i) {
            values.emplace_back((&required(counts, "counts"))[i], names[i]);
            if (quality != nullptr) codes.emplace_back(quality[i], names[i]);
        }
        return holding<bln_intervals>(std::make_shared<const Intervals>(
            intervals_from_wide(known, names, n, Column(required(at, "at"), "at"), q, values, codes)));
    });
}

bln_status bln_intervals_read_csv_map(const bln_interval_rule* rule, const char* map, size_t map_size, const char* csv,
                                      size_t n, const bln_limits* limits, bln_intervals** out,
                                      bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const IntervalRule known = IntervalRule::of(take(rule, "rule"));
        const std::string_view columns = required_bytes(map, map_size, "map");
        if (!columns.empty()) about("map", [&] { return ColumnMap::read(columns); });
        return holding<bln_intervals>(std::make_shared<const Intervals>(
            intervals_from_csv(known, required_bytes(csv, n, "csv"), most_bytes(limits), columns)));
    });
}

bln_status bln_intervals_read_csv(const bln_interval_rule* rule, const char* csv, size_t n, const bln_limits* limits,
                                  bln_intervals** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const IntervalRule known = IntervalRule::of(take(rule, "rule"));
        return holding<bln_intervals>(std::make_shared<const Intervals>(
            intervals_from_csv(known, required_bytes(csv, n, "csv"), most_bytes(limits))));
    });
}

size_t bln_intervals_channels(const bln_intervals* intervals) BLN_NOEXCEPT {
    return intervals == nullptr ? 0 : intervals->core->channels().size();
}
const char* bln_intervals_channel(const bln_intervals* intervals, size_t i) BLN_NOEXCEPT {
    return i >= bln_intervals_channels(intervals) ? nullptr : intervals->core->channels()[i].c_str();
}
size_t bln_intervals_count(const bln_intervals* intervals) BLN_NOEXCEPT {
    return intervals == nullptr ? 0 : intervals->core->count();
}
bln_instant bln_intervals_first(const bln_intervals* intervals) BLN_NOEXCEPT {
    return intervals == nullptr ? 0 : intervals->core->first();
}
bln_status bln_intervals_series(const bln_intervals* intervals, size_t channel, int32_t quantity,
                                const bln_out_column* into, size_t n, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Intervals& x = *required(intervals, "intervals").core;
        (void)item_at(x.channels(), channel, "channel");
        const CountMatrix& m = x.of(quantity_at(quantity));
        const OutColumn column(required(into, "into"));
        if (!column.whole()) throw Failure(BLN_E_TYPE, "counts go into a column of int64");
        if (n < x.count()) throw Failure(BLN_E_RANGE, "there are " + std::to_string(x.count()) + " intervals");
        if (!m.given()) throw Failure(BLN_E_ABSENT, "no row has this quantity");
        for (std::size_t t = 0; t < x.count(); ++t) {
            const std::size_t i = channel * x.count() + t;
            column.put(t, m.counts[i]);
            column.present(t, m.present[i] != 0);
        }
    });
}

bln_status bln_intervals_quality(const bln_intervals* intervals, size_t channel, uint8_t* out, size_t n,
                                 bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Intervals& x = *required(intervals, "intervals").core;
        (void)item_at(x.channels(), channel, "channel");
        if (n < x.count()) throw Failure(BLN_E_RANGE, "there are " + std::to_string(x.count()) + " intervals");
        if (x.quality().empty()) throw Failure(BLN_E_ABSENT, "no row names a quality code");
        const auto codes = x.quality().subspan(channel * x.count(), x.count());
        std::copy(codes.begin(), codes.end(), &required(out, "out"));
    });
}

bln_status bln_intervals_arrival(const bln_intervals* intervals, size_t i, bln_interval_arrival* out,
                                 bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Arrival& a = item_at(required(intervals, "intervals").core->arrivals(), i, "channel");
        hand_out(out, bln_interval_arrival{0, 0, a.rows, a.repeated, a.out_of_order}, "out");
    });
}

size_t bln_intervals_notes(const bln_intervals* intervals) BLN_NOEXCEPT {
    if (intervals == nullptr) return 0;
    const Intervals& x = *intervals->core;
    return x.conflicts().size() + x.steps().size() + (x.cut_off() ? 1 : 0);
}

bln_status bln_intervals_note(const bln_intervals* intervals, size_t i, bln_interval_note* out,
                              bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Intervals& x = *required(intervals, "intervals").core;
        bln_interval_note note{0, BLN_NOTE_CUT_OFF, "", -1, 0, 0, 0, 0, 0, 0};
        const std::size_t n = bln_intervals_notes(intervals), conflicts = x.conflicts().size();
        if (i >= n) throw Failure(BLN_E_RANGE, "note " + std::to_string(i) + ": there are " + std::to_string(n));
        if (i < conflicts) {
            const Conflict& c = x.conflicts()[i];
            const Instant from = x.start(c.interval);
            note = {0,
                    BLN_NOTE_CONFLICT,
                    x.channels()[c.channel].c_str(),
                    static_cast<std::int32_t>(c.quantity),
                    0,
                    from,
                    from + x.rule().duration,
                    c.first,
                    c.second,
                    0};
        } else if (i - conflicts < x.steps().size()) {
            const RegisterStep& s = x.steps()[i - conflicts];
            note = {0,
                    static_cast<std::int32_t>(s.kind),
                    x.channels()[s.channel].c_str(),
                    static_cast<std::int32_t>(s.quantity),
                    0,
                    s.from,
                    s.to,
                    s.before,
                    s.after,
                    s.energy};
        }
        hand_out(out, note, "out");
    });
}

void bln_intervals_free(bln_intervals* intervals) BLN_NOEXCEPT { delete intervals; }

}  // extern "C"
