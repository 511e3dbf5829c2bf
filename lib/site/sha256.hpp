// SHA-256 as FIPS 180-4 defines it: digests of records and of inputs as given.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace bln {

/// Takes bytes piece by piece. Never allocates before text().
class Sha256 {
public:
    void add(std::string_view bytes) noexcept;
    /// The digest of all bytes so far; nothing may be added afterwards.
    [[nodiscard]] std::array<std::uint8_t, 32> finish() noexcept;

private:
    void block(const unsigned char* bytes) noexcept;

    std::array<std::uint32_t, 8> state_{0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a,
                                        0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19};
    std::array<unsigned char, 64> pending_{};
    std::uint64_t bytes_ = 0;
};

/// 64 lower-case hexadecimal digits.
[[nodiscard]] std::string sha256_text(std::string_view bytes);

}  // namespace bln
