#include "power/harmonic_fit.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "power/wide_loops.hpp"

namespace bln {

namespace {

/// Sum of cos(j step (m - centre)) over the samples of a folded cycle.
double dirichlet(double j, double step, std::size_t length) noexcept {
    if (j == 0) return static_cast<double>(length);
    return std::sin(j * step * static_cast<double>(length) / 2) / std::sin(j * step / 2);
}

/// Cholesky factor of a symmetric positive definite matrix, in place. The upper triangle comes in, both hold the
/// factor when done; the rows of the upper one are worked on, since they lie together in memory.
BLN_WIDE_LOOPS void cholesky(double* m, std::size_t n) noexcept {
    for (std::size_t c = 0; c < n; ++c) {
        double* row = m + c * n;
        const double pivot = 1 / std::sqrt(row[c]);
        for (std::size_t k = c; k < n; ++k) row[k] *= pivot;
        for (std::size_t r = c + 1; r < n; ++r) {
            const double f = row[r];
            double* below = m + r * n;
            for (std::size_t k = r; k < n; ++k) below[k] -= f * row[k];
        }
    }
    for (std::size_t r = 0; r < n; ++r)
        for (std::size_t c = 0; c < r; ++c) m[r * n + c] = m[c * n + r];
}

using Four = double __attribute__((vector_size(32), aligned(8)));

/// x[0] -= sum over c of l[c * apart] * x of row c, for a block of columns that stays in registers.
template <std::size_t Fours>
inline __attribute__((always_inline)) void eliminate(double* to, const double* l, std::size_t apart, const double* from,
                                                     std::size_t rows, std::size_t width, double pivot) noexcept {
    Four sum[Fours];
    for (std::size_t b = 0; b < Fours; ++b) sum[b] = *reinterpret_cast<const Four*>(to + 4 * b);
    for (std::size_t c = 0; c < rows; ++c, from += width) {
        const double f = l[c * apart];
        for (std::size_t b = 0; b < Fours; ++b) sum[b] -= f * *reinterpret_cast<const Four*>(from + 4 * b);
    }
    for (std::size_t b = 0; b < Fours; ++b) *reinterpret_cast<Four*>(to + 4 * b) = sum[b] * pivot;
}
inline __attribute__((always_inline)) void eliminate_row(double* to, const double* l, std::size_t apart,
                                                         const double* from, std::size_t rows, std::size_t width,
                                                         double pivot) noexcept {
    std::size_t p = 0;
    for (; p + 32 <= width; p += 32) eliminate<8>(to + p, l, apart, from + p, rows, width, pivot);
    for (; p + 8 <= width; p += 8) eliminate<2>(to + p, l, apart, from + p, rows, width, pivot);
    for (; p < width; ++p) {
        double sum = to[p];
        for (std::size_t c = 0; c < rows; ++c) sum -= l[c * apart] * from[c * width + p];
        to[p] = sum * pivot;
    }
}

/// Solves L L' X = X for the rows of X, @p n rows of @p width, with the Cholesky factor L.
BLN_WIDE_LOOPS void substitute(const double* l, double* x, std::size_t n, std::size_t width) noexcept {
    for (std::size_t r = 0; r < n; ++r) eliminate_row(x + r * width, l + r * n, 1, x, r, width, 1 / l[r * n + r]);
    for (std::size_t r = n; r-- > 0;)
        eliminate_row(x + r * width, l + r * n + r + 1, 1, x + (r + 1) * width, n - r - 1, width, 1 / l[r * n + r]);
}

constexpr std::size_t lanes = HarmonicFit::lanes;

/// Four rows at a time against eight right-hand sides, so that all sums stay in registers.
template <std::size_t Rows>
inline __attribute__((always_inline)) void multiply_rows(const double* rows, std::size_t half, const double* x,
                                                         double* out) noexcept {
    Four sum[Rows][2] = {};
    for (std::size_t p = 0; p < half; ++p) {
        const Four left = *reinterpret_cast<const Four*>(x + p * lanes);
        const Four right = *reinterpret_cast<const Four*>(x + p * lanes + 4);
        for (std::size_t r = 0; r < Rows; ++r) {
            const double f = rows[r * half + p];
            sum[r][0] += left * f;
            sum[r][1] += right * f;
        }
    }
    for (std::size_t r = 0; r < Rows; ++r)
        for (std::size_t i = 0; i < lanes; ++i) out[r * lanes + i] = sum[r][i / 4][i % 4];
}

/// out[k][lane] = sum over p of rows[k][p] * x[p][lane]
BLN_WIDE_LOOPS void multiply(const double* rows, std::size_t count, std::size_t half, const double* x,
                             double* out) noexcept {
    std::size_t k = 0;
    for (; k + 4 <= count; k += 4) multiply_rows<4>(rows + k * half, half, x, out + k * lanes);
    for (; k < count; ++k) multiply_rows<1>(rows + k * half, half, x, out + k * lanes);
}

/// Even and odd part of eight folded cycles about their middle, cycle by cycle side by side.
BLN_WIDE_LOOPS void halve(const double* rows, std::size_t length, std::size_t half, double* even,
                          double* odd) noexcept {
    const std::size_t upper = length / 2, lower = (length - 1) / 2;
    for (std::size_t p = 0; p < half; ++p) {
        const double *right = rows + upper + p, *left = rows + lower - p;
        for (std::size_t i = 0; i < lanes; ++i) {
            const double r = right[i * length], l = left[i * length];
            even[p * lanes + i] = r + l;
            odd[p * lanes + i] = r - l;
        }
    }
    if (upper != lower) return;
    for (std::size_t i = 0; i < lanes; ++i) even[i] = rows[i * length + upper];
}

/// out[k] = (a[k] - j b[k]) factor[k] for k >= 1, part by part: a complex number on the stack would stall the
/// processor.
void turn(const double* a, const double* b, const HarmonicFit::Phasor* factor, std::size_t orders,
          HarmonicFit::Phasor* out) noexcept {
    const double* f = reinterpret_cast<const double*>(factor);
    double* to = reinterpret_cast<double*>(out);
    for (std::size_t k = 1; k < orders; ++k) {
        const double re = a[k * lanes], im = -b[k * lanes];
        to[2 * k] = re * f[2 * k] - im * f[2 * k + 1];
        to[2 * k + 1] = re * f[2 * k + 1] + im * f[2 * k];
    }
}

}  // namespace

void Folding::set(double begin, double period, std::size_t cycles) {
    step = 2 * std::numbers::pi / period;
    const double near = std::round(period);
    length = static_cast<std::size_t>(std::abs(period - near) < 1e-6 ? near : std::floor(period));
    origin = begin;
    starts.resize(cycles);
    offset.resize(cycles);
    for (std::size_t j = 0; j < cycles; ++j) {
        const double at = begin + static_cast<double>(j) * period, whole = std::max(0.0, std::round(at));
        starts[j] = static_cast<std::size_t>(whole);
        offset[j] = whole - at;
    }
}

void HarmonicFit::reserve(std::size_t length, std::size_t orders) {
    const std::size_t half = (length + 1) / 2;
    cosines_.reserve(orders * half);
    sines_.reserve(orders * half);
    gram_.reserve(orders * orders);
    even_.reserve(half * lanes);
    odd_.reserve(half * lanes);
    a_.reserve(orders * lanes);
    b_.reserve(orders * lanes);
    factor_.reserve(orders);
}

void HarmonicFit::set(const Folding& folding, std::size_t highest) {
    if (folding.step == step_ && folding.length == length_ && highest == highest_) return;
    step_ = folding.step;
    length_ = folding.length;
    highest_ = highest;
    half_ = (length_ + 1) / 2;
    cosines_.resize((highest + 1) * half_);
    sines_.resize((highest + 1) * half_);
    const double shift = length_ % 2 == 1 ? 0 : 0.5;
    for (std::size_t p = 0; p < half_; ++p) {
        const double t = step_ * (static_cast<double>(p) + shift);
        const Phasor turn(std::cos(t), std::sin(t));
        Phasor now = 1;
        for (std::size_t k = 0; k <= highest; ++k) {
            cosines_[k * half_ + p] = now.real();
            sines_[k * half_ + p] = now.imag();
            now = {now.real() * turn.real() - now.imag() * turn.imag(),
                   now.real() * turn.imag() + now.imag() * turn.real()};
        }
    }
    invert(false);
    invert(true);
}

/// Replaces the rows of a basis by those of its pseudo-inverse: (B B')^-1 B. Cosines and sines about the middle of the
/// cycle are orthogonal, so each is a problem of half the size.
void HarmonicFit::invert(bool sines) {
    const std::size_t first = sines ? 1 : 0, n = highest_ + 1 - first;
    double* basis = (sines ? sines_ : cosines_).data() + first * half_;
    gram_.resize(n * n);
    std::vector<double>& sums = a_;
    sums.resize(2 * highest_ + 1);
    for (std::size_t j = 0; j <= 2 * highest_; ++j) sums[j] = dirichlet(static_cast<double>(j), step_, length_);
    for (std::size_t r = 0; r < n; ++r)
        for (std::size_t c = 0; c <= r; ++c) {
            const double near = sums[r - c], far = sums[r + c + 2 * first];
            gram_[c * n + r] = (sines ? near - far : near + far) / 2;
        }
    cholesky(gram_.data(), n);
    substitute(gram_.data(), basis, n, half_);
}

void HarmonicFit::factors(const Folding& folding, double origin) {
    // Powers of one turn a cycle: a sine for each order would cost as much as the solution.
    factor_.assign(highest_ + 1, 0);
    for (const double o : folding.offset) {
        const double c = std::cos(step_ * o), s = std::sin(step_ * o);
        double re = 1, im = 0;
        for (Phasor& f : factor_) {
            f = {f.real() + re, f.imag() + im};
            const double next = re * c - im * s;
            im = re * s + im * c;
            re = next;
        }
    }
    const double centre = (static_cast<double>(length_) - 1) / 2;
    const double back = step_ * (folding.origin + centre - origin);
    for (std::size_t k = 1; k <= highest_; ++k) {
        const double w = static_cast<double>(k) * back, re = factor_[k].real(), im = factor_[k].imag();
        const double c = std::cos(w), s = std::sin(w), size = (re * re + im * im) * std::numbers::sqrt2;
        // (c - js) / (re + j im)
        factor_[k] = {(c * re - s * im) / size, (-s * re - c * im) / size};
    }
    factor_[0] = 1.0 / static_cast<double>(folding.offset.size());
}

void HarmonicFit::solve(const double* folded, std::size_t rows, const Folding& folding, double origin, Phasor* out) {
    factors(folding, origin);
    const std::size_t orders = highest_ + 1;
    even_.resize(half_ * lanes);
    odd_.resize(half_ * lanes);
    a_.resize(orders * lanes);
    b_.resize(orders * lanes);
    for (std::size_t at = 0; at < rows; at += lanes) {
        const std::size_t count = std::min(lanes, rows - at);
        halve(folded + at * length_, length_, half_, even_.data(), odd_.data());
        multiply(cosines_.data(), orders, half_, even_.data(), a_.data());
        multiply(sines_.data(), orders, half_, odd_.data(), b_.data());
        for (std::size_t i = 0; i < count; ++i) {
            Phasor* to = out + (at + i) * orders;
            to[0] = a_[i] * factor_[0].real();
            turn(a_.data() + i, b_.data() + i, factor_.data(), orders, to);
        }
    }
}

HarmonicFit::Phasor HarmonicFit::fundamental(const double* folded, const Folding& folding, double origin) const {
    const std::size_t upper = length_ / 2, lower = (length_ - 1) / 2;
    double a = 0, b = 0;
    for (std::size_t p = 0; p < half_; ++p) {
        const double right = folded[upper + p], left = folded[lower - p];
        const bool middle = upper == lower && p == 0;
        a += cosines_[half_ + p] * (middle ? right : right + left);
        b += sines_[half_ + p] * (middle ? 0 : right - left);
    }
    Phasor sum = 0;
    for (const double o : folding.offset) sum += Phasor(std::cos(folding.step * o), std::sin(folding.step * o));
    const double back = folding.step * (folding.origin + (static_cast<double>(length_) - 1) / 2 - origin);
    return Phasor(a, -b) * Phasor(std::cos(back), -std::sin(back)) / (sum * std::numbers::sqrt2);
}

}  // namespace bln
