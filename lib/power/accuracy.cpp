#include "power/accuracy.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include "power/failure.hpp"

namespace bln {
namespace {

constexpr double slack = 1e-9;  // a power factor of exactly 0.5 must not fall to rounding

[[noreturn]] void nothing_stated(const AccuracyClass& c, const std::string& where) {
    throw Failure(BLN_E_ABSENT,
                  "class " + std::string(c.name) + " of " + std::string(c.standard) + " states no limit " + where);
}

/// Last test current at or below @p percent.
const LimitPoint& point_below(const AccuracyClass& c, double percent) {
    if (percent < c.points.front().percent || percent > c.last_percent)
        nothing_stated(c, "at " + std::to_string(percent) + " % of rated current");
    const auto after = std::upper_bound(c.points.begin(), c.points.end(), percent,
                                        [](double p, const LimitPoint& point) { return p < point.percent; });
    return *(after - 1);
}

double on_line(double x, double x0, double x1, double y0, double y1) { return y0 + (y1 - y0) * (x - x0) / (x1 - x0); }

LimitPoint transformer_limit(const AccuracyClass& c, double percent) {
    const LimitPoint& low = point_below(c, percent);
    if (&low == &c.points.back()) return low;
    const LimitPoint& high = *(&low + 1);
    return {percent, on_line(percent, low.percent, high.percent, low.limit_percent, high.limit_percent),
            on_line(percent, low.percent, high.percent, low.minutes, high.minutes)};
}

/// @p share 1: cos phi of an active meter, sin phi of a reactive one. Between the tested power factors the wider
/// limit of the two holds.
double meter_limit(const AccuracyClass& c, double percent, double share, double least) {
    const LimitPoint& p = point_below(c, percent);
    if (share >= 1 - slack) return p.limit_percent;
    if (share < least - slack) nothing_stated(c, "at this power factor");
    if (p.limit_inductive == 0) nothing_stated(c, "at this current and a power factor other than unity");
    return std::max(p.limit_percent, p.limit_inductive);
}

}  // namespace

const AccuracyClass& accuracy_class(AccuracyOf of, std::string_view name) {
    for (const AccuracyClass& c : accuracy_classes)
        if (c.of == of && c.name == name) return c;
    throw Failure(BLN_E_NAME, "no accuracy class " + std::string(name) + " is known of such a device");
}

AccuracyLimits accuracy_limits(AccuracyOf of, std::string_view name, double percent, double angle_degrees) {
    const AccuracyClass& c = accuracy_class(of, name);
    if (!std::isfinite(percent) || !std::isfinite(angle_degrees))
        throw Failure(BLN_E_NOT_FINITE, "current and angle must be finite");
    if (percent < 0) throw Failure(BLN_E_RANGE, "the current is a magnitude, in percent of the rated one");
    if (std::abs(angle_degrees) > 180) throw Failure(BLN_E_RANGE, "the angle lies between -180 and 180 degrees");
    const double radians = angle_degrees * std::numbers::pi / 180;
    const double cosine = std::cos(radians), sine = std::sin(radians);
    AccuracyLimits out;
    out.of = &c;
    out.from_memory = c.from_memory;
    switch (of) {
        case AccuracyOf::current_transformer: {
            const LimitPoint p = transformer_limit(c, percent);
            if (c.form == LimitForm::power) {
                // The transformer correction factor is limited for lagging loads of power factor 0.6 to 1.
                if (std::abs(cosine) < 0.6 - slack || sine * cosine < -slack)
                    nothing_stated(c, "outside power factors 0.6 to 1 lagging");
                out.power_percent = p.limit_percent;
            } else {
                out.ratio_percent = p.limit_percent;
                if (c.form == LimitForm::ratio_and_phase) out.phase_minutes = p.minutes;
            }
            break;
        }
        case AccuracyOf::active_meter:
            // Inductive means that P and Q have the same sign: it does when energy is exported, too.
            out.power_percent = meter_limit(c, percent, std::abs(cosine), sine * cosine >= 0 ? 0.5 : 0.8);
            break;
        case AccuracyOf::reactive_meter:
            out.power_percent = meter_limit(c, percent, std::abs(sine), 0.5);
            break;
    }
    return out;
}

}  // namespace bln
