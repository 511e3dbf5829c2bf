// Memory that is handed out in order and given back all at once.
#pragma once

#include <cstddef>
#include <cstring>
#include <memory_resource>
#include <new>
#include <span>
#include <string_view>
#include <type_traits>

namespace bln {

/// Owner of everything a record holds. Grows; nothing in it moves or is destroyed singly.
class Arena {
public:
    Arena() = default;
    explicit Arena(std::size_t first) : pool_(first) {}
    Arena(const Arena&) = delete;
    Arena& operator=(const Arena&) = delete;

    template <class T>
    [[nodiscard]] T* array(std::size_t n) {
        static_assert(std::is_trivially_destructible_v<T>);
        if (n == 0) return nullptr;
        if (n > static_cast<std::size_t>(-1) / sizeof(T)) throw std::bad_alloc();
        T* p = static_cast<T*>(pool_.allocate(n * sizeof(T), alignof(T)));
        for (std::size_t i = 0; i < n; ++i) new (p + i) T();
        return p;
    }
    /// Room for @p n bytes, not initialised.
    [[nodiscard]] char* bytes(std::size_t n) { return static_cast<char*>(pool_.allocate(n, 1)); }
    template <class T>
    [[nodiscard]] std::span<const T> copy(std::span<const T> items) {
        T* p = array<T>(items.size());
        for (std::size_t i = 0; i < items.size(); ++i) p[i] = items[i];
        return {p, items.size()};
    }
    /// The copy is followed by a NUL, so that the C API can hand it out as it is.
    [[nodiscard]] std::string_view copy(std::string_view text) {
        if (text.empty()) return {"", 0};
        char* p = static_cast<char*>(pool_.allocate(text.size() + 1, 1));
        std::memcpy(p, text.data(), text.size());
        p[text.size()] = '\0';
        return {p, text.size()};
    }

private:
    std::pmr::monotonic_buffer_resource pool_;
};

}  // namespace bln
