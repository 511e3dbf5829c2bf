// Structs with a size that come in, and handles around shared core objects.
#pragma once

#include <algorithm>
#include <cstddef>
#include <cstring>
#include <memory>

#include "capi/handles.hpp"

namespace bln::capi {

/// Copies a sized struct of the caller; what the caller does not know of is zero.
template <class T>
T take(const T* from, const char* name) {
    const std::uint32_t known = required(from, name).size;
    if (known < sizeof(std::uint32_t) * 2) throw Failure(BLN_E_ARGUMENT, std::string(name) + "->size is not set");
    T out{};
    std::memcpy(&out, from, std::min<std::size_t>(known, sizeof out));
    return out;
}

/// Longest text that may be read: of the caller's limits, or the default of 1 GiB.
inline std::uint64_t most_bytes(const bln_limits* limits) {
    constexpr std::uint64_t usual = std::uint64_t{1} << 30;
    if (limits == nullptr) return usual;
    const bln_limits given = take(limits, "limits");
    // A caller that knows a shorter struct leaves the rest at the default.
    return limits->size >= offsetof(bln_limits, max_bytes) + sizeof given.max_bytes ? given.max_bytes : usual;
}

/// A handle around a core object.
template <class Handle, class Core>
std::unique_ptr<Handle> holding(std::shared_ptr<const Core> core) {
    auto handle = std::make_unique<Handle>();
    handle->core = std::move(core);
    return handle;
}

/// Item @p i of a list, or BLN_E_RANGE.
template <class List>
const auto& item_at(const List& list, std::size_t i, const char* what) {
    if (i >= list.size())
        throw Failure(BLN_E_RANGE,
                      std::string(what) + " " + std::to_string(i) + ": there are " + std::to_string(list.size()));
    return list[i];
}

}  // namespace bln::capi
