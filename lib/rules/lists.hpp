// For each of n keys a list of values, in one block of memory.
#pragma once

#include <cstdint>
#include <span>
#include <unordered_map>
#include <utility>
#include <vector>

namespace bln::rules {

template <class T>
class Lists {
public:
    Lists() = default;
    /// Values of one key keep the order in which @p pairs gives them.
    Lists(std::size_t keys, const std::vector<std::pair<std::uint32_t, T>>& pairs) : start_(keys + 1, 0) {
        for (const auto& p : pairs) ++start_[p.first + 1];
        for (std::size_t i = 0; i < keys; ++i) start_[i + 1] += start_[i];
        items_.resize(pairs.size());
        std::vector<std::uint32_t> next(start_.begin(), start_.end() - 1);
        for (const auto& p : pairs) items_[next[p.first]++] = p.second;
    }
    [[nodiscard]] std::span<const T> operator[](std::size_t key) const noexcept {
        if (!replaced_.empty()) {
            const auto at = replaced_.find(static_cast<std::uint32_t>(key));
            if (at != replaced_.end()) return at->second;
        }
        return {items_.data() + start_[key], items_.data() + start_[key + 1]};
    }
    /// Puts other values in the place of those of one key, without moving those of the others.
    void replace(std::size_t key, std::vector<T> values) {
        replaced_[static_cast<std::uint32_t>(key)] = std::move(values);
    }

private:
    std::vector<std::uint32_t> start_{0};
    std::vector<T> items_;
    std::unordered_map<std::uint32_t, std::vector<T>> replaced_;
};

}  // namespace bln::rules
