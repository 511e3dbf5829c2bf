#include "power/snapshots.hpp"

#include <cmath>
#include <cstring>
#include <limits>

#include "power/wide_loops.hpp"

#if defined(__SSE2__)
#include <emmintrin.h>
#endif

namespace bln {

namespace {

template <class T>
T fetch(const void* data, std::int64_t stride, std::size_t i) noexcept {
    T out;
    std::memcpy(&out, static_cast<const char*>(data) + static_cast<std::ptrdiff_t>(i) * stride, sizeof out);
    return out;
}

/// Stride known to the compiler, so that it can use wide loads; Step 0: any.
template <int Step>
struct Doubles {
    const char* data;
    std::int64_t stride;
    double operator[](std::size_t i) const noexcept {
        double out;
        const auto at = static_cast<std::ptrdiff_t>(i) * (Step != 0 ? std::int64_t{Step} : stride);
        std::memcpy(&out, data + at, sizeof out);
        return out;
    }
};

struct Real {
    RealColumn column;
    double operator[](std::size_t i) const noexcept { return column.at(i); }
};

constexpr std::size_t block = 512;
constexpr std::size_t large_rows = std::size_t{1} << 18;  ///< beyond, results leave the caches anyway

/// One block into buffers that stay in the first cache. Whether all is finite.
template <class Source>
bool multiply(const Source& vr, const Source& vi, const Source& ir, const Source& ii, std::size_t n, double* p,
              double* q) noexcept {
    for (std::size_t i = 0; i < n; ++i) {
        const double a = vr[i], b = vi[i], c = ir[i], d = ii[i];
        p[i] = a * c + b * d;
        q[i] = b * c - a * d;
    }
    // Infinity and NaN of any input reach P or Q.
    std::int64_t bad = 0;
    for (std::size_t i = 0; i < n; ++i)
        bad |= static_cast<std::int64_t>(!(std::abs(p[i]) <= std::numeric_limits<double>::max())) |
               static_cast<std::int64_t>(!(std::abs(q[i]) <= std::numeric_limits<double>::max()));
    return bad == 0;
}

using Four = double __attribute__((vector_size(32), aligned(8)));
using Mask = std::int64_t __attribute__((vector_size(32)));

/// The same for complex numbers as they lie in an array, four rows at a time.
BLN_WIDE_LOOPS bool multiply_pairs(const double* v, const double* i, std::size_t n, double* p, double* q) noexcept {
    constexpr double most = std::numeric_limits<double>::max();
    const Four limit = {most, most, most, most};
    Mask good = {-1, -1, -1, -1};
    std::size_t k = 0;
    for (; k + 4 <= n; k += 4) {
        const Four v0 = *reinterpret_cast<const Four*>(v + 2 * k), v1 = *reinterpret_cast<const Four*>(v + 2 * k + 4);
        const Four i0 = *reinterpret_cast<const Four*>(i + 2 * k), i1 = *reinterpret_cast<const Four*>(i + 2 * k + 4);
        const Four a = {v0[0], v0[2], v1[0], v1[2]}, b = {v0[1], v0[3], v1[1], v1[3]};
        const Four c = {i0[0], i0[2], i1[0], i1[2]}, d = {i0[1], i0[3], i1[1], i1[3]};
        const Four watts = a * c + b * d, vars = b * c - a * d;
        good &= (watts <= limit) & (watts >= -limit) & (vars <= limit) & (vars >= -limit);
        *reinterpret_cast<Four*>(p + k) = watts;
        *reinterpret_cast<Four*>(q + k) = vars;
    }
    bool finite = (good[0] & good[1] & good[2] & good[3]) != 0;
    for (; k < n; ++k) {
        const double a = v[2 * k], b = v[2 * k + 1], c = i[2 * k], d = i[2 * k + 1];
        p[k] = a * c + b * d;
        q[k] = b * c - a * d;
        finite &= std::abs(p[k]) <= most && std::abs(q[k]) <= most;
    }
    return finite;
}

/// Copies past the caches: results that fill them would only push out what is read next, and be read before written.
void stream(double* to, const double* from, std::size_t n) noexcept {
    std::size_t k = 0;
#if defined(__SSE2__)
    if (reinterpret_cast<std::uintptr_t>(to) % 8 == 0) {
        if (reinterpret_cast<std::uintptr_t>(to) % 16 != 0 && n > 0) to[0] = from[0], k = 1;
        for (; k + 2 <= n; k += 2) _mm_stream_pd(to + k, _mm_loadu_pd(from + k));
    }
#endif
    if (k < n) std::memcpy(to + k, from + k, (n - k) * sizeof(double));
}

void put(const RealTarget& to, std::size_t first, std::size_t n, const double* from, bool large) noexcept {
    if (to.data == nullptr) return;
    char* at = static_cast<char*>(to.data) + static_cast<std::ptrdiff_t>(first) * to.stride;
    if (!to.single && to.stride == sizeof(double)) {
        if (large) return stream(reinterpret_cast<double*>(at), from, n);
        std::memcpy(at, from, n * sizeof(double));
        return;
    }
    for (std::size_t i = 0; i < n; ++i, at += to.stride) {
        if (to.single) {
            const auto x = static_cast<float>(from[i]);
            std::memcpy(at, &x, sizeof x);
        } else {
            std::memcpy(at, from + i, sizeof(double));
        }
    }
}

template <int Step>
Doubles<Step> doubles(const RealColumn& c, std::size_t first) noexcept {
    return {static_cast<const char*>(c.data) + static_cast<std::ptrdiff_t>(first) * c.stride, c.stride};
}

template <int Step>
bool as_doubles(const SnapshotColumns& c, std::size_t first, std::size_t n, double* p, double* q) noexcept {
    return multiply(doubles<Step>(c.v_re, first), doubles<Step>(c.v_im, first), doubles<Step>(c.i_re, first),
                    doubles<Step>(c.i_im, first), n, p, q);
}

/// Whether two columns are the parts of one array of complex numbers.
bool pairs(const RealColumn& re, const RealColumn& im) noexcept {
    return re.stride == 16 && im.stride == 16 && reinterpret_cast<std::uintptr_t>(re.data) % 8 == 0 &&
           static_cast<const char*>(im.data) == static_cast<const char*>(re.data) + 8;
}

bool all_of_stride(const SnapshotColumns& c, std::int64_t stride) noexcept {
    return c.v_re.stride == stride && c.v_im.stride == stride && c.i_re.stride == stride && c.i_im.stride == stride;
}

Real real(RealColumn c, std::size_t first) noexcept {
    c.data = static_cast<const char*>(c.data) + static_cast<std::ptrdiff_t>(first) * c.stride;
    return {c};
}

}  // namespace

double RealColumn::at(std::size_t i) const noexcept {
    return single ? static_cast<double>(fetch<float>(data, stride, i)) : fetch<double>(data, stride, i);
}

bool snapshot_power(const SnapshotColumns& c, std::size_t first, std::size_t n) noexcept {
    double p[block], q[block];
    const bool singles = c.v_re.single || c.v_im.single || c.i_re.single || c.i_im.single;
    const bool complex = !singles && pairs(c.v_re, c.v_im) && pairs(c.i_re, c.i_im);
    const bool large = n > large_rows;
    bool finite = true;
    for (std::size_t done = 0; done < n; done += block) {
        const std::size_t at = first + done, count = n - done < block ? n - done : block;
        if (singles) {
            finite &= multiply(real(c.v_re, at), real(c.v_im, at), real(c.i_re, at), real(c.i_im, at), count, p, q);
        } else if (complex) {
            finite &= multiply_pairs(static_cast<const double*>(c.v_re.data) + 2 * at,
                                     static_cast<const double*>(c.i_re.data) + 2 * at, count, p, q);
        } else if (all_of_stride(c, 8)) {
            finite &= as_doubles<8>(c, at, count, p, q);
        } else if (all_of_stride(c, 16)) {
            finite &= as_doubles<16>(c, at, count, p, q);
        } else {
            finite &= as_doubles<0>(c, at, count, p, q);
        }
        put(c.p, at, count, p, large);
        put(c.q, at, count, q, large);
        if (c.s.data == nullptr) continue;
        for (std::size_t i = 0; i < count; ++i) p[i] = std::sqrt(p[i] * p[i] + q[i] * q[i]);
        put(c.s, at, count, p, large);
    }
#if defined(__SSE2__)
    if (large) _mm_sfence();
#endif
    return finite;
}

}  // namespace bln
