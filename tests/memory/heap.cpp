#include "heap.hpp"

#include <cstddef>
#include <cstdlib>
#include <new>

// The linker sends every call of malloc in this program and in the static library to __wrap_malloc.
extern "C" {
void* __real_malloc(std::size_t n);
void* __real_calloc(std::size_t n, std::size_t size);
void* __real_realloc(void* p, std::size_t n);
void __real_free(void* p);
void* __wrap_malloc(std::size_t n);
void* __wrap_calloc(std::size_t n, std::size_t size);
void* __wrap_realloc(void* p, std::size_t n);
void __wrap_free(void* p);
}

namespace {

struct {
    std::uint64_t fail_at = 0;  // 0: not armed
    heap::Mode mode = heap::Mode::once;
    std::uint64_t requests = 0;
    std::uint64_t refused = 0;
    std::int64_t live = 0;
} state;

bool refuse() noexcept {
    if (state.fail_at == 0) return false;
    ++state.requests;
    const bool no = state.mode == heap::Mode::once ? state.requests == state.fail_at : state.requests >= state.fail_at;
    if (no) ++state.refused;
    return no;
}

void* counted(void* p) noexcept {
    if (p != nullptr) ++state.live;
    return p;
}

void release(void* p) noexcept {
    if (p == nullptr) return;
    --state.live;
    __real_free(p);
}

void* obtain(std::size_t n) noexcept { return refuse() ? nullptr : counted(__real_malloc(n == 0 ? 1 : n)); }

void* obtain(std::size_t n, std::align_val_t alignment) noexcept {
    const auto a = static_cast<std::size_t>(alignment);
    // aligned_alloc wants a multiple of the alignment.
    return refuse() ? nullptr : counted(std::aligned_alloc(a, (n + a - 1) / a * a + (n == 0 ? a : 0)));
}

void* or_throw(void* p) {
    if (p == nullptr) throw std::bad_alloc();
    return p;
}

}  // namespace

namespace heap {

void arm(std::uint64_t n, Mode mode) noexcept {
    state.fail_at = n;
    state.mode = mode;
    state.requests = 0;
    state.refused = 0;
}
void disarm() noexcept { state.fail_at = 0; }
std::uint64_t requests() noexcept { return state.requests; }
std::uint64_t refused() noexcept { return state.refused; }
std::int64_t live() noexcept { return state.live; }

}  // namespace heap

extern "C" {
void* __wrap_malloc(std::size_t n) { return obtain(n); }
void* __wrap_calloc(std::size_t n, std::size_t size) { return refuse() ? nullptr : counted(__real_calloc(n, size)); }
void* __wrap_realloc(void* p, std::size_t n) {
    if (p == nullptr) return obtain(n);
    return refuse() ? nullptr : __real_realloc(p, n);
}
void __wrap_free(void* p) { release(p); }
}

void* operator new(std::size_t n) { return or_throw(obtain(n)); }
void* operator new[](std::size_t n) { return or_throw(obtain(n)); }
void* operator new(std::size_t n, const std::nothrow_t&) noexcept { return obtain(n); }
void* operator new[](std::size_t n, const std::nothrow_t&) noexcept { return obtain(n); }
void* operator new(std::size_t n, std::align_val_t a) { return or_throw(obtain(n, a)); }
void* operator new[](std::size_t n, std::align_val_t a) { return or_throw(obtain(n, a)); }
void* operator new(std::size_t n, std::align_val_t a, const std::nothrow_t&) noexcept { return obtain(n, a); }
void* operator new[](std::size_t n, std::align_val_t a, const std::nothrow_t&) noexcept { return obtain(n, a); }
void operator delete(void* p) noexcept { release(p); }
void operator delete[](void* p) noexcept { release(p); }
void operator delete(void* p, std::size_t) noexcept { release(p); }
void operator delete[](void* p, std::size_t) noexcept { release(p); }
void operator delete(void* p, const std::nothrow_t&) noexcept { release(p); }
void operator delete[](void* p, const std::nothrow_t&) noexcept { release(p); }
void operator delete(void* p, std::align_val_t) noexcept { release(p); }
void operator delete[](void* p, std::align_val_t) noexcept { release(p); }
void operator delete(void* p, std::size_t, std::align_val_t) noexcept { release(p); }
void operator delete[](void* p, std::size_t, std::align_val_t) noexcept { release(p); }
void operator delete(void* p, std::align_val_t, const std::nothrow_t&) noexcept { release(p); }
void operator delete[](void* p, std::align_val_t, const std::nothrow_t&) noexcept { release(p); }
