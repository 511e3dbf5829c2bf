#include <catch2/catch.hpp>

#include "energy/intervals.hpp"

using namespace bln;

namespace {

constexpr std::int64_t quarter = 900'000'000;

IntervalRule rule(int stamp = BLN_STAMP_START) {
    return IntervalRule::of({sizeof(bln_interval_rule), stamp, quarter, 1, 1, 0, 0});
}

std::vector<ErrorItem> errors(std::string_view csv) {
    try {
        (void)intervals_from_csv(rule(), csv, 1U << 20);
    } catch (const Failure& f) {
        return f.items();
    }
    return {};
}

}  // namespace

TEST_CASE("intervals: long form becomes a dense matrix with gaps, repeats and contradictions") {
    const Intervals x = intervals_from_csv(rule(),
                                           "channel,start,net_p,net_q\n"
                                           "c1,2026-03-01T00:00:00Z,10,1\n"
                                           "c2,2026-03-01T00:00:00Z,20,\n"
                                           "c1,2026-03-01T00:45:00Z,13,4\n"
                                           "c1,2026-03-01T00:15:00Z,11,2\n"   // late
                                           "c2,2026-03-01T00:00:00Z,20,7\n"   // says again, and adds
                                           "c1,2026-03-01T00:45:00Z,14,4\n",  // contradicts
                                           1U << 20);
    REQUIRE(x.count() == 4);
    REQUIRE(x.channels().size() == 2);
    CHECK(x.first() == 1772323200000000);
    const CountMatrix& p = x.of(Quantity::net_p);
    CHECK(p.counts == std::vector<std::int64_t>{10, 11, 0, 0, 20, 0, 0, 0});
    CHECK(p.present == std::vector<std::uint8_t>{1, 1, 0, 0, 1, 0, 0, 0});
    CHECK(x.of(Quantity::net_q).counts == std::vector<std::int64_t>{1, 2, 0, 4, 7, 0, 0, 0});
    CHECK_FALSE(x.of(Quantity::import_p).given());
    REQUIRE(x.conflicts().size() == 1);
    CHECK(x.conflicts()[0].first == 13);
    CHECK(x.conflicts()[0].second == 14);
    CHECK(x.conflicts()[0].interval == 3);
    CHECK(x.arrivals()[0].rows == 4);
    CHECK(x.arrivals()[0].out_of_order == 1);
    CHECK(x.arrivals()[1].repeated == 1);
}

TEST_CASE("intervals: an end-stamped file begins one duration earlier") {
    const Intervals x =
        intervals_from_csv(rule(BLN_STAMP_END), "end,channel,net_p\n2026-03-01T00:15:00Z,c1,10\n", 1U << 20);
    CHECK(x.first() == 1772323200000000);
}

TEST_CASE("intervals: every bad cell is named with its place") {
    const auto e = errors(
        "channel,start,import_p\n"
        "c1,2026-03-01T00:00:00Z,1.5\n"
        "c 1,2026-03-01T00:00:00,-1\n"
        "c1,2026-03-01T00:15:00Z\n"
        "c1,2026-03-01T00:15:00Z,9223372036854775808\n"
        "c1,2026-03-01T00:00:00Z,1\n"
        "c1,2026-03-01T00:20:00Z,1\n");
    REQUIRE(e.size() == 7);
    CHECK(e[0].status == BLN_E_VALUE);
    CHECK(e[0].line == 2);
    CHECK(e[0].column == 25);
    CHECK(e[0].subject == "c1");
    CHECK(e[4].line == 4);
    CHECK(e[5].status == BLN_E_OVERFLOW);
    CHECK(e[6].line == 7);
    CHECK(e[6].column == 4);
    CHECK(errors("channel,start,kwh\n").front().status == BLN_E_FIELD);
    CHECK(errors("channel,start,net_p_kwh\n").front().status == BLN_E_UNIT);
    CHECK(errors("channel,end,net_p\n").front().status == BLN_E_FIELD);
    CHECK(errors("channel,start,net_p,net_p\n").front().status == BLN_E_DUPLICATE);
    CHECK(errors("start,net_p\n").front().status == BLN_E_FIELD);
    CHECK(errors("").front().status == BLN_E_SYNTAX);
    std::string many = "channel,start,net_p\n";
    for (int i = 0; i < 200; ++i) many += "c1,x,1\n";
    CHECK(errors(many).size() == 100);
    CHECK(errors("channel,start,net_p\nc1,0001-01-01T00:00:00Z,1\nc1,9999-01-01T00:00:00Z,1\n").front().status ==
          BLN_E_SIZE);
}

TEST_CASE("intervals: columns of any integer type and stride; floats are refused") {
    struct Row {
        std::int64_t at;
        std::int16_t c;
        std::int32_t p;
    };
    const Row rows[] = {{0, 0, 5}, {0, 1, -7}, {quarter, 0, 6}};
    const std::uint8_t valid[] = {0b101};
    const std::string_view ids[] = {"a", "b"};
    IntervalColumns c;
    c.channel = Column({&rows[0].c, sizeof(Row), nullptr, BLN_TYPE_I16, 0}, "channel");
    c.at = Column({&rows[0].at, sizeof(Row), nullptr, BLN_TYPE_I64, 0}, "at");
    c.quantity[0] = Column({&rows[0].p, sizeof(Row), valid, BLN_TYPE_I32, 0}, "net_p");
    const Intervals x = intervals_from_columns(rule(), ids, 3, c);
    CHECK(x.of(Quantity::net_p).counts == std::vector<std::int64_t>{5, 6, 0, 0});
    CHECK(x.of(Quantity::net_p).present == std::vector<std::uint8_t>{1, 1, 0, 0});

    const double floats[] = {1, 2, 3};
    c.quantity[0] = Column({floats, 8, nullptr, BLN_TYPE_F64, 0}, "net_p");
    try {
        (void)intervals_from_columns(rule(), ids, 3, c);
        FAIL("floats were taken as counts");
    } catch (const Failure& f) {
        CHECK(f.items().front().status == BLN_E_TYPE);
    }
    CHECK_THROWS_AS(Column({floats, 0, nullptr, BLN_TYPE_F64, 0}, "x"), Failure);
    CHECK_THROWS_AS(Column({floats, 8, nullptr, 7, 0}, "x"), Failure);
}
