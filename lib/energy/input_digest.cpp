// What went into a statement, as one number that anybody can work out again.
#include <bit>
#include <cstring>

#include "energy/energy.hpp"
#include "site/sha256.hpp"

namespace bln {
namespace {

/// 64-bit integers go in with the lowest byte first, whatever the machine.
void add_counts(Sha256& sha, std::span<const std::int64_t> counts) {
    if constexpr (std::endian::native == std::endian::little) {
        sha.add({reinterpret_cast<const char*>(counts.data()), counts.size_bytes()});
    } else {
        for (const std::int64_t v : counts) {
            char bytes[8];
            for (int i = 0; i < 8; ++i) bytes[i] = static_cast<char>(static_cast<std::uint64_t>(v) >> (8 * i));
            sha.add({bytes, 8});
        }
    }
}

void add_bytes(Sha256& sha, std::span<const std::uint8_t> bytes) {
    sha.add({reinterpret_cast<const char*>(bytes.data()), bytes.size()});
}

}  // namespace

std::string input_digest(const Statement& s) {
    if (s.intervals == nullptr) return s.stream_digest;
    const Intervals& x = *s.intervals;
    Sha256 sha;
    std::string head = "blondel intervals 1\n" + std::to_string(x.rule().duration) + "\n" +
                       x.rule().wh_per_count.text() + "\n" + std::to_string(x.first()) + "\n" +
                       std::to_string(x.count()) + "\n";
    for (const std::string& id : x.channels()) head += id + "\n";
    sha.add(head);
    for (std::size_t q = 0; q < quantity_count; ++q) {
        const CountMatrix& m = x.of(static_cast<Quantity>(q));
        if (!m.given()) continue;
        sha.add(std::string(word_of(static_cast<Quantity>(q))) + "\n");
        add_counts(sha, m.counts);
        add_bytes(sha, m.present);
    }
    if (!x.quality().empty()) {
        sha.add("quality\n");
        add_bytes(sha, x.quality());
    }
    std::string out;
    for (const std::uint8_t b : sha.finish()) {
        constexpr char digits[] = "0123456789abcdef";
        out += digits[b >> 4];
        out += digits[b & 15];
    }
    return out;
}

}  // namespace bln
