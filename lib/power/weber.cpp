#include "power/weber.hpp"

#include <algorithm>
#include <cmath>

namespace bln {
namespace {

double sum_at(std::span<const Complex> g, std::span<const double> w, Complex x) {
    double sum = 0;
    for (std::size_t k = 0; k < g.size(); ++k) sum += w[k] * std::abs(g[k] - x);
    return sum;
}

/// Pull of all other points on a point, and the weight that stands in it.
struct Pull {
    Complex others;
    double own = 0;
    double stiffness = 0;  ///< sum w / distance of the others
};
Pull pull_at(std::span<const Complex> g, std::span<const double> w, Complex x) {
    Pull p;
    for (std::size_t k = 0; k < g.size(); ++k) {
        const double d = std::abs(g[k] - x);
        if (d == 0) {
            p.own += w[k];
        } else {
            p.others += w[k] / d * (g[k] - x);
            p.stiffness += w[k] / d;
        }
    }
    return p;
}

/// Newton's step where the sum is smooth and its second derivative is regular; otherwise Weiszfeld's.
Complex step_at(std::span<const Complex> g, std::span<const double> w, Complex x, const Pull& pull) {
    double xx = 0, xy = 0, yy = 0;
    for (std::size_t k = 0; k < g.size(); ++k) {
        const Complex to = g[k] - x;
        const double d = std::abs(to);
        if (d == 0) continue;
        const Complex u = to / d;
        const double s = w[k] / d;
        xx += s * u.imag() * u.imag();
        yy += s * u.real() * u.real();
        xy -= s * u.real() * u.imag();
    }
    const double det = xx * yy - xy * xy;
    if (det > 1e-12 * (xx + yy) * (xx + yy))
        return {(yy * pull.others.real() - xy * pull.others.imag()) / det,
                (xx * pull.others.imag() - xy * pull.others.real()) / det};
    return pull.others / pull.stiffness;
}

Complex descend(std::span<const Complex> g, std::span<const double> w, double total) {
    Complex x;
    for (std::size_t k = 0; k < g.size(); ++k) x += w[k] / total * g[k];
    double value = sum_at(g, w, x);
    for (int round = 0; round < 200; ++round) {
        const Pull pull = pull_at(g, w, x);
        const double force = std::abs(pull.others);
        if (force <= pull.own || force <= 1e-14 * total) break;
        // In a point that is not the minimum, the pull of the others says where to leave it.
        const Complex away = pull.others / pull.stiffness;
        Complex step = pull.own > 0 ? away * ((force - pull.own) / force) : step_at(g, w, x, pull);
        bool better = false;
        for (int half = 0; half < 60 && !better; ++half) {
            const double next = sum_at(g, w, x + step);
            better = next < value;
            if (better) {
                x += step;
                value = next;
            } else {
                // A Newton step that overshoots gives way to Weiszfeld's, which never ascends.
                step = half == 0 ? away : step * 0.5;
            }
        }
        if (!better) break;
    }
    return x;
}

}  // namespace

Weber weber(std::span<const Complex> g, std::span<const double> w, std::span<Complex> dual) {
    Weber out;
    double total = 0;
    for (const double x : w) total += x;
    for (Complex& y : dual) y = 0;
    if (total == 0) return out;
    bool vertex = false;
    for (std::size_t k = 0; k < g.size() && !vertex; ++k) {
        if (w[k] == 0) continue;
        const Pull pull = pull_at(g, w, g[k]);
        vertex = std::abs(pull.others) <= pull.own;
        if (vertex) out.median = g[k];
    }
    if (!vertex) out.median = descend(g, w, total);
    out.least = sum_at(g, w, out.median);

    // The currents that the optimum names; then made feasible to the last digit.
    const Pull pull = pull_at(g, w, out.median);
    for (std::size_t k = 0; k < g.size(); ++k) {
        const double d = std::abs(g[k] - out.median);
        if (d > 0)
            dual[k] = w[k] / d * (g[k] - out.median);
        else if (pull.own > 0)
            dual[k] = -pull.others * (w[k] / std::max(pull.own, std::abs(pull.others)));
    }
    Complex rest;
    for (const Complex& y : dual) rest += y;
    double scale = 1;
    for (std::size_t k = 0; k < g.size(); ++k) {
        dual[k] -= rest * (w[k] / total);
        if (w[k] > 0) scale = std::max(scale, std::abs(dual[k]) / w[k]);
    }
    for (std::size_t k = 0; k < g.size(); ++k) {
        dual[k] /= scale;
        out.attained += std::real(std::conj(dual[k]) * (g[k] - out.median));
    }
    return out;
}

}  // namespace bln
