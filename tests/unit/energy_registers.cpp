#include <catch2/catch.hpp>
#include <random>

#include "energy/interval_collector.hpp"
#include "energy/registers.hpp"

using namespace bln;

namespace {

constexpr std::int64_t hour = 3'600'000'000;

IntervalRule hourly() { return IntervalRule::of({sizeof(bln_interval_rule), BLN_STAMP_START, hour, 1, 1, 0, 0}); }

/// Readings of one import register, an hour apart unless a time is given.
Intervals readings(std::vector<std::pair<double, std::int64_t>> rows, std::string_view rule,
                   Quantity q = Quantity::import_p) {
    std::vector<std::int64_t> at, value;
    std::vector<std::int32_t> channel(rows.size(), 0);
    for (const auto& [hours, v] : rows) {
        at.push_back(static_cast<std::int64_t>(hours * static_cast<double>(hour)));
        value.push_back(v);
    }
    const std::string_view ids[] = {"c"};
    IntervalColumns c;
    c.channel = Column({channel.data(), 4, nullptr, BLN_TYPE_I32, 0}, "channel");
    c.at = Column({at.data(), 8, nullptr, BLN_TYPE_I64, 0}, "at");
    c.quantity[static_cast<std::size_t>(q)] = Column({value.data(), 8, nullptr, BLN_TYPE_I64, 0}, "value");
    return intervals_from_columns(hourly(), ids, rows.size(), c, rule);
}

using Counts = std::vector<std::int64_t>;
using Present = std::vector<std::uint8_t>;

}  // namespace

TEST_CASE("registers: differences of neighbours, in any order") {
    const Intervals x = readings({{2, 130}, {0, 100}, {1, 110}, {1, 110}}, "{}");
    CHECK(x.of(Quantity::import_p).counts == Counts{10, 20});
    CHECK(x.steps().empty());
    CHECK(x.arrivals()[0].repeated == 1);
    CHECK(x.arrivals()[0].out_of_order == 3);
}

TEST_CASE("registers: a rollover counts only where power and modulus prove it") {
    // dE = (E1 - E0) mod R, if dE <= 1.1 * P_max * dt and dt < R / P_max; common practice, no source.
    const Intervals good = readings({{0, 990}, {1, 10}, {2, 15}}, R"({"modulus":1000,"max_watts":20})");
    CHECK(good.of(Quantity::import_p).counts == Counts{20, 5});
    REQUIRE(good.steps().size() == 1);
    CHECK(good.steps()[0].kind == StepKind::rollover);
    CHECK(good.steps()[0].energy == 20);

    // 22 = 1.1 * 20 W * 1 h is the last that passes.
    CHECK(readings({{0, 990}, {1, 12}}, R"({"modulus":1000,"max_watts":20})").steps()[0].kind == StepKind::rollover);
    for (const char* rule :
         {R"({"modulus":1000,"max_watts":20})", R"({"modulus":1000})", R"({"max_watts":20})", "{}"}) {
        const Intervals x = readings({{0, 990}, {1, 13}, {2, 14}}, rule);
        CHECK(x.of(Quantity::import_p).present == Present{0, 1});
        REQUIRE(x.steps().size() == 1);
        CHECK(x.steps()[0].kind == StepKind::backwards);
        CHECK(x.steps()[0].before == 990);
        CHECK(x.steps()[0].after == 13);
    }
    // In 50 h, 20 W can pass 1000 counts: any step may hide a whole turn.
    const Intervals slow = readings({{0, 5}, {50, 8}}, R"({"modulus":1000,"max_watts":20})");
    REQUIRE(slow.steps().size() == 1);
    CHECK(slow.steps()[0].kind == StepKind::too_long);
}

TEST_CASE("registers: jitter moves no energy, more than jitter is not guessed") {
    const Intervals x = readings({{0, 100}, {1, 99}, {2, 103}}, "{}");
    CHECK(x.of(Quantity::import_p).counts == Counts{0, 3});
    CHECK(x.steps()[0].kind == StepKind::jitter);
    const Intervals back = readings({{0, 100}, {1, 98}, {2, 103}}, "{}");
    CHECK(back.of(Quantity::import_p).present == Present{0, 1});
    CHECK(back.of(Quantity::import_p).counts == Counts{0, 5});
    // One count below zero is jitter as well, not nearly a whole turn.
    const Intervals zero = readings({{0, 0}, {1, 999}, {2, 2}}, R"({"modulus":1000,"max_watts":20})");
    CHECK(zero.of(Quantity::import_p).counts == Counts{0, 2});
}

TEST_CASE("registers: more than the channel can carry is left out") {
    const Intervals x = readings({{0, 0}, {1, 500}, {2, 505}}, R"({"max_watts":100})");
    CHECK(x.of(Quantity::import_p).present == Present{0, 1});
    CHECK(x.steps()[0].kind == StepKind::too_fast);
    CHECK(readings({{0, 0}, {1, 500}, {2, 505}}, R"({"max_watts":100,"channels":{"c":{"max_watts":500}}})")
              .steps()
              .empty());
}

TEST_CASE("registers: an exchange that somebody saw is bridged, to the count") {
    const Intervals x = readings({{0, 100}, {1, 4}, {2, 9}},
                                 R"({"exchanges":[{"channel":"c","register":"import_p","at":"1970-01-01T00:30:00Z",
                                     "last":107,"first":1}]})");
    CHECK(x.of(Quantity::import_p).counts == Counts{10, 5});
    REQUIRE(x.steps().size() == 1);
    CHECK(x.steps()[0].kind == StepKind::exchange);
    CHECK_THROWS_AS(readings({{0, 1}, {1, 2}}, R"({"exchanges":[{"channel":"d","register":"import_p",
        "at":"1970-01-01T00:30:00Z","last":107,"first":1}]})"),
                    Failure);
}

TEST_CASE("registers: a gap keeps its energy without an interval; contradictions keep none") {
    const Intervals x = readings({{0, 0}, {1, 10}, {4, 40}, {5, 41}}, "{}");
    CHECK(x.of(Quantity::import_p).present == Present{1, 0, 0, 0, 1});
    REQUIRE(x.steps().size() == 1);
    CHECK(x.steps()[0].kind == StepKind::gap);
    CHECK(x.steps()[0].energy == 30);
    const Intervals torn = readings({{0, 0}, {1, 10}, {1, 11}, {2, 20}}, "{}");
    REQUIRE(torn.conflicts().size() == 1);
    CHECK(torn.of(Quantity::import_p).present == Present{0, 0});
    CHECK(torn.steps()[0].energy == 20);
}

TEST_CASE("registers: a net register goes both ways and may roll under") {
    const Intervals x = readings({{0, 5}, {1, 995}, {2, 2}}, R"({"modulus":1000,"max_watts":20})", Quantity::net_p);
    CHECK(x.of(Quantity::net_p).counts == Counts{-10, 7});
    CHECK(x.steps().size() == 2);
    CHECK(readings({{0, 5}, {1, -995}}, "{}", Quantity::net_p).of(Quantity::net_p).counts == Counts{-1000});
}

TEST_CASE("registers: intervals and gaps add up to the last reading minus the first, whatever is missing") {
    std::mt19937_64 random(7);
    for (int run = 0; run < 200; ++run) {
        const std::int64_t modulus = 10'000;
        std::int64_t truth = static_cast<std::int64_t>(random() % 10'000), begin = -1, end = 0;
        std::vector<std::pair<double, std::int64_t>> rows;
        for (int t = 0; t < 60; ++t, truth += static_cast<std::int64_t>(random() % 90)) {
            if (random() % 5 == 0) continue;
            // Now and then read off the grid: a quarter of an hour late.
            rows.push_back({t + (random() % 9 == 0 ? 0.25 : 0), truth % modulus});
            if (begin < 0) begin = truth;
            end = truth;
        }
        std::shuffle(rows.begin(), rows.end(), random);
        const Intervals x = readings(rows, R"({"modulus":10000,"max_watts":130})");
        std::int64_t sum = 0;
        for (const std::int64_t c : x.of(Quantity::import_p).counts) sum += c;
        for (const RegisterStep& s : x.steps())
            if (s.kind == StepKind::gap) sum += s.energy;
        CHECK(sum == end - begin);
    }
}

TEST_CASE("registers: what the rule says wrongly is named with its place") {
    const auto place = [](std::string_view json) {
        try {
            (void)RegisterRule::read(json);
        } catch (const Failure& f) {
            return f.items().front().pointer;
        }
        return std::string("read");
    };
    CHECK(place(R"({"modulus":1})") == "/modulus");
    CHECK(place(R"({"max_watts":"5 kW"})") == "/max_watts");
    CHECK(place(R"({"dials":5})") == "/dials");
    CHECK(place(R"({"channels":{"c":{"jitter":-1}}})") == "/channels/c/jitter");
    CHECK(place(R"({"exchanges":[{"channel":"c"}]})") == "/exchanges/0");
    CHECK_THROWS_AS(readings({{0, 1000}, {1, 5}}, R"({"modulus":1000})"), Failure);
}
