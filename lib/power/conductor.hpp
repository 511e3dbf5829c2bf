// The conductors that a metering form knows, and small sets of them.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace bln {

enum class Conductor : std::int8_t { none = -1, A, B, C, N, G };
inline constexpr std::size_t conductor_count = 5;

[[nodiscard]] constexpr std::size_t index_of(Conductor c) noexcept { return static_cast<std::size_t>(c); }

[[nodiscard]] constexpr std::string_view word_of(Conductor c) noexcept {
    constexpr std::array<std::string_view, conductor_count> words{"A", "B", "C", "N", "G"};
    return c == Conductor::none ? std::string_view{"none"} : words[index_of(c)];
}

/// Reads "A", "B", "C", "N" or "G"; anything else is none.
[[nodiscard]] constexpr Conductor conductor_of(std::string_view word) noexcept {
    if (word.size() != 1) return Conductor::none;
    switch (word.front()) {
        case 'A':
            return Conductor::A;
        case 'B':
            return Conductor::B;
        case 'C':
            return Conductor::C;
        case 'N':
            return Conductor::N;
        case 'G':
            return Conductor::G;
        default:
            return Conductor::none;
    }
}

/// Which conductors stand at one potential by construction: equal numbers are bonded, -1 means
/// that the supply has no such conductor.
struct Bonding {
    std::array<std::int8_t, conductor_count> node{-1, -1, -1, -1, -1};

    [[nodiscard]] constexpr bool has(Conductor c) const noexcept {
        return c != Conductor::none && node[index_of(c)] >= 0;
    }
    [[nodiscard]] constexpr bool bonded(Conductor a, Conductor b) const noexcept {
        return has(a) && has(b) && node[index_of(a)] == node[index_of(b)];
    }
    /// Number of different potentials.
    [[nodiscard]] constexpr std::size_t nodes() const noexcept {
        std::int8_t most = -1;
        for (const std::int8_t n : node) most = n > most ? n : most;
        return static_cast<std::size_t>(most + 1);
    }
};

}  // namespace bln
