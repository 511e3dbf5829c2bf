// Intervals of channel energy.
#include "capi/energy.hpp"
#include "capi/sized.hpp"

using namespace bln;
using namespace bln::capi;

extern "C" {

bln_status bln_intervals_new(const bln_interval_rule* rule, const char* const* ids, size_t id_count, size_t n,
                             const bln_interval_columns* columns, bln_intervals** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const IntervalRule known = IntervalRule::of(take(rule, "rule"));
        const bln_interval_columns given = take(columns, "columns");
        std::vector<std::string_view> names(id_count);
        for (std::size_t i = 0; i < id_count; ++i) names[i] = required_text((&required(ids, "ids"))[i], "an id");
        const IntervalColumns c{Column(given.channel, "channel"),
                                Column(given.at, "at"),
                                {Column(given.net_p, "net_p"), Column(given.net_q, "net_q"),
                                 Column(given.import_p, "import_p"), Column(given.export_p, "export_p")}};
        return holding<bln_intervals>(std::make_shared<const Intervals>(intervals_from_columns(known, names, n, c)));
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
void bln_intervals_free(bln_intervals* intervals) BLN_NOEXCEPT { delete intervals; }

}  // extern "C"
