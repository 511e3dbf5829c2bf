#include "site/sha256.hpp"

#include <catch2/catch.hpp>
#include <string>

using bln::sha256_text;

// "abc" and the 448-bit message: FIPS 180-2, appendix B.1 and B.2; the million of "a": B.3. The same
// examples stand on the pages that FIPS 180-4 refers to for its examples. The empty message: NIST
// CAVP, SHA256ShortMsg, Len = 0.
TEST_CASE("the published SHA-256 examples come out") {
    CHECK(sha256_text("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    CHECK(sha256_text("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    CHECK(sha256_text("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq") ==
          "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    CHECK(sha256_text(std::string(1000000, 'a')) == "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST_CASE("a digest does not depend on how the bytes were handed in") {
    std::string text;
    for (int i = 0; i < 300; ++i) text += static_cast<char>(i);
    for (std::size_t n = 0; n <= text.size(); ++n) {
        const std::string head = text.substr(0, n);
        for (const std::size_t cut : {std::size_t{0}, n / 3, n / 2, n}) {
            bln::Sha256 hash;
            hash.add(std::string_view(head).substr(0, cut));
            hash.add(std::string_view(head).substr(cut));
            std::string hex;
            for (const std::uint8_t b : hash.finish()) {
                hex += "0123456789abcdef"[b >> 4U];
                hex += "0123456789abcdef"[b & 15U];
            }
            REQUIRE(hex == sha256_text(head));
        }
    }
}
