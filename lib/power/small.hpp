// A vector that keeps a few items inside itself: forms of ordinary loads need no heap.
#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <memory>
#include <span>
#include <type_traits>

namespace bln {

template <class T, std::size_t Inline>
class Small {
    static_assert(std::is_trivially_copyable_v<T>);

public:
    Small() noexcept = default;
    Small(const Small& other) { assign(other); }
    Small(Small&& other) noexcept { take(other); }
    Small& operator=(const Small& other) {
        if (this != &other) assign(other);
        return *this;
    }
    Small& operator=(Small&& other) noexcept {
        if (this != &other) take(other);
        return *this;
    }
    ~Small() = default;

    [[nodiscard]] std::size_t size() const noexcept { return size_; }
    [[nodiscard]] bool empty() const noexcept { return size_ == 0; }
    [[nodiscard]] T* data() noexcept { return heap_ ? heap_.get() : inside_.data(); }
    [[nodiscard]] const T* data() const noexcept { return heap_ ? heap_.get() : inside_.data(); }
    [[nodiscard]] T& operator[](std::size_t i) noexcept { return data()[i]; }
    [[nodiscard]] const T& operator[](std::size_t i) const noexcept { return data()[i]; }
    [[nodiscard]] T* begin() noexcept { return data(); }
    [[nodiscard]] T* end() noexcept { return data() + size_; }
    [[nodiscard]] const T* begin() const noexcept { return data(); }
    [[nodiscard]] const T* end() const noexcept { return data() + size_; }
    [[nodiscard]] std::span<const T> span() const noexcept { return {data(), size_}; }

    void reserve(std::size_t n) {
        if (n <= capacity_) return;
        const std::size_t wanted = std::max(n, capacity_ * 2);
        auto grown = std::make_unique<T[]>(wanted);
        std::copy_n(data(), size_, grown.get());
        heap_ = std::move(grown);
        capacity_ = wanted;
    }
    void push_back(const T& item) {
        const T copy = item;  // may lie in the memory that reserve() gives up
        reserve(size_ + 1);
        data()[size_++] = copy;
    }
    /// New items are T{}.
    void resize(std::size_t n) {
        reserve(n);
        if (n > size_) std::fill(data() + size_, data() + n, T{});
        size_ = n;
    }
    void clear() noexcept { size_ = 0; }

private:
    void assign(const Small& other) {
        reserve(other.size_);
        std::copy_n(other.data(), other.size_, data());
        size_ = other.size_;
    }
    void take(Small& other) noexcept {
        heap_ = std::move(other.heap_);
        capacity_ = other.capacity_;
        size_ = other.size_;
        if (!heap_) std::copy_n(other.inside_.data(), size_, inside_.data());
        other.capacity_ = Inline;
        other.size_ = 0;
    }

    std::array<T, Inline> inside_;
    std::unique_ptr<T[]> heap_;
    std::size_t capacity_ = Inline;
    std::size_t size_ = 0;
};

}  // namespace bln
