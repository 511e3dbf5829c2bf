// P, Q and S of millions of phasors: one pass over columns, no allocation.
#pragma once

#include <cstddef>
#include <cstdint>

namespace bln {

/// A column of doubles or floats at any stride.
struct RealColumn {
    const void* data = nullptr;
    std::int64_t stride = 0;
    bool single = false;  ///< float, not double
    [[nodiscard]] double at(std::size_t i) const noexcept;
};
struct RealTarget {
    void* data = nullptr;  ///< nullptr: not wanted
    std::int64_t stride = 0;
    bool single = false;
};

struct SnapshotColumns {
    RealColumn v_re, v_im, i_re, i_im;
    RealTarget p, q, s;
};

/// Fills the targets for rows [first, first + n). False: a row is not finite, or its power is beyond a double; which
/// one, the caller looks up.
[[nodiscard]] bool snapshot_power(const SnapshotColumns& c, std::size_t first, std::size_t n) noexcept;

}  // namespace bln
