#include "proof/evidence.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "proof/proof_policy.hpp"
#include "site/live_policy.hpp"

namespace bln::infer {
namespace {

constexpr double pi = std::numbers::pi, degree = pi / 180;

/// Part of the apparent power that the fundamental makes, with its probability. `acos(P/S)` is the angle of the
/// fundamental only without distortion: P/S = cos(phi) / sqrt(1 + THD^2).
struct Distortion {
    double factor, share;
};
std::span<const Distortion> distortion_of(Load load) noexcept {
    static constexpr Distortion clean[] = {{1, 0.9}, {0.98, 0.1}};
    static constexpr Distortion any[] = {{1, 0.55}, {0.97, 0.2}, {0.9, 0.15}, {0.75, 0.1}};
    const bool linear = load == Load::resistive || load == Load::motor || load == Load::light_motor ||
                        load == Load::corrected || load == Load::generation;
    return linear ? std::span<const Distortion>(clean) : std::span<const Distortion>(any);
}

struct Row {
    std::optional<double> volts, amps, watts, vars, apparent, factor, angle;
};

/// Smallest decimal step in which all of these numbers are whole, from 0.001 to 1000; 0 for finer ones.
double decimal_step(double v, double step) noexcept {
    while (step > 0) {
        const double n = v / step;
        if (std::abs(n - std::round(n)) <= 1e-6 * std::max(1.0, std::abs(n))) return step;
        step = step <= 0.001 ? 0 : step / 10;
    }
    return 0;
}

class Builder {
public:
    Builder(const ReadingContext& in, std::int32_t channel, double reference_volts, Load load)
        : in_(in), channel_(in.view.channel[static_cast<std::size_t>(channel)]), volts_(reference_volts), load_(load) {
        least_ = std::max(in.policy[key::load_percent] / 100 * rating_of(in.view, channel_), in.policy[key::load_amps]);
    }

    Sight run(std::span<const std::size_t> rows) {
        Sight out;
        watt_step_ = var_step_ = 1000;
        for (const std::size_t i : rows) {
            const Reading& r = in_.readings.rows()[i];
            if (const auto p = r.of(Measured::watts)) watt_step_ = decimal_step(*p, watt_step_);
            if (const auto q = r.of(Measured::vars)) var_step_ = decimal_step(*q, var_step_);
        }
        // One or two numbers say little about the step of the display: never trust more than a hundredth.
        for (const std::size_t i : rows) {
            const Reading& r = in_.readings.rows()[i];
            if (in_.rows.contradicts[i] || contradicts(r)) {
                out.contradicted = true;
                continue;
            }
            if (const auto v = r.of(Measured::volts)) {
                out.volts = *v;
                if (volts_ > 0 && *v < 0.2 * volts_) out.dead_voltage = true;
            }
            Observation o = observe(r);
            o.row = static_cast<std::int64_t>(i);
            out.read = true;
            out.telling = out.telling || o.angles > 0;
            out.loaded = out.loaded || (o.loaded && o.angles > 0);
            if (o.loaded && o.angles > 0) {
                const double sd = o.angle_error, odd = in_.policy[key::odd_share];
                const double one = in_.policy[key::one_degrees] * degree,
                             similar = in_.policy[key::similar_degrees] * degree;
                out.one.multiply(o.each_angle(), o.each_weight(), std::hypot(one, sd), odd);
                out.similar.multiply(o.each_angle(), o.each_weight(), std::hypot(similar, sd), odd);
            }
            out.seen.push_back(o);
        }
        return out;
    }

private:
    [[nodiscard]] bool contradicts(const Reading& r) const noexcept {
        const double part = in_.policy[key::contradiction_percent] / 100;
        const auto p = r.of(Measured::watts), q = r.of(Measured::vars), s = r.of(Measured::volt_amps),
                   v = r.of(Measured::volts), i = r.of(Measured::amps), f = r.of(Measured::power_factor),
                   a = r.of(Measured::angle_deg);
        if (s && v && i && std::abs(*s - *v * *i) > part * std::max(*s, *v * *i) + 2) return true;
        const auto whole = s ? s : v && i ? std::optional<double>(*v * *i) : std::nullopt;
        if (whole && p && q && std::hypot(*p, *q) > *whole * (1 + part) + 2) return true;
        // Distortion widens the apparent power by half at the very most; beyond, a number is of another unit.
        if (whole && p && q && *whole > 50 && std::hypot(*p, *q) < 0.6 * *whole) return true;
        if (whole && p && f && *whole > 20 && std::abs(std::abs(*p) / *whole - std::abs(*f)) > 0.05) return true;
        if (a && p && std::abs(std::cos(*a * degree)) > 0.1 && (std::cos(*a * degree) > 0) != (*p > 0) &&
            std::abs(*p) > in_.policy[key::load_volt_amps])
            return true;
        if (a && q && std::abs(std::sin(*a * degree)) > 0.1 && (std::sin(*a * degree) > 0) != (*q > 0) &&
            std::abs(*q) > in_.policy[key::load_volt_amps])
            return true;
        return false;
    }

    [[nodiscard]] Observation observe(const Reading& r) const {
        Observation o;
        const auto p = r.of(Measured::watts), q = r.of(Measured::vars), v = r.of(Measured::volts),
                   i = r.of(Measured::amps), f = r.of(Measured::power_factor), a = r.of(Measured::angle_deg);
        std::optional<double> s = r.of(Measured::volt_amps);
        if (!s && v && i) s = *v * *i;
        if (!s && i && volts_ > 0) s = *i * volts_;
        if (!s && p && q) s = std::hypot(*p, *q);
        if (!s && p && f && std::abs(*f) > 0.05) s = std::abs(*p / *f);
        const double size = s ? *s : std::max(p ? std::abs(*p) : 0, q ? std::abs(*q) : 0);
        const double volts = v && *v > 0 ? *v : volts_;
        const double amps = i ? *i : volts > 0 ? size / volts : 0;
        o.loaded = i           ? *i >= least_
                   : volts > 0 ? amps >= least_ && size >= in_.policy[key::load_volt_amps]
                               : size >= in_.policy[key::load_volt_amps];
        o.sized = s.has_value() && size > 0;
        // Without any voltage, sizes still compare among elements of equal references.
        o.log_amps = std::log(std::max(amps > 0 ? amps : size, 1e-9));
        const double steps_error =
            size > 0 ? std::min(0.01, std::max(watt_step_, var_step_) / std::sqrt(12.0) / size) : 1;
        const double rating = rating_of(in_.view, channel_);
        const double low = rating > 0 && amps > 0 ? std::min(1.0, 0.05 * rating / amps) : 0.0;
        o.log_error = std::hypot(in_.policy[key::noise_percent] / 100, steps_error);
        o.angle_error = std::hypot(in_.policy[key::noise_degrees] * degree * (1 + low), steps_error);
        angles(r, o, p, q, s, f, a);
        return o;
    }

    void add(Observation& o, double angle, double weight) const noexcept {
        if (o.angles >= Observation::most_angles) return;
        o.angle[o.angles] = angle;
        o.weight[o.angles++] = weight;
    }

    void angles(const Reading& r, Observation& o, std::optional<double> p, std::optional<double> q,
                std::optional<double> s, std::optional<double> f, std::optional<double> a) const noexcept {
        if (a) {
            add(o, *a * degree, 1);
        } else if (p && q && (*p != 0 || *q != 0)) {
            add(o, std::atan2(*q, *p), 1);
        } else if (p && ((s && *s > 0) || f)) {
            // The size of the angle alone, or with its sign where the power factor says lag or lead.
            const auto convention = in_.readings.power_factor();
            const bool lagging = convention == PowerFactorConvention::lag_positive,
                       leading = convention == PowerFactorConvention::lead_positive;
            const bool sign_known = f && (lagging || leading);
            const double ratio = std::min(1.0, f ? std::abs(*f) : std::abs(*p) / *s);
            double sum = 0;
            for (const Distortion& d : distortion_of(load_)) {
                if (ratio > d.factor + 0.005) continue;
                const double size = std::acos(std::min(1.0, ratio / d.factor));
                const double q1 = *p >= 0 ? size : pi - size;
                const bool lags = sign_known && (*f >= 0) == lagging;
                if (!sign_known || lags) add(o, q1, d.share * (sign_known ? 1 : 0.5));
                if (!sign_known || !lags) add(o, -q1, d.share * (sign_known ? 1 : 0.5));
                sum += d.share;
            }
            for (std::size_t c = 0; c < o.angles; ++c) o.weight[c] /= sum;
            // Near power factor 1 the angle is loose: cos falls only with its square.
            const double error = 0.006, sine = std::sin(std::acos(ratio));
            o.angle_error = std::hypot(o.angle_error, std::min(error / std::max(sine, 1e-3), std::sqrt(2 * error)));
            o.exact = false;
            return;
        } else if (p && std::abs(*p) > 0) {
            for (int k = 0; k < 12; ++k) add(o, (*p > 0 ? 0 : pi) + (k - 5.5) * 15 * degree, 1.0 / 12);
            o.angle_error = 8 * degree;
        } else if (q && std::abs(*q) > 0) {
            for (int k = 0; k < 12; ++k) add(o, (*q > 0 ? pi / 2 : -pi / 2) + (k - 5.5) * 15 * degree, 1.0 / 12);
            o.angle_error = 8 * degree;
        }
        (void)r;
        o.exact = o.angles == 1;
    }

    const ReadingContext& in_;
    const as_of::channel& channel_;
    double volts_;
    Load load_;
    double least_ = 0;
    double watt_step_ = 0, var_step_ = 0;
};

}  // namespace

Sight sight_of(const ReadingContext& in, std::int32_t channel, double reference_volts, Load load) {
    const auto c = static_cast<std::size_t>(channel);
    Sight out = Builder(in, channel, reference_volts, load).run(in.rows.of_channel[c]);
    out.contradicted = out.contradicted || in.rows.spoiled[c];
    return out;
}

std::size_t number_snapshots(const ReadingContext& in, std::span<Sight*> sights) {
    std::vector<Instant> at;
    for (const Sight* s : sights)
        for (const Observation& o : s->seen) at.push_back(in.readings.rows()[static_cast<std::size_t>(o.row)].at);
    if (at.empty()) return 0;
    std::sort(at.begin(), at.end());
    const auto within = static_cast<Instant>(in.policy[key::snapshot_seconds] * 1e6);
    std::vector<Instant> starts;
    for (const Instant t : at)
        if (starts.empty() || t - starts.back() > within) starts.push_back(t);
    for (Sight* s : sights) {
        std::int32_t last = -1;
        for (Observation& o : s->seen) {
            const Instant t = in.readings.rows()[static_cast<std::size_t>(o.row)].at;
            auto k = static_cast<std::int32_t>(std::upper_bound(starts.begin(), starts.end(), t) - starts.begin() - 1);
            // Two rows of one channel are two snapshots, however close.
            k = std::max(k, last + 1);
            o.snapshot = last = k;
        }
    }
    std::size_t most = starts.size();
    for (const Sight* s : sights)
        if (!s->seen.empty()) most = std::max(most, static_cast<std::size_t>(s->seen.back().snapshot) + 1);
    return most;
}

}  // namespace bln::infer
