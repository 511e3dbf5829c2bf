#include "site/json_text.hpp"

#include <bit>
#include <catch2/catch.hpp>
#include <charconv>
#include <cstdint>
#include <limits>
#include <random>

#include "power/failure.hpp"

using bln::json_number;
using bln::json_string;

// RFC 8785, appendix B: IEEE 754 bits and their text.
TEST_CASE("numbers are written as the table of RFC 8785 has them") {
    struct Row {
        std::uint64_t bits;
        const char* text;
    };
    constexpr Row rows[] = {
        {0x0000000000000000, "0"},
        {0x8000000000000000, "0"},
        {0x0000000000000001, "5e-324"},
        {0x8000000000000001, "-5e-324"},
        {0x7fefffffffffffff, "1.7976931348623157e+308"},
        {0xffefffffffffffff, "-1.7976931348623157e+308"},
        {0x4340000000000000, "9007199254740992"},
        {0xc340000000000000, "-9007199254740992"},
        {0x4430000000000000, "295147905179352830000"},
        {0x44b52d02c7e14af5, "9.999999999999997e+22"},
        {0x44b52d02c7e14af6, "1e+23"},
        {0x44b52d02c7e14af7, "1.0000000000000001e+23"},
        {0x444b1ae4d6e2ef4e, "999999999999999700000"},
        {0x444b1ae4d6e2ef4f, "999999999999999900000"},
        {0x444b1ae4d6e2ef50, "1e+21"},
        {0x3eb0c6f7a0b5ed8c, "9.999999999999997e-7"},
        {0x3eb0c6f7a0b5ed8d, "0.000001"},
        {0x41b3de4355555553, "333333333.3333332"},
        {0x41b3de4355555554, "333333333.33333325"},
        {0x41b3de4355555555, "333333333.3333333"},
        {0x41b3de4355555556, "333333333.3333334"},
        {0x41b3de4355555557, "333333333.33333343"},
        {0xbecbf647612f3696, "-0.0000033333333333333333"},
        {0x43143ff3c1cb0959, "1424953923781206.2"},
    };
    for (const Row& row : rows) CHECK(json_number(std::bit_cast<double>(row.bits)) == row.text);
    for (const std::uint64_t bits : {0x7fffffffffffffffULL, 0x7ff0000000000000ULL, 0xfff0000000000000ULL})
        CHECK_THROWS_AS(json_number(std::bit_cast<double>(bits)), bln::Failure);
}

TEST_CASE("every finite number reads back as itself") {
    std::mt19937_64 random(8785);
    for (int i = 0; i < 200000; ++i) {
        const auto value = std::bit_cast<double>(random());
        if (!(value - value == 0)) continue;
        const std::string text = json_number(value);
        double back = 0;
        const auto read = std::from_chars(text.data(), text.data() + text.size(), back);
        REQUIRE(read.ec == std::errc());
        REQUIRE(read.ptr == text.data() + text.size());
        REQUIRE(back == value);
    }
}

// RFC 8785, 3.2.2.2: short forms first, then lower-case \u00xx, nothing else is escaped.
TEST_CASE("strings carry the fewest escapes") {
    CHECK(json_string("\b\t\n\f\r\"\\") == R"("\b\t\n\f\r\"\\")");
    CHECK(json_string(std::string_view("\0\x0f\x1f", 3)) == "\"\\u0000\\u000f\\u001f\"");
    CHECK(json_string("/\x7f\xe2\x82\xac</script>") == "\"/\x7f\xe2\x82\xac</script>\"");
    CHECK(json_string("") == "\"\"");
}

// RFC 6901, section 5: the members of its example document.
TEST_CASE("pointer tokens are escaped") {
    const auto pointer = [](std::string_view token) {
        std::string out;
        bln::append_pointer_token(out, token);
        return out;
    };
    CHECK(pointer("a/b") == "/a~1b");
    CHECK(pointer("m~n") == "/m~0n");
    CHECK(pointer("") == "/");
    CHECK(pointer("c%d") == "/c%d");
    CHECK(pointer("~1") == "/~01");
}
