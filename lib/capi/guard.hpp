// The one exception guard: no exception passes from here into C, and reporting cannot fail.
#pragma once

#include <exception>
#include <new>
#include <string_view>
#include <utility>
#include <vector>

#include "blondel/blondel.h"
#include "power/failure.hpp"

struct bln_error {
    std::vector<bln::ErrorItem> items;
    bool fixed = false;  ///< the constant "out of memory", which is never freed
};

namespace bln::capi {

/// Stores an error object in *err (or the constant one when even that cannot be allocated).
bln_status report(bln_error** err, std::vector<ErrorItem>&& items) noexcept;
bln_status report(bln_error** err, bln_status status, const char* message) noexcept;
bln_status report_no_memory(bln_error** err) noexcept;

/// Runs @p body; turns whatever it throws into a status and an error object.
template <class Body>
bln_status guarded(bln_error** err, Body&& body) noexcept {
    try {
        std::forward<Body>(body)();
        return BLN_OK;
    } catch (Failure& f) {
        return report(err, std::move(f.items()));
    } catch (const std::bad_alloc&) {
        return report_no_memory(err);
    } catch (const std::exception& e) {
        return report(err, BLN_E_INTERNAL, e.what());
    } catch (...) {
        return report(err, BLN_E_INTERNAL, "unknown exception");
    }
}

/// The argument, or BLN_E_ARGUMENT when it is NULL. @p name is what the header calls it.
template <class T>
T& required(T* pointer, const char* name) {
    if (pointer == nullptr) throw Failure(BLN_E_ARGUMENT, std::string(name) + " is NULL");
    return *pointer;
}

/// A required NUL-terminated text, checked to be UTF-8.
std::string_view required_text(const char* text, const char* name);
/// Bytes with a length; NULL is allowed when @p n is 0.
std::string_view required_bytes(const char* data, std::size_t n, const char* name);

/// Copies @p from into the caller's sized struct, no byte beyond what the caller knows.
/// The first member of T is `uint32_t size`.
template <class T>
void hand_out(T* to, T from, const char* name) {
    const std::uint32_t known = required(to, name).size;
    if (known < sizeof(std::uint32_t) * 2) throw Failure(BLN_E_ARGUMENT, std::string(name) + "->size is not set");
    from.size = known;
    const std::size_t n = known < sizeof(T) ? known : sizeof(T);
    const auto* source = reinterpret_cast<const unsigned char*>(&from);
    auto* target = reinterpret_cast<unsigned char*>(to);
    for (std::size_t i = 0; i < n; ++i) target[i] = source[i];
}

}  // namespace bln::capi
