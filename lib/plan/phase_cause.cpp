// What else a conductor can be whose readings fit no conductor of the service.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "plan/phase_solve.hpp"

namespace bln::plan {
namespace {

using Complex = std::complex<double>;
constexpr double degrees = 180 / std::numbers::pi;

/// The point whose distances to known points are the readings: least squares on the differences of the circles.
struct Found {
    Complex at;
    bool mirrored = false;  ///< the known points stand on a line: the mirror image fits as well
    double miss = 0;        ///< greatest difference from a reading, V
};
std::optional<Found> locate(const Stage& stage, const std::vector<std::pair<Conductor, double>>& to) {
    if (to.size() < 3) return std::nullopt;
    const Complex z0 = stage.volts[index_of(to[0].first)];
    const double r0 = to[0].second;
    double xx = 0, xy = 0, yy = 0, xb = 0, yb = 0;
    for (std::size_t k = 1; k < to.size(); ++k) {
        const Complex z = stage.volts[index_of(to[k].first)] - z0;
        const double b = (std::norm(z) - to[k].second * to[k].second + r0 * r0) / 2;
        xx += z.real() * z.real();
        xy += z.real() * z.imag();
        yy += z.imag() * z.imag();
        xb += z.real() * b;
        yb += z.imag() * b;
    }
    Found out;
    const double det = xx * yy - xy * xy, size = xx + yy;
    if (size <= 0) return std::nullopt;
    if (det > 1e-6 * size * size) {
        out.at = z0 + Complex((yy * xb - xy * yb) / det, (xx * yb - xy * xb) / det);
    } else {
        // All on one line through z0: along it the readings decide, across it the distance to z0.
        const Complex along = xx >= yy ? Complex(xx, xy) : Complex(xy, yy);
        const Complex unit = along / std::abs(along);
        const double t = (unit.real() * xb + unit.imag() * yb) / size;
        const double across = std::sqrt(std::max(0.0, r0 * r0 - t * t));
        out.at = z0 + unit * Complex(t, across);
        out.mirrored = across > 1e-6 * stage.line_volts;
    }
    for (const auto& [c, volts] : to)
        out.miss = std::max(out.miss, std::abs(std::abs(out.at - stage.volts[index_of(c)]) - volts));
    return out;
}

/// Where the neutral or star point stands.
Complex middle(const Stage& stage) {
    if (stage.known[index_of(Conductor::N)]) return stage.volts[index_of(Conductor::N)];
    Complex sum{};
    for (const Conductor c : stage.phases) sum += stage.volts[index_of(c)];
    return sum / static_cast<double>(stage.phases.size());
}

}  // namespace

Explained explain(const Stage& stage, const Fit& fit, const Policy& policy,
                  const std::vector<std::pair<Conductor, double>>& to) {
    if (to.empty()) return {PhaseCause::contradiction, {}};
    if (to.size() >= 2 && std::all_of(to.begin(), to.end(), [&](const auto& r) { return fit.zero(r.second); }))
        return {PhaseCause::dead, {}};
    std::vector<Conductor> zero;
    for (const auto& [c, volts] : to)
        if (fit.zero(volts)) zero.push_back(c);
    for (const Conductor a : zero)
        for (const Conductor b : zero)
            if (!fit.zero(stage.between(a, b)))
                return {PhaseCause::tied, fmt::format("references {} and {}", word_of(a), word_of(b))};
    const auto phase = [&](Conductor c) { return c != Conductor::N && c != Conductor::G; };
    if (const auto found = locate(stage, to);
        found && found->miss <= std::max(policy[same_percent] / 100 * stage.line_volts, policy[same_volts])) {
        const Complex w = found->at - middle(stage);
        const double size = std::abs(w), share = policy[other_percent] / 100;
        const Complex first = stage.volts[index_of(stage.phases.front())] - middle(stage);
        if (std::abs(size / stage.phase_volts - 1) <= share && std::abs(first) > 0) {
            const double angle = std::arg(w / first) * degrees;
            const double off = std::remainder(angle, 30.0);
            if (std::abs(off) <= 8) {
                const auto turned = static_cast<int>(std::lround(angle / 30)) * 30;
                if (turned % 120 == 0 && stage.phases.size() < 3)
                    return {PhaseCause::third_phase,
                            fmt::format("{} degrees from {}", turned, word_of(stage.phases.front()))};
                return {PhaseCause::displaced,
                        fmt::format("{:.0f} V to neutral, {} degrees from {}{}", size, turned,
                                    word_of(stage.phases.front()), found->mirrored ? ", on either side" : "")};
            }
        }
        // Nominal voltages to neutral in use: common practice, no source.
        for (const double nominal : {120.0, 230.0, 277.0, 347.0})
            if (std::abs(nominal / stage.phase_volts - 1) > share && std::abs(size / nominal - 1) <= share)
                return {
                    PhaseCause::other_system,
                    fmt::format("{:.0f} V to the neutral of this service: that of a {:.0f} V system", size, nominal)};
    }
    std::size_t partly = 0, phases = 0;
    for (const auto& [c, volts] : to) {
        if (!phase(c)) continue;
        ++phases;
        const double share = 100 * volts / stage.line_volts;
        partly += share >= policy[floating_low] && share <= policy[floating_high] ? 1 : 0;
    }
    if (phases >= 2 && partly == phases) return {PhaseCause::floating, {}};
    return {PhaseCause::unexplained, {}};
}

}  // namespace bln::plan
