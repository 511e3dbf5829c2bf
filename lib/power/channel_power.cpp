// Definitions of IEEE Std 1459-2010, clause 3.1.2; Budeanu's and Fryze's under their own names.
#include "power/channel_power.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include "power/failure.hpp"

namespace bln {

namespace {

constexpr double degrees = 180 / std::numbers::pi;

/// Root of a difference of squares that rounding may have turned negative.
double root(double x) noexcept { return x > 0 ? std::sqrt(x) : 0; }

void without_fundamental(Values& out, Undefined reason) {
    using enum Quantity;
    for (const Quantity q : {v1, i1, v_dc, i_dc, angle, q1, quadrant, q_budeanu, d_budeanu, q_quarter, pf1,
                             s1, p1, ph,   sn,   di,    dv, sh,       dh,        thd_v,     thd_i})
        out.refuse(q, reason);
}

void of_orders(Values& out, const ChannelSums& c, double apparent) {
    using enum Quantity;
    const Harmonic one = fundamental(c);
    double budeanu = 0, quarter = 0, v_direct = 0, i_direct = 0;
    for (const Harmonic& h : c.orders) {
        if (h.order == 0) {
            v_direct = h.v.real();
            i_direct = h.i.real();
            quarter += v_direct * i_direct;
            continue;
        }
        const Phasor power = h.v * std::conj(h.i);
        budeanu += power.imag();
        // A delay of a quarter cycle turns order h back by h right angles.
        switch (h.order % 4) {
            case 0:
                quarter += power.real();
                break;
            case 1:
                quarter += power.imag();
                break;
            case 2:
                quarter -= power.real();
                break;
            default:
                quarter -= power.imag();
                break;
        }
    }
    const Phasor s_one = one.v * std::conj(one.i);
    const double v_one = std::abs(one.v), i_one = std::abs(one.i), s_1 = v_one * i_one;
    const double v_rest = root(c.v2 - v_one * v_one), i_rest = root(c.i2 - i_one * i_one);
    const double rest = c.p - s_one.real();
    out.set(v1, v_one);
    out.set(i1, i_one);
    out.set(v_dc, v_direct);
    out.set(i_dc, i_direct);
    if (s_1 > 0) {
        out.set(angle, std::arg(s_one) * degrees);
    } else {
        out.refuse(angle, v_one > 0 ? Undefined::no_current : Undefined::no_voltage);
    }
    out.set(q1, s_one.imag());
    if (const int number = bln::quadrant(c.p, s_one.imag()); number != 0) {
        out.set(Quantity::quadrant, number);
    } else {
        out.refuse(Quantity::quadrant, Undefined::no_power);
    }
    out.set(q_budeanu, budeanu);
    out.set(d_budeanu, root(apparent * apparent - c.p * c.p - budeanu * budeanu));
    out.set(q_quarter, quarter);
    out.ratio(pf1, s_one.real(), s_1, v_one > 0 ? Undefined::no_current : Undefined::no_voltage);
    out.set(s1, s_1);
    out.set(p1, s_one.real());
    out.set(ph, rest);
    out.set(sn, root(apparent * apparent - s_1 * s_1));
    out.set(di, v_one * i_rest);
    out.set(dv, v_rest * i_one);
    out.set(sh, v_rest * i_rest);
    out.set(dh, root(v_rest * v_rest * i_rest * i_rest - rest * rest));
    out.ratio(thd_v, v_rest, v_one, Undefined::no_fundamental);
    out.ratio(thd_i, i_rest, i_one, Undefined::no_fundamental);
}

}  // namespace

ChannelSums sums_of(std::span<const Harmonic> orders) {
    ChannelSums out;
    out.orders = orders;
    for (std::size_t n = 0; n < orders.size(); ++n) {
        const Harmonic& h = orders[n];
        if (h.order < 0) throw Failure(BLN_E_VALUE, "order " + std::to_string(h.order) + " is negative");
        for (std::size_t m = 0; m < n; ++m)
            if (orders[m].order == h.order)
                throw Failure(BLN_E_DUPLICATE, "order " + std::to_string(h.order) + " stands twice");
        if (!std::isfinite(h.v.real()) || !std::isfinite(h.v.imag()) || !std::isfinite(h.i.real()) ||
            !std::isfinite(h.i.imag()))
            throw Failure(BLN_E_NOT_FINITE, "order " + std::to_string(h.order) + " is not finite");
        if (h.order == 0 && (h.v.imag() != 0 || h.i.imag() != 0))
            throw Failure(BLN_E_VALUE, "order 0 is direct and has no imaginary part");
        out.v2 += std::norm(h.v);
        out.i2 += std::norm(h.i);
        out.p += (h.v * std::conj(h.i)).real();
    }
    return out;
}

Harmonic fundamental(const ChannelSums& c) noexcept {
    for (const Harmonic& h : c.orders)
        if (h.order == 1) return h;
    return {1, 0, 0};
}

int quadrant(double p, double q) noexcept {
    if (p == 0 && q == 0) return 0;
    // An axis belongs to the quadrant that begins there, counter-clockwise.
    if (p > 0 && q >= 0) return 1;
    if (p <= 0 && q > 0) return 2;
    if (p < 0) return 3;
    return 4;
}

Values channel_quantities(const ChannelSums& c) noexcept {
    using enum Quantity;
    Values out;
    out.refuse(frequency, Undefined::not_given);
    const double v = root(c.v2), i = root(c.i2), apparent = v * i;
    out.set(v_rms, v);
    out.set(i_rms, i);
    out.set(p, c.p);
    out.set(s, apparent);
    out.set(n, root(apparent * apparent - c.p * c.p));
    if (apparent > 0) {
        out.set(pf, std::clamp(c.p / apparent, -1.0, 1.0));
    } else {
        out.refuse(pf, v > 0 ? Undefined::no_current : Undefined::no_voltage);
    }
    if (c.spectrum) {
        of_orders(out, c, apparent);
    } else {
        without_fundamental(out, Undefined::not_given);
    }
    return out;
}

}  // namespace bln
