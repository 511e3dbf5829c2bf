// Effective, arithmetic and vector apparent power: IEEE Std 1459-2010, clauses 3.2.2.5, 3.2.2.6 and 3.2.2.8.
#include "power/three_phase.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace bln {

namespace {

constexpr double degrees = 180 / std::numbers::pi;
const Phasor turn{-0.5, std::numbers::sqrt3 / 2};

double root(double x) noexcept { return x > 0 ? std::sqrt(x) : 0; }

/// A component that rounding alone has left is no component: its angle would be noise.
double cleaned(double part, double whole) noexcept { return part > whole * 1e-12 ? part : 0; }

void component(Values& out, Quantity size, Quantity angle, Phasor value, double whole, Undefined reason) noexcept {
    const double length = cleaned(std::abs(value), whole);
    out.set(size, length);
    if (length > 0) {
        out.set(angle, std::arg(value) * degrees);
    } else {
        out.refuse(angle, reason);
    }
}

/// Ve^2 and Ie^2 from mean squares.
struct Effective {
    double v2, i2;
};
Effective effective(Wires wires, const std::array<double, 3>& v2, const std::array<double, 3>& line2,
                    const std::array<double, 3>& i2, double neutral2) noexcept {
    const double lines = line2[0] + line2[1] + line2[2], phases = v2[0] + v2[1] + v2[2];
    const double currents = i2[0] + i2[1] + i2[2];
    if (wires == Wires::three) return {lines / 9, currents / 3};
    return {(3 * phases + lines) / 18, (currents + neutral2) / 3};
}

Phasor at_order(const ChannelSums& c, int order, bool current) noexcept {
    for (const Harmonic& h : c.orders)
        if (h.order == order) return current ? h.i : h.v;
    return 0;
}

void of_sequences(Values& out, const std::array<Phasor, 3>& v, const std::array<Phasor, 3>& i) noexcept {
    using enum Quantity;
    const Sequences vs = sequences(v), is = sequences(i);
    const double v_most = std::max({std::abs(v[0]), std::abs(v[1]), std::abs(v[2])});
    const double i_most = std::max({std::abs(i[0]), std::abs(i[1]), std::abs(i[2])});
    component(out, v_zero, v_zero_deg, vs.zero, v_most, Undefined::no_voltage);
    component(out, v_positive, v_positive_deg, vs.positive, v_most, Undefined::no_voltage);
    component(out, v_negative, v_negative_deg, vs.negative, v_most, Undefined::no_voltage);
    component(out, i_zero, i_zero_deg, is.zero, i_most, Undefined::no_current);
    component(out, i_positive, i_positive_deg, is.positive, i_most, Undefined::no_current);
    component(out, i_negative, i_negative_deg, is.negative, i_most, Undefined::no_current);
    out.ratio(unbalance_v, out[v_negative], out[v_positive], Undefined::no_positive_sequence);
    out.ratio(unbalance_v_zero, out[v_zero], out[v_positive], Undefined::no_positive_sequence);
    out.ratio(unbalance_i, out[i_negative], out[i_positive], Undefined::no_positive_sequence);
}

void of_lines(Values& out, const ThreePhaseSums& sums) noexcept {
    using enum Quantity;
    const double ab = root(sums.line2[0]), bc = root(sums.line2[1]), ca = root(sums.line2[2]);
    out.set(v_ab, ab);
    out.set(v_bc, bc);
    out.set(v_ca, ca);
    if (ab + bc + ca <= 0) {
        out.refuse(unbalance_line, Undefined::no_voltage);
        out.refuse(unbalance_lines, Undefined::no_voltage);
        return;
    }
    out.set(unbalance_line, line_deviation(ab, bc, ca));
    if (const double ratio = line_sequence_ratio(ab, bc, ca); ratio >= 0) {
        out.set(unbalance_lines, ratio);
    } else {
        out.refuse(unbalance_lines, Undefined::no_triangle);
    }
}

void of_fundamental(Values& out, const ThreePhaseSums& sums, double power, double se) noexcept {
    using enum Quantity;
    std::array<Phasor, 3> v, i;
    std::array<double, 3> v2{}, line2{}, i2{};
    Phasor s_one = 0;
    for (std::size_t x = 0; x < 3; ++x) {
        const Harmonic h = fundamental(sums.phase[x]);
        v[x] = h.v;
        i[x] = h.i;
        s_one += h.v * std::conj(h.i);
    }
    for (std::size_t x = 0; x < 3; ++x) {
        v2[x] = std::norm(v[x]);
        i2[x] = std::norm(i[x]);
        line2[x] = std::norm(v[x] - v[(x + 1) % 3]);
    }
    const Effective one = effective(sums.wires, v2, line2, i2, std::norm(i[0] + i[1] + i[2]));
    const double se_one = 3 * root(one.v2 * one.i2), vector = std::hypot(power, s_one.imag());
    const Undefined nothing = one.v2 > 0 ? Undefined::no_current : Undefined::no_voltage;
    out.set(q1, s_one.imag());
    out.set(p1, s_one.real());
    out.set(ph, power - s_one.real());
    if (const int number = bln::quadrant(power, s_one.imag()); number != 0) {
        out.set(Quantity::quadrant, number);
    } else {
        out.refuse(Quantity::quadrant, Undefined::no_power);
    }
    out.set(s_vector, vector);
    out.ratio(pf_vector, power, vector, nothing == Undefined::no_voltage ? nothing : Undefined::no_power);
    out.set(s1_effective, se_one);
    out.set(sn_effective, root(se * se - se_one * se_one));
    of_sequences(out, v, i);
}

}  // namespace

Sequences sequences(const std::array<Phasor, 3>& abc) noexcept {
    const Phasor back = std::conj(turn);
    return {(abc[0] + abc[1] + abc[2]) / 3.0, (abc[0] + turn * abc[1] + back * abc[2]) / 3.0,
            (abc[0] + back * abc[1] + turn * abc[2]) / 3.0};
}

double line_deviation(double ab, double bc, double ca) noexcept {
    const double mean = (ab + bc + ca) / 3;
    return std::max({std::abs(ab - mean), std::abs(bc - mean), std::abs(ca - mean)}) / mean;
}

double line_sequence_ratio(double ab, double bc, double ca) noexcept {
    // sqrt((1 - g) / (1 + g)) with g = sqrt(3 - 6 beta), beta = sum of V^4 over the square of the sum of V^2 [from
    // memory: IEC 61000-4-30 and CIGRE]. (3 - 6 beta) is 3 (2 sum V^2V^2 - sum V^4) / (sum V^2)^2, sixteen areas
    // squared.
    const double most = std::max({ab, bc, ca});
    const double a = ab / most, b = bc / most, c = ca / most, sum = a * a + b * b + c * c;
    const double area = (a + b + c) * (-a + b + c) * (a - b + c) * (a + b - c);
    if (area < -1e-12) return -1;
    const double g = std::min(1.0, std::sqrt(3 * std::max(area, 0.0)) / sum);
    // 1 - g^2 without the cancellation of two nearly equal numbers.
    const double d1 = a * a - b * b, d2 = b * b - c * c, d3 = c * c - a * a;
    return std::sqrt(2 * (d1 * d1 + d2 * d2 + d3 * d3)) / (sum * (1 + g));
}

void complete(ThreePhaseSums& sums) noexcept {
    sums.line2 = {};
    sums.neutral2 = 0;
    for (std::size_t x = 0; x < 3; ++x) {
        const ChannelSums& here = sums.phase[x];
        for (const Harmonic& h : here.orders) {
            Phasor all = h.i;
            bool first = true;
            for (std::size_t y = 0; y < 3; ++y) {
                if (y == x) continue;
                const ChannelSums& there = sums.phase[y];
                const bool listed = std::any_of(there.orders.begin(), there.orders.end(),
                                                [&](const Harmonic& o) { return o.order == h.order; });
                if (listed && y < x) first = false;
                all += at_order(there, h.order, true);
            }
            if (first) sums.neutral2 += std::norm(all);
        }
        const std::size_t next = (x + 1) % 3;
        for (const Harmonic& h : here.orders)
            sums.line2[x] += std::norm(h.v - at_order(sums.phase[next], h.order, false));
        for (const Harmonic& h : sums.phase[next].orders) {
            const bool listed = std::any_of(here.orders.begin(), here.orders.end(),
                                            [&](const Harmonic& o) { return o.order == h.order; });
            if (!listed) sums.line2[x] += std::norm(h.v);
        }
    }
}

Values three_phase_quantities(const ThreePhaseSums& sums) noexcept {
    using enum Quantity;
    Values out;
    double power = 0, arithmetic = 0;
    std::array<double, 3> v2{}, i2{};
    bool spectrum = true;
    for (std::size_t x = 0; x < 3; ++x) {
        const ChannelSums& c = sums.phase[x];
        power += c.p;
        arithmetic += root(c.v2) * root(c.i2);
        v2[x] = c.v2;
        i2[x] = c.i2;
        spectrum = spectrum && c.spectrum;
    }
    const Effective all = effective(sums.wires, v2, sums.line2, i2, sums.neutral2);
    const double se = 3 * root(all.v2) * root(all.i2);
    const Undefined nothing = all.v2 > 0 ? Undefined::no_current : Undefined::no_voltage;
    out.set(p, power);
    out.set(s_arithmetic, arithmetic);
    out.set(s_effective, se);
    out.set(v_effective, root(all.v2));
    out.set(i_effective, root(all.i2));
    // Three currents that balance leave rounding, not a neutral current.
    out.set(i_neutral, cleaned(root(sums.neutral2), root(std::max({i2[0], i2[1], i2[2]}))));
    out.ratio(pf_arithmetic, power, arithmetic, nothing);
    out.ratio(pf_effective, power, se, nothing);
    of_lines(out, sums);
    if (spectrum) {
        of_fundamental(out, sums, power, se);
    } else {
        for (const Quantity q : {q1,           p1,
                                 ph,           quadrant,
                                 s_vector,     pf_vector,
                                 s1_effective, sn_effective,
                                 v_zero,       v_zero_deg,
                                 v_positive,   v_positive_deg,
                                 v_negative,   v_negative_deg,
                                 i_zero,       i_zero_deg,
                                 i_positive,   i_positive_deg,
                                 i_negative,   i_negative_deg,
                                 unbalance_v,  unbalance_v_zero,
                                 unbalance_i})
            out.refuse(q, Undefined::not_given);
    }
    return out;
}

}  // namespace bln
