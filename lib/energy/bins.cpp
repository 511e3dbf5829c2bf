#include "energy/bins.hpp"

#include <algorithm>
#include <limits>
#include <numeric>

#include "power/wide.hpp"
#include "site/json_text.hpp"

namespace bln::energy {
namespace {

std::int64_t fitted(Wide x) {
    if (x > std::numeric_limits<std::int64_t>::max() || x < std::numeric_limits<std::int64_t>::min())
        throw Failure(BLN_E_OVERFLOW, "the energy of a bin needs more than 64 bits");
    return static_cast<std::int64_t>(x);
}

class Division {
public:
    Division(const TimeOfUse& table, const Zone& zone, const EqualSeries& series, Straddle straddle)
        : table_(table), zone_(zone), series_(series), straddle_(straddle) {
        for (const std::string& name : table.bins()) out_.rows.emplace_back().name = name;
        whole_.resize(out_.rows.size());
        parts_.resize(out_.rows.size());
        time_.resize(out_.rows.size());
    }

    Bins run() {
        series_.check();
        out_.duration = series_.duration;
        out_.from = series_.first;
        out_.to = series_.end();
        out_.intervals = series_.count;
        if (series_.count > 0) now_ = bin_at(table_, zone_, series_.first);
        for (std::size_t i = 0; i < series_.count; ++i) interval(i);
        round();
        out_.zone = zone_.name();
        out_.zone_version = zone_.version();
        out_.zone_digest = zone_.digest();
        out_.table = table_.name();
        out_.table_digest = table_.digest();
        return std::move(out_);
    }

private:
    void interval(std::size_t i) {
        const Instant from = series_.start(i);
        const Instant to = from + series_.duration;
        const bool missing = !series_.counts.has(i);
        const std::int64_t count = series_.counts.integer(i);
        total_ += count;
        out_.missing += missing ? 1 : 0;
        if (now_.to <= from) now_ = bin_at(table_, zone_, from);
        if (to <= now_.to) {
            add_whole(now_.bin, count, missing);
            return;
        }
        std::fill(time_.begin(), time_.end(), 0);
        const std::uint16_t first = now_.bin;
        bool one = true;
        for (Instant at = from; at < to;) {
            if (now_.to <= at) now_ = bin_at(table_, zone_, at);
            one = one && now_.bin == first;
            const Instant end = std::min(now_.to, to);
            time_[now_.bin] += end - at;
            at = end;
        }
        if (one) {
            add_whole(first, count, missing);
            return;
        }
        if (straddle_ == Straddle::refuse)
            throw Failure(BLN_E_VALUE, "the interval from " + instant_text(from) +
                                           " straddles a boundary of time-of-use table \"" + table_.name() + "\"");
        ++out_.divided;
        for (std::size_t b = 0; b < time_.size(); ++b) {
            if (time_[b] == 0) continue;
            if (__builtin_add_overflow(parts_[b], Wide{count} * time_[b], &parts_[b]))
                throw Failure(BLN_E_OVERFLOW, "the energy of a bin needs more than 64 bits");
            BinRow& row = out_.rows[b];
            ++row.divided;
            row.missing += missing ? 1 : 0;
            row.time_us += time_[b];
        }
    }
    void add_whole(std::uint16_t bin, std::int64_t count, bool missing) {
        whole_[bin] += count;
        BinRow& row = out_.rows[bin];
        ++row.intervals;
        row.missing += missing ? 1 : 0;
        row.time_us += series_.duration;
    }
    /// Largest remainder, ties by name ascending, floor towards minus infinity: the bins are the total.
    void round() {
        out_.total = fitted(total_);
        Wide given = 0;
        for (std::size_t b = 0; b < out_.rows.size(); ++b) {
            Wide whole = parts_[b] / series_.duration;
            Wide rest = parts_[b] % series_.duration;
            if (rest < 0) {
                rest += series_.duration;
                --whole;
            }
            BinRow& row = out_.rows[b];
            row.whole = row.count = fitted(whole_[b] + whole);
            row.num = static_cast<std::int64_t>(rest);
            given += row.whole;
        }
        std::vector<std::size_t> order(out_.rows.size());
        std::iota(order.begin(), order.end(), std::size_t{0});
        std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
            const BinRow &x = out_.rows[a], &y = out_.rows[b];
            return x.num != y.num ? x.num > y.num : x.name < y.name;
        });
        for (std::size_t i = 0; given < total_; ++i, ++given) ++out_.rows[order[i]].count;
    }

    const TimeOfUse& table_;
    const Zone& zone_;
    const EqualSeries& series_;
    Straddle straddle_;
    Bins out_;
    BinAt now_;
    Wide total_ = 0;
    std::vector<Wide> whole_, parts_;  // parts in counts times microseconds
    std::vector<std::int64_t> time_;
};

void member(std::string& to, std::string_view name, std::string_view value) {
    to += ',';
    append_json_string(to, name);
    to += ':';
    append_json_string(to, value);
}
void member(std::string& to, std::string_view name, std::uint64_t value) {
    to += ',';
    append_json_string(to, name);
    to += ':' + std::to_string(value);
}

}  // namespace

BinAt bin_at(const TimeOfUse& table, const Zone& zone, Instant at) {
    const Wall w = zone.wall(at);
    const TimeOfUse::Stretch s = table.at(w);
    return {s.bin, std::min(at + (s.to - w), zone.next_change(at))};
}

Bins divide_by_time_of_use(const TimeOfUse& table, const Zone& zone, const EqualSeries& series, Straddle straddle) {
    return Division(table, zone, series, straddle).run();
}

std::string bins_json(const Bins& b, Rational quantum) {
    std::string out = "{\"library\":" + json_string(BLN_VERSION_TEXT);
    member(out, "zone", b.zone);
    member(out, "zone_version", b.zone_version);
    member(out, "zone_digest", b.zone_digest);
    member(out, "table", b.table);
    member(out, "table_digest", b.table_digest);
    member(out, "from", instant_text(b.from));
    member(out, "to", instant_text(b.to));
    member(out, "quantum_wh", quantum.text());
    member(out, "total", std::to_string(b.total));
    member(out, "intervals", b.intervals);
    member(out, "divided", b.divided);
    member(out, "missing", b.missing);
    out += ",\"bins\":[";
    bool first = true;
    for (const BinRow& r : b.rows) {
        out += first ? "{\"bin\":" : ",{\"bin\":";
        first = false;
        append_json_string(out, r.name);
        member(out, "count", std::to_string(r.count));
        std::string exact = std::to_string(r.whole);
        if (r.num != 0) exact += " + " + Rational(r.num, b.duration).text();
        member(out, "exact", exact);
        member(out, "intervals", r.intervals);
        member(out, "divided", r.divided);
        member(out, "missing", r.missing);
        member(out, "hours", Rational(r.time_us, 3600 * second_us).text());
        out += '}';
    }
    return out += "]}";
}

}  // namespace bln::energy
