#include "power/wave_kernels.hpp"

#include <cmath>
#include <cstring>

#include "power/wide_loops.hpp"

#if defined(__SSE2__)
#include <immintrin.h>
#endif

namespace bln {

namespace {

/// Eight partial sums: exact enough, and free to run side by side.
template <class A, class B>
double products(const A* a, const B* b, std::size_t n) noexcept {
    double sum[8] = {};
    std::size_t i = 0;
    for (; i + 8 <= n; i += 8)
        for (std::size_t k = 0; k < 8; ++k) sum[k] += static_cast<double>(a[i + k]) * static_cast<double>(b[i + k]);
    for (; i < n; ++i) sum[0] += static_cast<double>(a[i]) * static_cast<double>(b[i]);
    return ((sum[0] + sum[4]) + (sum[1] + sum[5])) + ((sum[2] + sum[6]) + (sum[3] + sum[7]));
}

using Doubles = double __attribute__((vector_size(32), aligned(8)));

BLN_WIDE_LOOPS double double_products(const double* a, const double* b, std::size_t n) noexcept {
    Doubles left = {}, right = {};
    std::size_t i = 0;
    for (; i + 8 <= n; i += 8) {
        left += *reinterpret_cast<const Doubles*>(a + i) * *reinterpret_cast<const Doubles*>(b + i);
        right += *reinterpret_cast<const Doubles*>(a + i + 4) * *reinterpret_cast<const Doubles*>(b + i + 4);
    }
    left += right;
    double sum = (left[0] + left[1]) + (left[2] + left[3]);
    for (; i < n; ++i) sum += a[i] * b[i];
    return sum;
}

std::int64_t whole_products(const std::int16_t* a, const std::int16_t* b, std::size_t n) noexcept {
    std::int64_t sum = 0;
    for (std::size_t i = 0; i < n; ++i) sum += std::int32_t{a[i]} * std::int32_t{b[i]};
    return sum;
}

#if defined(__SSE2__)
/// Exact. Each pair of products is split into 16 low and 16 high bits, which 32-bit lanes add without overflow for 2^14
/// steps. One pair alone leaves 32 bits, -32768 four times over; then the plain loop counts again.
std::int64_t narrow_products(const std::int16_t* a, const std::int16_t* b, std::size_t n) noexcept {
    constexpr std::size_t run = std::size_t{8} << 14;
    const __m128i low_mask = _mm_set1_epi32(0xFFFF), least = _mm_set1_epi32(INT32_MIN);
    std::int64_t sum = 0;
    std::size_t i = 0;
    __m128i broken = _mm_setzero_si128();
    const std::size_t whole = n - n % 8;
    while (i < whole) {
        const std::size_t stop = whole - i < run ? whole : i + run;
        __m128i low = _mm_setzero_si128(), high = _mm_setzero_si128();
        for (; i < stop; i += 8) {
            const __m128i pair = _mm_madd_epi16(_mm_loadu_si128(reinterpret_cast<const __m128i*>(a + i)),
                                                _mm_loadu_si128(reinterpret_cast<const __m128i*>(b + i)));
            low = _mm_add_epi32(low, _mm_and_si128(pair, low_mask));
            high = _mm_add_epi32(high, _mm_srai_epi32(pair, 16));
            broken = _mm_or_si128(broken, _mm_cmpeq_epi32(pair, least));
        }
        alignas(16) std::int32_t l[4], h[4];
        _mm_store_si128(reinterpret_cast<__m128i*>(l), low);
        _mm_store_si128(reinterpret_cast<__m128i*>(h), high);
        for (int k = 0; k < 4; ++k) sum += std::int64_t{l[k]} + std::int64_t{h[k]} * 65536;
    }
    if (_mm_movemask_epi8(broken) != 0) return whole_products(a, b, n);
    return sum + whole_products(a + i, b + i, n - i);
}

/// The same, sixteen at a time.
__attribute__((target("avx2"))) std::int64_t wide_products(const std::int16_t* a, const std::int16_t* b,
                                                           std::size_t n) noexcept {
    constexpr std::size_t run = std::size_t{16} << 14;
    const __m256i low_mask = _mm256_set1_epi32(0xFFFF), least = _mm256_set1_epi32(INT32_MIN);
    std::int64_t sum = 0;
    std::size_t i = 0;
    __m256i broken = _mm256_setzero_si256();
    const std::size_t whole = n - n % 16;
    while (i < whole) {
        const std::size_t stop = whole - i < run ? whole : i + run;
        __m256i low = _mm256_setzero_si256(), high = _mm256_setzero_si256();
        for (; i < stop; i += 16) {
            const __m256i pair = _mm256_madd_epi16(_mm256_loadu_si256(reinterpret_cast<const __m256i*>(a + i)),
                                                   _mm256_loadu_si256(reinterpret_cast<const __m256i*>(b + i)));
            low = _mm256_add_epi32(low, _mm256_and_si256(pair, low_mask));
            high = _mm256_add_epi32(high, _mm256_srai_epi32(pair, 16));
            broken = _mm256_or_si256(broken, _mm256_cmpeq_epi32(pair, least));
        }
        alignas(32) std::int32_t l[8], h[8];
        _mm256_store_si256(reinterpret_cast<__m256i*>(l), low);
        _mm256_store_si256(reinterpret_cast<__m256i*>(h), high);
        for (int k = 0; k < 8; ++k) sum += std::int64_t{l[k]} + std::int64_t{h[k]} * 65536;
    }
    if (_mm256_movemask_epi8(broken) != 0) return whole_products(a, b, n);
    return sum + whole_products(a + i, b + i, n - i);
}

std::int64_t packed_products(const std::int16_t* a, const std::int16_t* b, std::size_t n) noexcept {
    static const bool wide = __builtin_cpu_supports("avx2") != 0;
    return wide ? wide_products(a, b, n) : narrow_products(a, b, n);
}
#else
std::int64_t packed_products(const std::int16_t* a, const std::int16_t* b, std::size_t n) noexcept {
    return whole_products(a, b, n);
}
#endif

template <class A>
double with(const A* a, const void* b, Sample type_b, std::size_t n) noexcept {
    switch (type_b) {
        case Sample::i16:
            return products(a, static_cast<const std::int16_t*>(b), n);
        case Sample::i32:
            return products(a, static_cast<const std::int32_t*>(b), n);
        case Sample::f32:
            return products(a, static_cast<const float*>(b), n);
        case Sample::f64:
            break;
    }
    return products(a, static_cast<const double*>(b), n);
}

template <class T, class Sum>
inline __attribute__((always_inline)) void folded(const T* row, const std::size_t* starts, std::size_t cycles,
                                                  std::size_t length, double scale, double* out) noexcept {
    // A stretch at a time, so that its sums stay in the first cache whatever the length of a cycle.
    constexpr std::size_t stretch = 256;
    for (std::size_t at = 0; at < length; at += stretch) {
        const std::size_t n = length - at < stretch ? length - at : stretch;
        Sum sum[stretch] = {};
        for (std::size_t j = 0; j < cycles; ++j) {
            const T* x = row + starts[j] + at;
            for (std::size_t m = 0; m < n; ++m) sum[m] = static_cast<Sum>(sum[m] + static_cast<Sum>(x[m]));
        }
        for (std::size_t m = 0; m < n; ++m) out[at + m] = static_cast<double>(sum[m]) * scale;
    }
}

using Shorts = std::int16_t __attribute__((vector_size(16), aligned(2)));
using Sums = std::int32_t __attribute__((vector_size(32)));

/// The sums fit: a window has at most 10,000 cycles. They stay in registers while all cycles are added.
BLN_WIDE_LOOPS void folded_short(const std::int16_t* row, const std::size_t* starts, std::size_t cycles,
                                 std::size_t length, double scale, double* out) noexcept {
    std::size_t at = 0;
    for (; at + 16 <= length; at += 16) {
        Sums left = {}, right = {};
        for (std::size_t j = 0; j < cycles; ++j) {
            const std::int16_t* x = row + starts[j] + at;
            left += __builtin_convertvector(*reinterpret_cast<const Shorts*>(x), Sums);
            right += __builtin_convertvector(*reinterpret_cast<const Shorts*>(x + 8), Sums);
        }
        for (std::size_t m = 0; m < 8; ++m) {
            out[at + m] = static_cast<double>(left[m]) * scale;
            out[at + 8 + m] = static_cast<double>(right[m]) * scale;
        }
    }
    for (; at < length; ++at) {
        std::int32_t sum = 0;
        for (std::size_t j = 0; j < cycles; ++j) sum += row[starts[j] + at];
        out[at] = static_cast<double>(sum) * scale;
    }
}

template <class T>
std::size_t gathered(const void* data, std::int64_t stride, std::size_t n, T* row) noexcept {
    const char* from = static_cast<const char*>(data);
    if (stride == static_cast<std::int64_t>(sizeof(T))) {
        std::memcpy(row, from, n * sizeof(T));
    } else {
        for (std::size_t i = 0; i < n; ++i, from += stride) std::memcpy(row + i, from, sizeof(T));
    }
    if constexpr (static_cast<T>(0.5) != T{0}) {
        bool good = true;
        for (std::size_t i = 0; i < n; ++i) good &= row[i] - row[i] == T{0};
        if (good) return n;
        for (std::size_t i = 0; i < n; ++i)
            if (!std::isfinite(row[i])) return i;
    }
    return n;
}

}  // namespace

std::size_t bytes_of(Sample type) noexcept {
    switch (type) {
        case Sample::i16:
            return 2;
        case Sample::i32:
        case Sample::f32:
            return 4;
        case Sample::f64:
            break;
    }
    return 8;
}

double sample_at(const void* row, Sample type, std::size_t i) noexcept {
    switch (type) {
        case Sample::i16:
            return static_cast<const std::int16_t*>(row)[i];
        case Sample::i32:
            return static_cast<const std::int32_t*>(row)[i];
        case Sample::f32:
            return static_cast<double>(static_cast<const float*>(row)[i]);
        case Sample::f64:
            break;
    }
    return static_cast<const double*>(row)[i];
}

double dot(const void* a, Sample type_a, const void* b, Sample type_b, std::size_t n) noexcept {
    switch (type_a) {
        case Sample::i16:
            if (type_b == Sample::i16)
                return static_cast<double>(
                    packed_products(static_cast<const std::int16_t*>(a), static_cast<const std::int16_t*>(b), n));
            return with(static_cast<const std::int16_t*>(a), b, type_b, n);
        case Sample::i32:
            return with(static_cast<const std::int32_t*>(a), b, type_b, n);
        case Sample::f32:
            return with(static_cast<const float*>(a), b, type_b, n);
        case Sample::f64:
            break;
    }
    if (type_b == Sample::f64) return double_products(static_cast<const double*>(a), static_cast<const double*>(b), n);
    return with(static_cast<const double*>(a), b, type_b, n);
}

void fold(const void* row, Sample type, const std::size_t* starts, std::size_t cycles, std::size_t length, double scale,
          double* out) noexcept {
    switch (type) {
        case Sample::i16:
            return folded_short(static_cast<const std::int16_t*>(row), starts, cycles, length, scale, out);
        case Sample::i32:
            return folded<std::int32_t, double>(static_cast<const std::int32_t*>(row), starts, cycles, length, scale,
                                                out);
        case Sample::f32:
            return folded<float, double>(static_cast<const float*>(row), starts, cycles, length, scale, out);
        case Sample::f64:
            break;
    }
    folded<double, double>(static_cast<const double*>(row), starts, cycles, length, scale, out);
}

void numbers(const void* row, Sample type, std::size_t first, std::size_t n, double* out) noexcept {
    for (std::size_t i = 0; i < n; ++i) out[i] = sample_at(row, type, first + i);
}

std::size_t gather(const void* data, std::int64_t stride, Sample type, std::size_t n, void* row) noexcept {
    switch (type) {
        case Sample::i16:
            return gathered(data, stride, n, static_cast<std::int16_t*>(row));
        case Sample::i32:
            return gathered(data, stride, n, static_cast<std::int32_t*>(row));
        case Sample::f32:
            return gathered(data, stride, n, static_cast<float*>(row));
        case Sample::f64:
            break;
    }
    return gathered(data, stride, n, static_cast<double*>(row));
}

}  // namespace bln
