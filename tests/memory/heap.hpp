// A heap that can be told to fail: operator new and malloc of this program.
#pragma once

#include <cstdint>

namespace heap {

enum class Mode : std::uint8_t {
    once,    ///< the n-th request fails, later ones succeed: what was done so far has to be undone
    onwards  ///< the n-th and all later ones fail: reporting must not need memory either
};

/// From now on the @p n-th request fails (counted from 1).
void arm(std::uint64_t n, Mode mode) noexcept;
void disarm() noexcept;
/// Requests, and refused ones, since the last arm().
[[nodiscard]] std::uint64_t requests() noexcept;
[[nodiscard]] std::uint64_t refused() noexcept;
/// Blocks that are allocated and not yet freed.
[[nodiscard]] std::int64_t live() noexcept;

}  // namespace heap
