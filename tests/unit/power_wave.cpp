// Waveforms against their own formula: laws that hold whatever the rate, the frequency and the type of the samples.
#include "power/wave.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>
#include <vector>

#include "power/failure.hpp"

using namespace bln;

namespace {

constexpr double pi = std::numbers::pi;

struct Order {
    int order;
    double v, v_angle, i, i_angle;
};
const std::vector<Order> mixed{{1, 230, 0.3, 10, -0.2}, {3, 10, 1, 4, 2}, {5, 6, 0.4, 2, -1}, {17, 5, 0, 2, 0.1}};

double at(const std::vector<Order>& orders, double f, double t, bool current) {
    double sum = 0;
    for (const Order& o : orders)
        sum += std::numbers::sqrt2 * (current ? o.i : o.v) *
               std::cos(2 * pi * f * o.order * t + (current ? o.i_angle : o.v_angle));
    return sum;
}

WavePlan plan(double rate, double nominal, Sample type = Sample::f64) {
    WavePlan p;
    p.rate = rate;
    p.nominal = nominal;
    p.signals = {{type, type == Sample::i16   ? 0.02
                        : type == Sample::i32 ? 1e-5
                                              : 1.0},
                 {type, type == Sample::i16   ? 0.001
                        : type == Sample::i32 ? 1e-6
                                              : 1.0}};
    p.channels = {{0, 1}};
    return p;
}

template <class T>
std::vector<T> sampled(const WavePlan& p, double f, std::size_t n, bool current) {
    std::vector<T> out(n);
    for (std::size_t k = 0; k < n; ++k) {
        const double x = at(mixed, f, static_cast<double>(k) / p.rate, current) / p.signals[current ? 1 : 0].scale;
        out[k] = static_cast<T>(std::is_integral_v<T> ? std::round(x) : x);
    }
    return out;
}

/// Every window of the stream, pushed in blocks of @p block samples.
template <class T, class Each>
std::size_t run(Wave& wave, const std::vector<T>& v, const std::vector<T>& i, std::size_t block, const Each& each) {
    std::size_t windows = 0;
    for (std::size_t from = 0; from < v.size(); from += block) {
        const std::size_t n = std::min(block, v.size() - from);
        std::size_t done = 0;
        for (bool ready = true; ready || done < n;) {
            const std::vector<WaveSource> s{{v.data() + from + done, sizeof(T)}, {i.data() + from + done, sizeof(T)}};
            done += wave.push(s, n - done, ready);
            if (!ready) continue;
            ++windows;
            each();
        }
    }
    return windows;
}

struct Truth {
    double v2 = 0, i2 = 0, p = 0, budeanu = 0;
};
Truth truth() {
    Truth t;
    for (const Order& o : mixed) {
        t.v2 += o.v * o.v;
        t.i2 += o.i * o.i;
        t.p += o.v * o.i * std::cos(o.v_angle - o.i_angle);
        t.budeanu += o.v * o.i * std::sin(o.v_angle - o.i_angle);
    }
    return t;
}

template <class T>
void check(Sample type, double within) {
    const WavePlan p = plan(4000, 50, type);
    Wave wave(p);
    const auto v = sampled<T>(p, 50.03, 12'000, false), i = sampled<T>(p, 50.03, 12'000, true);
    const Truth t = truth();
    const std::size_t windows = run(wave, v, i, 1000, [&] {
        const Values& q = wave.channel(0);
        CHECK(q[Quantity::v_rms] == Approx(std::sqrt(t.v2)).epsilon(within));
        CHECK(q[Quantity::i_rms] == Approx(std::sqrt(t.i2)).epsilon(within));
        CHECK(q[Quantity::p] == Approx(t.p).epsilon(within));
        CHECK(q[Quantity::q1] == Approx(2300 * std::sin(0.5)).epsilon(within));
        CHECK(std::abs(wave.spectrum(0)[17]) == Approx(5).epsilon(100 * within));
    });
    CHECK(windows == 14);
}

}  // namespace

TEST_CASE("wave: any frequency, any rate, windows that end between samples") {
    const Truth t = truth();
    for (const double rate : {3200.0, 4000.0, 6400.0, 10'000.5})
        for (const double f : {43.1, 49.87, 50.0, 50.02, 57.3}) {
            INFO(rate << " samples a second, " << f << " Hz");
            const WavePlan p = plan(rate, 50);
            Wave wave(p);
            const auto n = static_cast<std::size_t>(rate * 2);
            const auto v = sampled<double>(p, f, n, false), i = sampled<double>(p, f, n, true);
            std::size_t number = 0;
            double next = 0;
            const std::size_t windows = run(wave, v, i, 777, [&] {
                const Values& q = wave.channel(0);
                // The first window begins where no samples stand before it: there the ends are only interpolated.
                const double within = number++ == 0 ? 2e-4 : 2e-6;
                CHECK(q[Quantity::frequency] == Approx(f).epsilon(1e-7));
                CHECK(wave.window().start == next);
                next += wave.window().length;
                CHECK(q[Quantity::p] == Approx(t.p).epsilon(within));
                CHECK(q[Quantity::v_rms] == Approx(std::sqrt(t.v2)).epsilon(within));
                CHECK(q[Quantity::q_budeanu] == Approx(t.budeanu).epsilon(1e-5));
                CHECK(q[Quantity::angle] == Approx(0.5 * 180 / pi).epsilon(1e-6));
                // Parseval: the orders carry the whole power of a signal that consists of them.
                double sum = 0;
                for (const Phasor& x : wave.spectrum(1)) sum += std::norm(x);
                CHECK(sum == Approx(t.i2).epsilon(1e-6));
                CHECK(std::abs(wave.spectrum(1)[2]) < 1e-5);
            });
            CHECK(windows >= static_cast<std::size_t>(f / 5) - 1);
        }
}

TEST_CASE("wave: every type of sample") {
    check<double>(Sample::f64, 1e-4);
    check<float>(Sample::f32, 1e-4);
    check<std::int32_t>(Sample::i32, 1e-4);
    check<std::int16_t>(Sample::i16, 3e-4);
}

TEST_CASE("wave: whole cycles of whole samples are exact from the first window on") {
    WavePlan p = plan(4000, 50);
    p.frequency = 50;
    Wave wave(p);
    const auto v = sampled<double>(p, 50, 800, false), i = sampled<double>(p, 50, 800, true);
    REQUIRE(run(wave, v, i, 800, [] {}) == 1);
    CHECK(wave.channel(0)[Quantity::p] == Approx(truth().p).epsilon(1e-13));
    CHECK_FALSE(wave.finish());
}

TEST_CASE("wave: blocks of any size give the same windows") {
    const WavePlan p = plan(4000, 50);
    const auto v = sampled<double>(p, 50.02, 8000, false), i = sampled<double>(p, 50.02, 8000, true);
    std::vector<double> one, other;
    Wave a(p), b(p);
    run(a, v, i, 8000, [&] { one.push_back(a.channel(0)[Quantity::p]); });
    run(b, v, i, 13, [&] { other.push_back(b.channel(0)[Quantity::p]); });
    REQUIRE(one.size() == other.size());
    for (std::size_t k = 0; k < one.size(); ++k) CHECK(one[k] == Approx(other[k]).epsilon(1e-12));
}

TEST_CASE("wave: full-scale integers are summed exactly") {
    // -32768 four times over does not fit the 32 bits of a pair of products.
    std::vector<std::int16_t> low(160, INT16_MIN);
    CHECK(dot(low.data(), Sample::i16, low.data(), Sample::i16, low.size()) == 160.0 * 32768 * 32768);
    std::mt19937 random(4);
    std::uniform_int_distribution<int> any(INT16_MIN, INT16_MAX);
    for (const std::size_t n : {1U, 7U, 8U, 1000U, 200'003U}) {
        std::vector<std::int16_t> a(n), b(n);
        std::int64_t sum = 0;
        for (std::size_t k = 0; k < n; ++k) {
            a[k] = static_cast<std::int16_t>(any(random));
            b[k] = static_cast<std::int16_t>(any(random));
            sum += std::int64_t{a[k]} * b[k];
        }
        CHECK(dot(a.data(), Sample::i16, b.data(), Sample::i16, n) == static_cast<double>(sum));
    }
}

TEST_CASE("wave: a reference without voltage gives windows of the nominal frequency, and says so") {
    Wave wave(plan(4000, 50));
    const std::vector<double> zero(1600, 0.0);
    const std::size_t windows = run(wave, zero, zero, 1600, [&] {
        CHECK_FALSE(wave.window().measured);
        CHECK(wave.channel(0).reason(Quantity::frequency) == Undefined::no_fundamental);
        CHECK(wave.channel(0).reason(Quantity::pf) == Undefined::no_voltage);
        CHECK(wave.channel(0).reason(Quantity::thd_v) == Undefined::no_fundamental);
        CHECK(wave.channel(0)[Quantity::v_rms] == 0);
    });
    CHECK(windows == 2);
}

TEST_CASE("wave: what a plan cannot mean is refused") {
    const auto status = [](WavePlan p) {
        try {
            const Wave wave(std::move(p));
        } catch (const Failure& f) {
            return f.items().front().status;
        }
        return static_cast<bln_status>(BLN_OK);
    };
    WavePlan p = plan(4000, 50);
    p.highest = 40;  // 2000 Hz is half the rate
    CHECK(status(p) == BLN_E_RANGE);
    p.highest = 39;
    CHECK(status(p) == BLN_OK);
    p.cycles = 1;
    CHECK(status(p) == BLN_E_RANGE);
    p.frequency = 50;
    CHECK(status(p) == BLN_OK);
    CHECK(status(plan(100, 50)) == BLN_E_RANGE);
    CHECK(status(plan(NAN, 50)) == BLN_E_RANGE);
    p.signals[1].scale = 0;
    CHECK(status(p) == BLN_E_VALUE);
    p = plan(4000, 50);
    p.channels = {{0, 2}};
    CHECK(status(p) == BLN_E_RANGE);
}

TEST_CASE("wave: a sample that is no number is refused, and nothing of its block is taken") {
    Wave wave(plan(4000, 50));
    std::vector<double> v(700, 1.0), i(700, 1.0);
    i[650] = INFINITY;
    bool ready = false;
    const std::vector<WaveSource> s{{v.data(), 8}, {i.data(), 8}};
    CHECK_THROWS_AS(wave.push(s, 700, ready), Failure);
    CHECK(wave.left() == 0);
    CHECK(wave.push(s, 650, ready) == 650);
    CHECK(wave.left() == 650);
}
