#include <catch2/catch.hpp>
#include <cstdint>
#include <limits>

#include "power/failure.hpp"
#include "power/rational.hpp"

using bln::Rational;

TEST_CASE("ratios are kept in lowest terms with a positive denominator") {
    CHECK(Rational(6, -4).text() == "-3/2");
    CHECK(Rational(1, 3) + Rational(1, 6) == Rational(1, 2));
    CHECK(Rational(1, 3) - Rational(1, 3) == Rational(0));
    CHECK(Rational(2, 3) / Rational(-4, 3) == Rational(-1, 2));
    CHECK(Rational(1, 3) < Rational(34, 100));
}

TEST_CASE("what does not fit 64 bits is refused, not wrapped") {
    const Rational most(std::numeric_limits<std::int64_t>::max());
    CHECK_THROWS_AS(most + Rational(1), bln::Failure);
    CHECK_THROWS_AS(most * most, bln::Failure);
    CHECK_THROWS_AS(Rational(1, 0), bln::Failure);
    CHECK_THROWS_AS(-Rational(std::numeric_limits<std::int64_t>::min()), bln::Failure);
    CHECK((most * Rational(1, std::numeric_limits<std::int64_t>::max())) == Rational(1));
}
