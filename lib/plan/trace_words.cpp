#include "plan/trace_words.hpp"

#include <algorithm>
#include <bit>
#include <set>

namespace bln::plan {
namespace {

/// Number of words of length k over t steps, at most @p most.
std::uint64_t count_of(std::uint64_t t, std::uint64_t k, std::uint64_t most) {
    if (k > t) return 0;
    k = std::min(k, t - k);
    std::uint64_t out = 1;
    for (std::uint64_t i = 1; i <= k; ++i) {
        out = out * (t - k + i) / i;  // exact: a product of i successive numbers; out stays below 2^13 x 2^14
        if (out >= most) return most;
    }
    return out;
}

/// Total length of the n shortest words of lengths first, first + step, ...; 0 when there are not so many.
std::uint64_t total_of(std::uint64_t n, std::uint64_t t, std::uint64_t first, std::uint64_t step) {
    std::uint64_t total = 0;
    for (std::uint64_t k = first; k <= t && n > 0; k += step) {
        const std::uint64_t take = std::min(n, count_of(t, k, n));
        total += take * k;
        n -= take;
    }
    return n == 0 ? total : 0;
}

/// The first m words of length k over t steps.
std::vector<Word> first_words(std::uint64_t m, std::uint32_t t, std::uint32_t k) {
    std::vector<Word> out;
    Word w(k);
    for (std::uint32_t i = 0; i < k; ++i) w[i] = i;
    while (out.size() < m) {
        out.push_back(w);
        std::uint32_t i = 0;
        while (i + 1 < k && w[i] + 1 == w[i + 1]) ++i;
        if (i + 1 == k && w[i] + 1 == t) break;
        ++w[i];
        for (std::uint32_t j = 0; j < i; ++j) w[j] = j;
    }
    return out;
}

/// Exchanges steps of words until all steps hold as many words, or one more. While step x holds more words than y, some
/// word with x and without y has an exchange that is not there yet.
void balance(std::vector<Word>& words, std::uint32_t t) {
    std::set<Word> there(words.begin(), words.end());
    std::vector<std::uint32_t> load(t, 0);
    for (const Word& w : words)
        for (const std::uint32_t s : w) ++load[s];
    for (;;) {
        const auto x = static_cast<std::uint32_t>(std::max_element(load.begin(), load.end()) - load.begin());
        const auto y = static_cast<std::uint32_t>(std::min_element(load.begin(), load.end()) - load.begin());
        if (load[x] - load[y] <= 1) return;
        for (Word& w : words) {
            if (!std::binary_search(w.begin(), w.end(), x) || std::binary_search(w.begin(), w.end(), y)) continue;
            Word other = w;
            std::replace(other.begin(), other.end(), x, y);
            std::sort(other.begin(), other.end());
            if (there.count(other) != 0) continue;
            there.erase(w);
            there.insert(other);
            w = std::move(other);
            --load[x];
            ++load[y];
            break;
        }
    }
}

std::uint64_t over(std::uint64_t a, std::uint64_t b) { return (a + b - 1) / b; }

/// Shortest words of lengths first, first + step, ...
Words by_length(std::uint64_t n, std::uint64_t first, std::uint64_t step, std::uint64_t most_off, std::uint64_t from) {
    Words out;
    std::uint64_t t = from;
    for (;; ++t) {
        const std::uint64_t total = total_of(n, t, first, step);
        if (total != 0 && over(total, t) <= most_off) break;
    }
    out.steps = static_cast<std::uint32_t>(t);
    for (std::uint64_t k = first; out.words.size() < n; k += step) {
        const std::uint64_t take = std::min<std::uint64_t>(n - out.words.size(), count_of(t, k, n));
        std::vector<Word> part = first_words(take, out.steps, static_cast<std::uint32_t>(k));
        balance(part, out.steps);
        out.words.insert(out.words.end(), part.begin(), part.end());
    }
    return out;
}

/// Words of the code whose check of a word is the exclusive or of its steps' numbers, from 1: distance 3. Shortest
/// first, none that would put too many off. Empty: not enough of them were found.
std::vector<Word> hamming(std::uint64_t n, std::uint32_t t, std::uint64_t most_off) {
    std::vector<Word> out;
    std::vector<std::uint64_t> load(t, 0);
    const auto offer = [&](const Word& w) {
        if (std::any_of(w.begin(), w.end(), [&](std::uint32_t s) { return load[s] >= most_off; })) return;
        for (const std::uint32_t s : w) ++load[s];
        out.push_back(w);
    };
    for (std::uint32_t i = 1; i <= t && out.size() < n; ++i)
        for (std::uint32_t j = i + 1; j <= t && out.size() < n; ++j)
            if (const std::uint32_t k = i ^ j; k > j && k <= t) offer({i - 1, j - 1, k - 1});
    constexpr std::uint32_t enumerable = 20;
    if (t > enumerable) return out.size() == n ? out : std::vector<Word>{};
    for (int length = 4; length <= static_cast<int>(t) && out.size() < n; ++length)
        for (std::uint32_t bits = 0; bits < (1U << t) && out.size() < n; ++bits) {
            if (std::popcount(bits) != length) continue;
            std::uint32_t check = 0;
            Word w;
            for (std::uint32_t s = 0; s < t; ++s)
                if ((bits >> s & 1U) != 0) {
                    check ^= s + 1;
                    w.push_back(s);
                }
            if (check == 0) offer(w);
        }
    return out.size() == n ? out : std::vector<Word>{};
}

/// Smallest t with (n + 1) words and their neighbours in it: the bound of sphere packing.
std::uint64_t packing(std::uint64_t n) {
    std::uint64_t t = 3;
    while (t < 60 && (n + 1) * (t + 1) > (std::uint64_t{1} << t)) ++t;
    return t;
}

}  // namespace

Words choose_words(std::size_t n, std::uint32_t distance, std::uint64_t most_off) {
    Words out;
    out.distance = distance;
    if (n == 0) return out;
    const auto bits = static_cast<std::uint64_t>(std::bit_width(n));  // ceil(log2(n + 1))
    const std::uint64_t limit = std::min<std::uint64_t>(most_off, n);
    Words plain = by_length(n, 1, 1, limit, bits);
    plain.least = plain.steps;
    plain.distance = 1;
    if (distance <= 1) return plain;
    if (distance == 2) {
        out = by_length(n, 2, 2, limit, bits + 1);
        out.least = static_cast<std::uint32_t>(std::max(bits + 1, over(2 * n, limit)));
        out.distance = 2;
        return out;
    }
    const std::uint64_t least = std::max(packing(n), over(3 * n, limit));
    for (std::uint64_t t = least; t < std::min<std::uint64_t>(least + 4, 3 * std::uint64_t{plain.steps}); ++t) {
        out.words = hamming(n, static_cast<std::uint32_t>(t), limit);
        out.steps = static_cast<std::uint32_t>(t);
        if (!out.words.empty()) break;
    }
    if (out.words.empty()) {
        out.steps = 3 * plain.steps;
        for (const Word& w : plain.words) {
            Word& thrice = out.words.emplace_back();
            for (std::uint32_t round = 0; round < 3; ++round)
                for (const std::uint32_t s : w) thrice.push_back(round * plain.steps + s);
        }
    }
    out.least = static_cast<std::uint32_t>(least);
    return out;
}

}  // namespace bln::plan
