// The loops over samples: products and folded cycles, for each type of sample.
#pragma once

#include <cstddef>
#include <cstdint>

namespace bln {

/// Numbers are those of the C interface.
enum class Sample : std::int32_t { i16 = 20, i32 = 30, f32 = 50, f64 = 60 };

[[nodiscard]] std::size_t bytes_of(Sample type) noexcept;
/// Sample @p i of a contiguous row, as a number.
[[nodiscard]] double sample_at(const void* row, Sample type, std::size_t i) noexcept;
/// Sum of a times b over @p n samples, in the units of the samples.
[[nodiscard]] double dot(const void* a, Sample type_a, const void* b, Sample type_b, std::size_t n) noexcept;
/// out[m] = scale times the sum over j of row[starts[j] + m], for m below @p length.
void fold(const void* row, Sample type, const std::size_t* starts, std::size_t cycles, std::size_t length, double scale,
          double* out) noexcept;
/// Samples from @p first on as numbers.
void numbers(const void* row, Sample type, std::size_t first, std::size_t n, double* out) noexcept;
/// Copies @p n samples of any stride into a row. The first that is not finite, or n.
[[nodiscard]] std::size_t gather(const void* data, std::int64_t stride, Sample type, std::size_t n, void* row) noexcept;

}  // namespace bln
