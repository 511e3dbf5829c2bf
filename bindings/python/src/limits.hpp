// Limits of texts that are read, as Python keyword arguments.
#pragma once

#include <limits>

#include "common.hpp"

namespace binding {

/// None keeps the library's default.
inline bln_limits to_limits(const py::object& max_depth, const py::object& max_bytes) {
    bln_limits limits{};
    limits.size = sizeof limits;
    call([&](bln_error** err) { return bln_limits_default(&limits, err); });
    if (!max_depth.is_none()) {
        const std::int64_t depth = to_int64(max_depth, "max_depth");
        if (depth < 0 || depth > std::numeric_limits<std::uint32_t>::max())
            refuse(BLN_E_RANGE, "max_depth is outside what 32 bits hold");
        limits.max_depth = static_cast<std::uint32_t>(depth);
    }
    if (!max_bytes.is_none()) {
        const std::int64_t bytes = to_int64(max_bytes, "max_bytes");
        if (bytes < 0) refuse(BLN_E_RANGE, "max_bytes is negative");
        limits.max_bytes = static_cast<std::uint64_t>(bytes);
    }
    return limits;
}

}  // namespace binding
