// Laws of quantities, on random loads.
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <random>
#include <vector>

#include "power/registers.hpp"
#include "power/snapshots.hpp"
#include "power/three_phase.hpp"

using namespace bln;

namespace {

class Random {
public:
    Phasor phasor(double size) { return {size * one_(engine_), size * one_(engine_)}; }
    double number(double size) { return size * one_(engine_); }

private:
    std::mt19937 engine_{20};
    std::uniform_real_distribution<double> one_{-1, 1};
};

Values three(const std::array<Phasor, 3>& v, const std::array<Phasor, 3>& i, Wires wires) {
    std::array<Harmonic, 3> h;
    ThreePhaseSums sums;
    sums.wires = wires;
    for (std::size_t x = 0; x < 3; ++x) {
        h[x] = {1, v[x], i[x]};
        sums.phase[x] = sums_of({&h[x], 1});
    }
    complete(sums);
    return three_phase_quantities(sums);
}

}  // namespace

TEST_CASE("quantities: S^2 = P^2 + Q^2 for sinusoids, and all names of Q agree") {
    Random random;
    for (int k = 0; k < 1000; ++k) {
        const Harmonic h{1, random.phasor(300), random.phasor(50)};
        const Values q = channel_quantities(sums_of({&h, 1}));
        const double s = q[Quantity::s];
        CHECK(std::hypot(q[Quantity::p], q[Quantity::q1]) == Approx(s).epsilon(1e-12));
        CHECK(std::abs(q[Quantity::n] - std::abs(q[Quantity::q1])) < 1e-6 * s);
        CHECK(q[Quantity::q_budeanu] == q[Quantity::q1]);
        CHECK(q[Quantity::q_quarter] == q[Quantity::q1]);
        CHECK(q[Quantity::thd_v] < 1e-7);
    }
}

TEST_CASE("quantities: the parts of S^2 add up, scaling scales, a common turn changes nothing") {
    Random random;
    for (int k = 0; k < 300; ++k) {
        std::vector<Harmonic> orders, turned;
        const double turn = random.number(3);
        for (const int n : {0, 1, 2, 3, 5, 7, 11}) {
            Harmonic h{n, random.phasor(n == 1 ? 230 : 20), random.phasor(10)};
            if (n == 0) h = {0, h.v.real(), h.i.real()};
            orders.push_back(h);
            const Phasor by(std::cos(n * turn), std::sin(n * turn));
            turned.push_back({n, h.v * by * 2.0, h.i * by * 3.0});
        }
        const Values q = channel_quantities(sums_of(orders)), r = channel_quantities(sums_of(turned));
        using enum Quantity;
        CHECK(std::pow(q[s1], 2) + std::pow(q[di], 2) + std::pow(q[dv], 2) + std::pow(q[sh], 2) ==
              Approx(q[s] * q[s]).epsilon(1e-12));
        CHECK(q[p1] + q[ph] == Approx(q[p]).margin(1e-9));
        CHECK(std::pow(q[p], 2) + std::pow(q[q_budeanu], 2) + std::pow(q[d_budeanu], 2) ==
              Approx(q[s] * q[s]).epsilon(1e-9));
        for (const Quantity one : {p, q1, s, n, q_budeanu, q_quarter, di, dv, sh})
            CHECK(r[one] == Approx(6 * q[one]).epsilon(1e-9).margin(1e-9));
        for (const Quantity one : {pf, pf1, thd_v, thd_i, quadrant, angle})
            CHECK(r[one] == Approx(q[one]).epsilon(1e-9).margin(1e-9));
    }
}

TEST_CASE("quantities: vector <= arithmetic, and <= effective where the voltages have no zero sequence") {
    Random random;
    for (int k = 0; k < 2000; ++k) {
        std::array<Phasor, 3> v{random.phasor(200), random.phasor(200), random.phasor(200)}, i{};
        for (Phasor& x : i) x = random.phasor(30);
        using enum Quantity;
        const Values any = three(v, i, Wires::four);
        CHECK(any[s_vector] <= any[s_arithmetic] * (1 + 1e-12));
        const Phasor zero = (v[0] + v[1] + v[2]) / 3.0;
        for (Phasor& x : v) x -= zero;
        const Values q = three(v, i, Wires::four);
        CHECK(q[s_vector] <= q[s_arithmetic] * (1 + 1e-12));
        CHECK(q[s_arithmetic] <= q[s_effective] * (1 + 1e-12));
        // Two ways to the same ratio: phasors, and the three line voltages alone.
        if (q[unbalance_v] < 1) CHECK(q[unbalance_lines] == Approx(q[unbalance_v]).epsilon(1e-6).margin(1e-9));
        CHECK(q[i_neutral] == Approx(3 * q[i_zero]).epsilon(1e-9));
    }
}

TEST_CASE("quantities: power from sequences; rotation turns angles alone") {
    Random random;
    for (int k = 0; k < 500; ++k) {
        const std::array<Phasor, 3> v{random.phasor(200), random.phasor(200), random.phasor(200)},
            i{random.phasor(9), random.phasor(9), random.phasor(9)};
        const Sequences a = sequences(v), b = sequences(i);
        const Phasor s = 3.0 * (a.zero * std::conj(b.zero) + a.positive * std::conj(b.positive) +
                                a.negative * std::conj(b.negative));
        const Values q = three(v, i, Wires::four);
        CHECK(q[Quantity::p] == Approx(s.real()).epsilon(1e-9).margin(1e-9));
        CHECK(q[Quantity::q1] == Approx(s.imag()).epsilon(1e-9).margin(1e-9));
        // A, B, C renamed B, C, A.
        const Values r = three({v[1], v[2], v[0]}, {i[1], i[2], i[0]}, Wires::four);
        for (const Quantity one : {Quantity::v_positive, Quantity::v_negative, Quantity::v_zero, Quantity::s_effective,
                                   Quantity::p, Quantity::unbalance_line})
            CHECK(r[one] == Approx(q[one]).epsilon(1e-12));
        // B and C exchanged: the sequences change places.
        const Values x = three({v[0], v[2], v[1]}, {i[0], i[2], i[1]}, Wires::four);
        CHECK(x[Quantity::v_positive] == Approx(q[Quantity::v_negative]).epsilon(1e-12));
    }
}

TEST_CASE("quantities: three wires need no datum") {
    Random random;
    for (int k = 0; k < 300; ++k) {
        std::array<Phasor, 3> v{random.phasor(200), random.phasor(200), random.phasor(200)};
        const Phasor a = random.phasor(9), b = random.phasor(9), datum = random.phasor(100);
        const std::array<Phasor, 3> i{a, b, -a - b};
        const Values q = three(v, i, Wires::three);
        for (Phasor& x : v) x -= datum;
        const Values r = three(v, i, Wires::three);
        for (const Quantity one : {Quantity::p, Quantity::q1, Quantity::s_effective, Quantity::v_negative})
            CHECK(r[one] == Approx(q[one]).epsilon(1e-9).margin(1e-9));
        CHECK(q[Quantity::i_neutral] < 1e-9);
    }
}

TEST_CASE("quantities: what does not exist is 0 with a reason") {
    const auto of = [](Phasor v, Phasor i) {
        const Harmonic h{1, v, i};
        return channel_quantities(sums_of({&h, 1}));
    };
    using enum Quantity;
    CHECK(of(230, 0).reason(pf) == Undefined::no_current);
    CHECK(of(0, 5).reason(pf) == Undefined::no_voltage);
    CHECK(of(0, 5).reason(angle) == Undefined::no_voltage);
    CHECK(of(230, 0).reason(quadrant) == Undefined::no_power);
    CHECK(of(230, 0).reason(thd_i) == Undefined::no_fundamental);
    CHECK(of(230, 0)[pf] == 0);
    CHECK(of(230, 5).reason(frequency) == Undefined::not_given);
    CHECK(of(230, 5).reason(s_vector) == Undefined::not_stated);
    CHECK(three({0, 0, 0}, {1, 1, 1}, Wires::four).reason(unbalance_v) == Undefined::no_positive_sequence);
    CHECK(three({0, 0, 0}, {1, 1, 1}, Wires::four).reason(unbalance_line) == Undefined::no_voltage);
    CHECK(line_sequence_ratio(400, 100, 100) < 0);
    CHECK(line_sequence_ratio(400, 400, 400) == 0);
    CHECK(line_sequence_ratio(400, 200, 200) == Approx(1).epsilon(1e-9));
}

TEST_CASE("quantities: quadrants go round counter-clockwise") {
    CHECK(quadrant(1, 1) == 1);
    CHECK(quadrant(-1, 1) == 2);
    CHECK(quadrant(-1, -1) == 3);
    CHECK(quadrant(1, -1) == 4);
    CHECK(quadrant(1, 0) == 1);
    CHECK(quadrant(0, 1) == 2);
    CHECK(quadrant(-1, 0) == 3);
    CHECK(quadrant(0, -1) == 4);
    CHECK(quadrant(0, 0) == 0);
}

TEST_CASE("quantities: the wrong register policies are wrong in the way that they are known for") {
    // A load between two legs of a wye below a power factor of 0.5: one leg runs backward (docs/theory/quantities.md).
    for (const RegisterPolicy policy :
         {RegisterPolicy::net_then_split, RegisterPolicy::clamp_each, RegisterPolicy::absolute}) {
        Registers r(policy);
        for (int k = 0; k < 4; ++k) {
            r.begin();
            r.element(900);
            r.element(-400);
            r.end(0.25);
        }
        const bool right = policy == RegisterPolicy::net_then_split;
        CHECK(r.import_wh() == (right ? 500 : policy == RegisterPolicy::clamp_each ? 900 : 1300));
        CHECK(r.export_wh() == (policy == RegisterPolicy::clamp_each ? 400 : 0));
    }
}

TEST_CASE("quantities: snapshots at every stride, type and length") {
    Random random;
    for (const std::size_t n : {0U, 1U, 511U, 512U, 1537U}) {
        std::vector<Phasor> v(n), i(n);
        std::vector<double> parts(4 * n);
        std::vector<float> narrow(4 * n);
        for (std::size_t k = 0; k < n; ++k) {
            v[k] = random.phasor(200);
            i[k] = random.phasor(20);
            const double four[] = {v[k].real(), v[k].imag(), i[k].real(), i[k].imag()};
            for (std::size_t c = 0; c < 4; ++c) {
                parts[c * n + k] = four[c];
                narrow[c * n + k] = static_cast<float>(four[c]);
            }
        }
        std::vector<double> p(n), q(n), s(n);
        const auto run = [&](const void* a, const void* b, const void* c, const void* d, std::int64_t stride,
                             bool single, double within) {
            const SnapshotColumns columns{{a, stride, single}, {b, stride, single},  {c, stride, single},
                                          {d, stride, single}, {p.data(), 8, false}, {q.data(), 8, false},
                                          {s.data(), 8, false}};
            CHECK(snapshot_power(columns, 0, n));
            for (std::size_t k = 0; k < n; ++k) {
                const Phasor power = v[k] * std::conj(i[k]);
                const bool right =
                    std::abs(Phasor(p[k], q[k]) - power) <= within && std::abs(s[k] - std::abs(power)) <= within;
                if (!right) FAIL("row " << k);
            }
        };
        const auto* cv = reinterpret_cast<const double*>(v.data());
        const auto* ci = reinterpret_cast<const double*>(i.data());
        if (n == 0) continue;
        run(cv, cv + 1, ci, ci + 1, 16, false, 1e-9);
        run(&parts[0], &parts[n], &parts[2 * n], &parts[3 * n], 8, false, 1e-9);
        run(&narrow[0], &narrow[n], &narrow[2 * n], &narrow[3 * n], 4, true, 1e-2);
        parts[n - 1] = std::numeric_limits<double>::quiet_NaN();
        const SnapshotColumns bad{{&parts[0], 8, false},
                                  {&parts[n], 8, false},
                                  {&parts[2 * n], 8, false},
                                  {&parts[3 * n], 8, false},
                                  {p.data(), 8, false},
                                  {},
                                  {}};
        CHECK_FALSE(snapshot_power(bad, 0, n));
    }
}

TEST_CASE("quantities: snapshots by the hundred thousand, into memory of any alignment") {
    constexpr std::size_t n = (std::size_t{1} << 18) + 7;
    std::vector<Phasor> v(n), i(n);
    for (std::size_t k = 0; k < n; ++k) {
        v[k] = Phasor(230 + static_cast<double>(k % 7), static_cast<double>(k % 11));
        i[k] = Phasor(3 - static_cast<double>(k % 5), static_cast<double>(k % 3));
    }
    const auto* cv = reinterpret_cast<const double*>(v.data());
    const auto* ci = reinterpret_cast<const double*>(i.data());
    for (const std::size_t shift : {0U, 1U}) {
        std::vector<double> p(n + 2, -1), q(n + 2, -1), s(n + 2, -1);
        const SnapshotColumns columns{{cv, 16, false},
                                      {cv + 1, 16, false},
                                      {ci, 16, false},
                                      {ci + 1, 16, false},
                                      {p.data() + shift, 8, false},
                                      {q.data() + shift, 8, false},
                                      {s.data() + shift, 8, false}};
        CHECK(snapshot_power(columns, 0, n));
        std::size_t wrong = 0;
        for (std::size_t k = 0; k < n; ++k) {
            const Phasor power = v[k] * std::conj(i[k]);
            wrong += p[k + shift] != power.real() || q[k + shift] != power.imag() ||
                     std::abs(s[k + shift] - std::abs(power)) > 1e-9;
        }
        CHECK(wrong == 0);
        CHECK(p[n + shift] == -1);
        CHECK(q[n + shift] == -1);
    }
    // What is not finite is noticed wherever it stands, in whichever part.
    std::vector<double> p(9), q(9);
    for (std::size_t at = 0; at < 9; ++at)
        for (const double bad : {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity()})
            for (int part = 0; part < 4; ++part) {
                std::vector<double> a(18, 2), b(18, 3);
                (part < 2 ? a : b)[2 * at + static_cast<std::size_t>(part % 2)] = bad;
                const SnapshotColumns columns{{a.data(), 16, false},
                                              {a.data() + 1, 16, false},
                                              {b.data(), 16, false},
                                              {b.data() + 1, 16, false},
                                              {p.data(), 8, false},
                                              {q.data(), 8, false},
                                              {}};
                CHECK_FALSE(snapshot_power(columns, 0, 9));
            }
}
