#include "power/snapshots.hpp"

#include <cmath>
#include <cstring>
#include <limits>

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

void put(const RealTarget& to, std::size_t first, std::size_t n, const double* from) noexcept {
    if (to.data == nullptr) return;
    char* at = static_cast<char*>(to.data) + static_cast<std::ptrdiff_t>(first) * to.stride;
    if (!to.single && to.stride == sizeof(double)) {
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
    bool finite = true;
    for (std::size_t done = 0; done < n; done += block) {
        const std::size_t at = first + done, count = n - done < block ? n - done : block;
        if (singles) {
            finite &= multiply(real(c.v_re, at), real(c.v_im, at), real(c.i_re, at), real(c.i_im, at), count, p, q);
        } else if (all_of_stride(c, 8)) {
            finite &= as_doubles<8>(c, at, count, p, q);
        } else if (all_of_stride(c, 16)) {
            finite &= as_doubles<16>(c, at, count, p, q);
        } else {
            finite &= as_doubles<0>(c, at, count, p, q);
        }
        put(c.p, at, count, p);
        put(c.q, at, count, q);
        if (c.s.data == nullptr) continue;
        for (std::size_t i = 0; i < count; ++i) p[i] = std::sqrt(p[i] * p[i] + q[i] * q[i]);
        put(c.s, at, count, p);
    }
    return finite;
}

}  // namespace bln
