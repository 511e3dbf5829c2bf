#include "energy/demand.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "power/wide.hpp"
#include "site/json_text.hpp"

namespace bln::energy {
namespace {

std::int64_t fitted(Wide x) {
    // The lowest number is left out so that the sum of two squares stays within 127 bits.
    if (x > std::numeric_limits<std::int64_t>::max() || x <= std::numeric_limits<std::int64_t>::min())
        throw Failure(BLN_E_OVERFLOW, "the energy of a window needs more than 64 bits");
    return static_cast<std::int64_t>(x);
}

/// The grid of steps: every local midnight and every multiple of a step after it. Where clocks are set by something
/// else than a multiple of the step, that instant cuts a step.
class Grid {
public:
    Grid(const Zone* zone, std::int64_t step) : zone_(zone), step_(step) {}
    [[nodiscard]] Instant at_or_before(Instant at) const {
        const Instant on_grid = at - time_of(wall(at)) % step_;
        if (zone_ == nullptr) return on_grid;
        const Instant change = zone_->next_change(on_grid);
        return change <= at && phase(change) != phase(change - 1) ? change : on_grid;
    }
    [[nodiscard]] Instant after(Instant edge) const {
        const Instant next = edge + step_ - time_of(wall(edge)) % step_;
        if (zone_ == nullptr) return next;
        const Instant change = zone_->next_change(edge);
        return change < next && phase(change) != phase(change - 1) ? change : next;
    }

private:
    [[nodiscard]] Wall wall(Instant at) const { return zone_ == nullptr ? at : zone_->wall(at); }
    [[nodiscard]] std::int64_t phase(Instant at) const { return Wall{zone_->at(at).offset} * second_us % step_; }
    const Zone* zone_;
    std::int64_t step_;
};

struct Step {
    Instant from = 0, to = 0;
    Wide p = 0, q = 0;
    bool complete = true, complete_q = true;
};

class Steps {
public:
    Steps(const DemandRule& rule, const EqualSeries& p, const Column& q) : rule_(rule), p_(p), q_(q) {}

    std::vector<Step> run() {
        std::vector<Step> out;
        if (p_.count == 0) return out;
        const Grid grid(rule_.zone, rule_.step);
        out.reserve(static_cast<std::size_t>((p_.end() - p_.first) / rule_.step + 2));
        for (Instant at = grid.at_or_before(p_.first); at < p_.end();) {
            const Instant next = grid.after(at);
            out.push_back(step(at, next));
            at = next;
        }
        return out;
    }

private:
    Step step(Instant from, Instant to) {
        Step s;
        s.from = from;
        s.to = to;
        const Instant begin = std::max(from, p_.first);
        const Instant end = std::min(to, p_.end());
        const bool aligned = (begin - p_.first) % p_.duration == 0 && (end - p_.first) % p_.duration == 0;
        const bool whole = to - from == rule_.step && begin == from && end == to;
        if (whole && !aligned)
            throw Failure(BLN_E_RANGE, "the step of demand from " + instant_text(from) +
                                           " does not begin and end with intervals: they are too long, or stand "
                                           "beside the grid of local time");
        if (!whole) s.complete = s.complete_q = false;
        const auto first = static_cast<std::size_t>((begin - p_.first) / p_.duration);
        const auto last = static_cast<std::size_t>((end - p_.first) / p_.duration);
        for (std::size_t i = first; i < last; ++i) {
            s.p += p_.counts.integer(i);
            s.complete = s.complete && p_.counts.has(i);
            if (!q_.given()) continue;
            s.q += q_.integer(i);
            s.complete_q = s.complete_q && q_.has(i);
        }
        s.complete_q = s.complete_q && s.complete && q_.given();
        return s;
    }
    const DemandRule& rule_;
    const EqualSeries& p_;
    const Column& q_;
};

void check(const DemandRule& rule, std::int64_t duration) {
    if (rule.window <= 0 || rule.window > day_us)
        throw Failure(BLN_E_RANGE, "a window of demand lies outside 1 microsecond to a day");
    if (rule.step <= 0 || rule.window % rule.step != 0)
        throw Failure(BLN_E_RANGE, "a window of demand is no multiple of its step");
    if (day_us % rule.step != 0) throw Failure(BLN_E_RANGE, "a day is no multiple of the step of demand");
    if (rule.step % duration != 0)
        throw Failure(BLN_E_RANGE, "the step of demand is no multiple of the intervals' duration");
}

}  // namespace

Demand::Demand(const DemandRule& rule, const EqualSeries& p, const Column& q)
    : window_(rule.window), step_(rule.step), quantum_(rule.quantum) {
    p.check();
    (void)q.counts();
    check(rule, p.duration);
    scale_ = rule.quantum * Rational(3600 * second_us, rule.window);
    reactive_ = q.given();
    if (rule.zone != nullptr) {
        zone_ = rule.zone->name();
        zone_version_ = rule.zone->version();
        zone_digest_ = rule.zone->digest();
    }
    const std::vector<Step> steps = Steps(rule, p, q).run();
    const auto n = static_cast<std::size_t>(rule.window / rule.step);
    if (steps.size() < n) return;
    windows_.reserve(steps.size() - n + 1);
    for (std::size_t i = 0; i + n <= steps.size(); ++i) {
        DemandWindow w{steps[i].from, steps[i + n - 1].to, 0, 0, true, true};
        Wide sum_p = 0, sum_q = 0;
        for (std::size_t k = i; k < i + n; ++k) {
            sum_p += steps[k].p;
            sum_q += steps[k].q;
            w.complete = w.complete && steps[k].complete;
            w.complete_q = w.complete_q && steps[k].complete_q;
        }
        w.p = fitted(sum_p);
        w.q = fitted(sum_q);
        windows_.push_back(w);
    }
}

double Demand::power(const DemandWindow& w, DemandKind kind) const noexcept {
    const long double scale = static_cast<long double>(scale_.num()) / static_cast<long double>(scale_.den());
    if (kind == DemandKind::active)
        return static_cast<double>(static_cast<long double>(Wide{w.p} * scale_.num()) /
                                   static_cast<long double>(scale_.den()));
    return static_cast<double>(std::sqrt(static_cast<long double>(Wide{w.p} * w.p + Wide{w.q} * w.q)) * scale);
}

template <class Counts>
Peak Demand::peak_of(DemandKind kind, Instant from, Instant to, const Counts& counts) const {
    if (kind == DemandKind::apparent && !reactive_)
        throw Failure(BLN_E_ABSENT, "there is no reactive energy: apparent demand needs it in every interval");
    Peak peak;
    const auto size = [kind](const DemandWindow& w) {
        return kind == DemandKind::active ? Wide{w.p} : Wide{w.p} * w.p + Wide{w.q} * w.q;
    };
    for (std::size_t i = 0; i < windows_.size(); ++i) {
        const DemandWindow& w = windows_[i];
        if (w.from < from || w.to > to || !counts(w, peak)) continue;
        if (!(kind == DemandKind::active ? w.complete : w.complete_q)) {
            ++peak.left_out;
            continue;
        }
        ++peak.billable;
        if (!peak.any || size(w) > size(windows_[peak.at])) {
            peak.any = true;
            peak.at = i;
        }
    }
    return peak;
}

Peak Demand::peak(DemandKind kind, Instant from, Instant to) const {
    return peak_of(kind, from, to, [](const DemandWindow&, Peak&) { return true; });
}

Peak Demand::peak_in_bin(DemandKind kind, Instant from, Instant to, const TimeOfUse& table, const Zone& zone,
                         std::size_t bin) const {
    BinAt now{0, begin_of_time};  // windows come in order of time, so the bin is looked up only where one ends
    return peak_of(kind, from, to, [&](const DemandWindow& w, Peak& peak) {
        if (now.to <= w.from) now = bin_at(table, zone, w.from);
        bool touches = now.bin == bin, whole = touches;
        for (BinAt next = now; next.to < w.to;) {
            next = bin_at(table, zone, next.to);
            touches = touches || next.bin == bin;
            whole = whole && next.bin == bin;
        }
        if (touches && !whole) ++peak.straddling;
        return whole;
    });
}

std::int64_t Demand::find(Instant from) const noexcept {
    const auto at = std::lower_bound(windows_.begin(), windows_.end(), from,
                                     [](const DemandWindow& w, Instant f) { return w.from < f; });
    return at == windows_.end() || at->from != from ? -1 : at - windows_.begin();
}

std::string Demand::json(Instant from, Instant to) const {
    std::string out = "{\"library\":" + json_string(BLN_VERSION_TEXT);
    const auto text = [&out](std::string_view name, const std::string& value) {
        out += ",\"" + std::string(name) + "\":" + json_string(value);
    };
    if (!zone_.empty()) {
        text("zone", zone_);
        text("zone_version", zone_version_);
        text("zone_digest", zone_digest_);
    }
    text("method", window_ == step_ ? "block" : "rolling");
    text("window_minutes", Rational(window_, 60 * second_us).text());
    text("step_minutes", Rational(step_, 60 * second_us).text());
    text("quantum_wh", quantum_.text());
    text("watts_of_a_count", scale_.text());
    const auto peak_of = [&](DemandKind kind, const char* unit) {
        const Peak p = peak(kind, from, to);
        out += ",\"windows\":" + std::to_string(p.billable) + ",\"left_out\":" + std::to_string(p.left_out);
        if (!p.any) return;
        const DemandWindow& w = windows_[p.at];
        text("from", instant_text(w.from));
        text("to", instant_text(w.to));
        text("p", std::to_string(w.p));
        if (kind == DemandKind::apparent) text("q", std::to_string(w.q));
        out += std::string(",\"") + unit + "\":" + json_number(power(w, kind));
    };
    out += ",\"active\":{\"definition\":\"energy of the window / its length\"";
    peak_of(DemandKind::active, "watts");
    out += '}';
    if (reactive_) {
        out += ",\"apparent\":{\"definition\":\"vector: root of P^2 + Q^2 of the window\"";
        peak_of(DemandKind::apparent, "voltamperes");
        out += '}';
    }
    return out += '}';
}

}  // namespace bln::energy
