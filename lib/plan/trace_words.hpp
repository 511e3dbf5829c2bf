// Words for breakers: as few steps as can be, with no more breakers off at once than allowed.
#pragma once

#include <cstdint>
#include <vector>

namespace bln::plan {

/// Steps in which a breaker is off, ascending.
using Word = std::vector<std::uint32_t>;

struct Words {
    std::vector<Word> words;
    std::uint32_t steps = 0;
    std::uint32_t least = 0;  ///< proven: no choice of words has fewer steps
    std::uint32_t distance = 0;
};

/// @p distance 1, 2 or 3: between any two words, and between each and the empty one. @p most_off at least 1.
///
/// Distance 1 is optimal: n distinct words that are not empty have at least the total length of the n shortest ones, so
/// some step has at least that many breakers over the number of steps; and words of one length can be chosen so that
/// the steps differ by at most one (exchange argument), which reaches it. Distance 2 uses words of even length,
/// distance 3 words of a shortened Hamming code where the limit allows and three rounds of the plain plan where it does
/// not; both may need more steps than `least`.
[[nodiscard]] Words choose_words(std::size_t n, std::uint32_t distance, std::uint64_t most_off);

}  // namespace bln::plan
