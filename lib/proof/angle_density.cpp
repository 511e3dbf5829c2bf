#include "proof/angle_density.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "proof/proof_policy.hpp"

namespace bln::infer {
namespace {

constexpr double pi = std::numbers::pi, step = 2 * pi / steps;

/// Adds @p mass round @p mean (degrees) to the steps.
void spread(std::array<double, steps>& to, double mass, double mean, double deviation) {
    if (mass <= 0) return;
    if (deviation < step_degrees / 2) {
        // Narrower than the steps: between the two nearest, so that the mean stays.
        const double at = mean / step_degrees, low = std::floor(at), part = at - low;
        const auto wrapped = [](double i) {
            return static_cast<std::size_t>(
                ((static_cast<int>(i) % static_cast<int>(steps)) + static_cast<int>(steps)) % static_cast<int>(steps));
        };
        to[wrapped(low)] += mass * (1 - part);
        to[wrapped(low + 1)] += mass * part;
        return;
    }
    std::array<double, steps> w{};
    double sum = 0;
    for (std::size_t i = 0; i < steps; ++i) {
        const double d = std::remainder(static_cast<double>(i) * step_degrees - mean, 360.0) / deviation;
        w[i] = std::exp(-d * d / 2);
        sum += w[i];
    }
    for (std::size_t i = 0; i < steps; ++i) to[i] += mass * w[i] / sum;
}

}  // namespace

void Circle::multiply(std::span<const double> angles, std::span<const double> weights, double deviation,
                      double odd) noexcept {
    const double scale = (1 - odd) / (deviation * std::sqrt(2 * pi)), reach = 6 * deviation;
    std::array<float, steps> d;
    d.fill(static_cast<float>(odd / (2 * pi)));
    for (std::size_t c = 0; c < angles.size(); ++c) {
        // The Gaussian falls off by a ratio that itself falls off by a constant ratio: two exponentials in all.
        const double middle = std::round(angles[c] / step);
        const double off = angles[c] - middle * step, q = std::exp(-step * step / (deviation * deviation));
        const double peak = scale * weights[c] * std::exp(-off * off / (2 * deviation * deviation));
        const int centre =
            ((static_cast<int>(middle) % static_cast<int>(steps)) + static_cast<int>(steps)) % static_cast<int>(steps);
        const int most = std::min(static_cast<int>(reach / step) + 1, static_cast<int>(steps) / 2);
        d[static_cast<std::size_t>(centre)] += static_cast<float>(peak);
        for (const int way : {1, -1}) {
            double ratio = std::exp((2 * off * way * step - step * step) / (2 * deviation * deviation)), value = peak;
            for (int k = 1; k <= most - (way < 0 ? 1 : 0); ++k) {
                value *= ratio;
                ratio *= q;
                const int i = (centre + way * k + 2 * static_cast<int>(steps)) % static_cast<int>(steps);
                d[static_cast<std::size_t>(i)] += static_cast<float>(value);
            }
        }
    }
    float largest = 0;
    for (std::size_t i = 0; i < steps; ++i) {
        at_[i] *= d[i];
        largest = std::max(largest, at_[i]);
    }
    if (!(largest > 0)) largest = 1e-30F;
    log_scale_ += std::log(static_cast<double>(largest));
    for (std::size_t i = 0; i < steps; ++i) {
        at_[i] = std::max(at_[i] / largest, 1e-12F);
        at_[i + steps] = at_[i];
    }
}

int steps_of(double radians) noexcept {
    const int i = static_cast<int>(std::lround(radians / step)) % static_cast<int>(steps);
    return i < 0 ? i + static_cast<int>(steps) : i;
}

LoadKind kind_of(const Policy& policy, Load load, double narrow) {
    std::array<double, steps> sum{};
    const auto component = [&](Load k, double mass) {
        const auto i = static_cast<std::size_t>(k);
        const double sd = policy[key::spread_first + i];
        spread(sum, mass, policy[key::mean_first + i], std::sqrt(std::max(0.0, sd * sd - narrow * narrow)));
    };
    const double tail = policy[stated(load) ? key::tail_stated : key::tail_unstated], away = policy[key::export_share];
    const double rest = std::max(0.0, 1 - tail - away);
    if (load == Load::light_motor) {
        component(Load::light_motor, rest * 0.6);
        component(Load::motor, rest * 0.4);
    } else if (load == Load::generation) {
        // At night an inverter takes little, at any angle.
        component(Load::generation, rest * 0.95);
        spread(sum, rest * 0.05, 0, 50);
    } else if (stated(load)) {
        component(load, rest);
    } else {
        double shares = 0;
        for (std::size_t k = 0; k < simple_kinds; ++k) shares += policy[key::share_first + k];
        for (std::size_t k = 0; k < simple_kinds && shares > 0; ++k)
            component(static_cast<Load>(k), rest * policy[key::share_first + k] / shares);
    }
    for (std::size_t i = 0; i < steps; ++i) {
        const double angle = std::remainder(static_cast<double>(i) * step_degrees, 360.0);
        if (std::abs(angle) <= 90) sum[i] += tail / (180 / step_degrees + 1);
        sum[i] += away / steps;
    }
    double total = 0;
    for (const double w : sum) total += w;
    LoadKind out;
    for (std::size_t i = 0; i < steps; ++i)
        out.angle[i] = static_cast<float>(total > 0 ? sum[i] / total : 1.0 / static_cast<double>(steps));
    const std::size_t k = kind_at(load);
    out.one = policy[key::agree_one_first + k];
    out.similar = std::min(policy[key::agree_similar_first + k], 1 - out.one);
    out.separate = std::max(0.0, 1 - out.one - out.similar);
    return out;
}

}  // namespace bln::infer
