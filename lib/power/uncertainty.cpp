#include "power/uncertainty.hpp"

#include <cmath>
#include <map>

#include "power/failure.hpp"

namespace bln {
namespace {

const double sqrt3 = std::sqrt(3.0);

void finite(double x, const char* what) {
    if (!std::isfinite(x)) throw Failure(BLN_E_NOT_FINITE, std::string(what) + " is not finite");
}
void magnitude(double x, const char* what) {
    finite(x, what);
    if (x < 0) throw Failure(BLN_E_RANGE, std::string(what) + " is a magnitude and cannot be negative");
}
void finite(std::complex<double> x) {
    finite(x.real(), "active power");
    finite(x.imag(), "reactive power");
}
double result(double x) {
    if (!std::isfinite(x)) throw Failure(BLN_E_OVERFLOW, "the result is greater than a number can hold");
    return x;
}
double share(const std::optional<double>& percent, const char* what) {
    const double x = percent.value_or(0) / 100;
    magnitude(x, what);
    return x;
}

}  // namespace

std::complex<double> power_error(std::complex<double> power, const ElementErrors& e) {
    finite(power);
    for (const double x : {e.volts_ratio, e.volts_phase, e.amps_ratio, e.amps_phase}) finite(x, "an error");
    // Written out so that small errors keep their digits: (1+a) e^{jd} - 1 = a e^{jd} + (e^{jd} - 1).
    const double gain = e.volts_ratio + e.amps_ratio + e.volts_ratio * e.amps_ratio;
    const double angle = e.volts_phase - e.amps_phase, half = std::sin(angle / 2);
    const std::complex<double> turn_less_one{-2 * half * half, std::sin(angle)};
    const std::complex<double> out = power * (turn_less_one * (1 + gain) + gain);
    result(out.real());
    result(out.imag());
    return out;
}

std::complex<double> power_error_linear(std::complex<double> power, const ElementErrors& e) {
    finite(power);
    for (const double x : {e.volts_ratio, e.volts_phase, e.amps_ratio, e.amps_phase}) finite(x, "an error");
    const std::complex<double> out =
        power * std::complex<double>(e.volts_ratio + e.amps_ratio, e.volts_phase - e.amps_phase);
    result(out.real());
    result(out.imag());
    return out;
}

double PowerUncertainty::watts() const noexcept { return std::hypot(watts_ct, watts_meter); }

PowerUncertainty power_uncertainty(std::complex<double> power, const AccuracyLimits* ct, const AccuracyLimits* meter) {
    finite(power);
    const double p = std::abs(power.real()), q = std::abs(power.imag());
    PowerUncertainty out;
    out.vars_known = true;
    if (ct != nullptr) {
        out.from_memory = ct->from_memory;
        if (ct->power_percent) {
            const double a = share(ct->power_percent, "the limit of power");
            out.watts_ct = p * a / sqrt3;
            out.watts_limit = p * a;
            out.vars_known = false;
        } else {
            if (!ct->phase_minutes && q > 0)
                throw Failure(BLN_E_ABSENT,
                              "the CT's class states no phase displacement, so nothing bounds the error of a load with "
                              "reactive power");
            const double a = share(ct->ratio_percent, "the limit of the ratio");
            const double d = ct->phase_minutes.value_or(0) * radians_per_minute;
            magnitude(d, "the limit of the phase displacement");
            out.watts_ct = std::hypot(p * a, q * d) / sqrt3;
            // Exactly: the rotation by d also shortens P. First order carries all but d^2/2.
            const auto worst = [&](double along, double across) {
                return along * a + across * std::sin(d) * (1 + a) + along * (1 + a) * (1 - std::cos(d));
            };
            out.watts_limit = worst(p, q);
            out.vars_known = ct->phase_minutes.has_value();
            if (out.vars_known) {
                out.vars_ct = std::hypot(q * a, p * d) / sqrt3;
                out.vars_limit = worst(q, p);
            }
        }
    }
    if (meter != nullptr) {
        out.from_memory = out.from_memory || meter->from_memory;
        const double a = share(meter->power_percent, "the limit of the meter");
        out.watts_meter = p * a / sqrt3;
        // The meter errs on what the CT hands it.
        out.watts_limit += (p + out.watts_limit) * a;
        out.vars_known = false;
    }
    if (!out.vars_known) out.vars_ct = out.vars_limit = 0;
    result(out.watts_limit);
    result(out.vars_limit);
    return out;
}

double CombinedUncertainty::combined() const noexcept { return std::hypot(random, shared); }

CombinedUncertainty combine(std::span<const UncertainTerm> terms) {
    CombinedUncertainty out;
    std::map<std::uint32_t, double> groups;
    for (const UncertainTerm& t : terms) {
        finite(t.coefficient, "a coefficient");
        finite(t.value, "a value");
        magnitude(t.random, "a random uncertainty");
        magnitude(t.shared, "a shared uncertainty");
        out.value += t.coefficient * t.value;
        out.random = std::hypot(out.random, t.coefficient * t.random);
        // The sign of what is shared goes with the quantity: a ratio that is high takes more off an export.
        groups[t.group] += std::copysign(t.coefficient * t.shared, t.coefficient * t.value);
    }
    for (const auto& [group, shared] : groups) out.shared = std::hypot(out.shared, shared);
    result(out.value);
    result(out.combined());
    return out;
}

double propagate(std::span<const double> sensitivity, std::span<const double> uncertainty,
                 std::span<const double> correlation) {
    const std::size_t n = sensitivity.size();
    if (uncertainty.size() != n) throw Failure(BLN_E_ARGUMENT, "one uncertainty for each sensitivity");
    if (!correlation.empty() && correlation.size() != n * n)
        throw Failure(BLN_E_ARGUMENT, "the correlations are a square of " + std::to_string(n) + " rows");
    double sum = 0, size = 0;
    for (std::size_t i = 0; i < n; ++i) {
        finite(sensitivity[i], "a sensitivity");
        magnitude(uncertainty[i], "an uncertainty");
        const double own = sensitivity[i] * uncertainty[i];
        sum += own * own;
        size += own * own;
        if (correlation.empty()) continue;
        if (correlation[i * n + i] != 1) throw Failure(BLN_E_ARGUMENT, "a quantity correlates with itself by 1");
        for (std::size_t j = i + 1; j < n; ++j) {
            const double r = correlation[i * n + j];
            finite(r, "a correlation");
            if (r < -1 || r > 1) throw Failure(BLN_E_RANGE, "a correlation lies between -1 and 1");
            if (r != correlation[j * n + i]) throw Failure(BLN_E_ARGUMENT, "the correlations are not symmetric");
            sum += 2 * r * own * sensitivity[j] * uncertainty[j];
        }
    }
    if (sum < -1e-12 * size * static_cast<double>(n))
        throw Failure(BLN_E_RANGE, "no quantities can correlate in this way: the variance would be negative");
    return result(std::sqrt(sum > 0 ? sum : 0));
}

}  // namespace bln
