// Tracing circuits: words against their bounds, decoding against simulated switching.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>
#include <set>
#include <string>

#include "plan/trace.hpp"
#include "plan/trace_words.hpp"
#include "power/failure.hpp"
#include "record.hpp"

using namespace bln;
using bln::plan::choose_words;
using bln::plan::Word;
using bln::plan::Words;
using bln::test::Record;

namespace {

std::size_t apart(const Word& a, const Word& b) {
    Word out;
    std::set_symmetric_difference(a.begin(), a.end(), b.begin(), b.end(), std::back_inserter(out));
    return out.size();
}

void hold(const Words& w, std::size_t n, std::size_t distance, std::uint64_t most_off) {
    REQUIRE(w.words.size() == n);
    std::vector<std::uint64_t> load(w.steps, 0);
    for (std::size_t i = 0; i < n; ++i) {
        CHECK(w.words[i].size() >= distance);
        CHECK(std::is_sorted(w.words[i].begin(), w.words[i].end()));
        for (const std::uint32_t s : w.words[i]) {
            REQUIRE(s < w.steps);
            ++load[s];
        }
        for (std::size_t j = 0; j < i; ++j) REQUIRE(apart(w.words[i], w.words[j]) >= distance);
    }
    if (n > 0) CHECK(*std::max_element(load.begin(), load.end()) <= most_off);
    CHECK(w.steps >= w.least);
}

/// Whether n distinct words that are not empty exist over t steps with at most w off: by trying all.
bool exists(std::size_t n, unsigned t, unsigned w) {
    std::vector<unsigned> chosen;
    const auto go = [&](const auto& self, unsigned from) -> bool {
        if (chosen.size() == n) return true;
        for (unsigned word = from; word < (1U << t); ++word) {
            chosen.push_back(word);
            bool good = true;
            for (unsigned s = 0; s < t && good; ++s) {
                unsigned off = 0;
                for (const unsigned c : chosen) off += c >> s & 1U;
                good = off <= w;
            }
            if (good && self(self, word + 1)) return true;
            chosen.pop_back();
        }
        return false;
    };
    return go(go, 1);
}

std::vector<TraceBreaker> breakers(std::size_t n, int poles = 1) {
    std::vector<TraceBreaker> out;
    for (std::size_t i = 0; i < n; ++i) out.push_back({"b" + std::to_string(i), poles, SwitchRule::may, {}, {}});
    return out;
}

TracePlan plan_for(std::size_t n, TraceCheck check, std::uint64_t most_off = 0) {
    return trace_plan(breakers(n), {check, most_off});
}

/// What a channel on these breakers reads over the plan. @p share: of its current by breaker.
std::vector<TraceReading> readings_of(const TracePlan& plan, const std::string& channel,
                                      const std::vector<std::pair<std::size_t, double>>& share, double amps,
                                      std::mt19937& random, double noise) {
    std::normal_distribution<double> n(0, noise);
    std::vector<TraceReading> out;
    for (std::uint32_t s = 0; s < plan.steps; ++s) {
        double left = amps;
        for (const auto& [b, part] : share)
            if (std::binary_search(plan.breakers[b].word.begin(), plan.breakers[b].word.end(), s)) left -= part * amps;
        out.push_back({channel, s + 1, std::abs(amps + n(random)), std::abs(left + n(random)), 0});
    }
    return out;
}

TraceResult decode(const TracePlan& plan, const std::vector<TraceReading>& readings, const View* view = nullptr) {
    return trace_decode(plan, view, readings, Policy(trace_policy()));
}

const Finding* find(const TraceResult& t, std::string_view code) {
    for (const Finding& f : t.report.findings)
        if (f.code == code) return &f;
    return nullptr;
}

}  // namespace

TEST_CASE("numbers of steps of the trade table") {
    // ceil(log2(n + 1)) computed; with a check for one error one more; shortened Hamming codes: from memory.
    struct Line {
        std::size_t first, last;
        std::uint32_t plain, detect, correct;
    };
    for (const Line& l :
         {Line{12, 15, 4, 5, 7}, Line{24, 30, 5, 6, 9}, Line{42, 60, 6, 7, 10}, Line{84, 126, 7, 8, 11}})
        for (const std::size_t n : {l.first, l.last}) {
            INFO(n);
            CHECK(choose_words(n, 1, 4096).steps == l.plain);
            CHECK(choose_words(n, 2, 4096).steps == l.detect);
            CHECK(choose_words(n, 3, 4096).steps == l.correct);
        }
}

TEST_CASE("words keep their distance and the limit") {
    for (const std::size_t n : {1, 2, 3, 5, 8, 15, 24, 42, 100})
        for (const std::uint32_t distance : {1, 2, 3})
            for (const std::uint64_t most : {1, 2, 3, 7, 4096}) {
                INFO(n << " distance " << distance << " at most " << most);
                hold(choose_words(n, distance, most), n, distance, most);
            }
    CHECK(choose_words(0, 2, 1).words.empty());
}

TEST_CASE("no plain plan has fewer steps: tried out for few breakers") {
    for (std::size_t n = 1; n <= 6; ++n)
        for (unsigned most = 1; most <= 4; ++most) {
            const Words w = choose_words(n, 1, most);
            INFO(n << " at most " << most << ": " << w.steps);
            CHECK(w.least == w.steps);
            CHECK_FALSE(exists(n, w.steps - 1, most));
            CHECK(exists(n, w.steps, most));
        }
    CHECK(choose_words(50, 1, 1).steps == 50);  // one by one
}

TEST_CASE("switching that was simulated is read back") {
    std::mt19937 random(3);
    for (const TraceCheck check : {TraceCheck::plain, TraceCheck::detect, TraceCheck::correct})
        for (const std::uint64_t most : {0, 4}) {
            const TracePlan plan = plan_for(30, check, most);
            std::vector<TraceReading> all;
            for (std::size_t b = 0; b < 30; ++b)
                for (TraceReading& r : readings_of(plan, "c" + std::to_string(b), {{b, 1}}, 6, random, 0.05))
                    all.push_back(std::move(r));
            const TraceResult t = decode(plan, all);
            REQUIRE(t.rows.size() == 30);
            for (std::size_t b = 0; b < 30; ++b) {
                CHECK(t.rows[b].verdict == TraceVerdict::proven);
                CHECK(t.rows[b].breaker == "b" + std::to_string(b));
                CHECK(t.rows[b].probability > 0.99);
            }
            CHECK(t.report.findings.empty());
        }
}

TEST_CASE("one load that changes by itself: noticed with one check, put right with two") {
    std::mt19937 random(5);
    std::size_t wrong = 0, right = 0;
    for (const TraceCheck check : {TraceCheck::detect, TraceCheck::correct}) {
        const TracePlan plan = plan_for(24, check);
        for (std::size_t b = 0; b < 24; ++b)
            for (std::uint32_t s = 0; s < plan.steps; ++s) {
                std::vector<TraceReading> r = readings_of(plan, "c", {{b, 1}}, 8, random, 0.05);
                r[s].off = r[s].off > 4 ? 0 : 8;
                const TraceRow row = decode(plan, r).rows[0];
                if (check == TraceCheck::detect) {
                    wrong += row.verdict >= TraceVerdict::not_among ? 1 : 0;
                } else {
                    right += row.verdict == TraceVerdict::likely && row.breaker == "b" + std::to_string(b) ? 1 : 0;
                    CHECK(row.cause == TraceCause::corrected);
                }
            }
        if (check == TraceCheck::correct) CHECK(right == 24 * plan.steps);
    }
    CHECK(wrong == 0);
}

TEST_CASE("three poles step together; a fourth channel contradicts") {
    std::mt19937 random(7);
    std::vector<TraceBreaker> list = breakers(5);
    list[2].poles = 3;
    const TracePlan plan = trace_plan(list, {});
    std::vector<TraceReading> all;
    const auto add = [&](const char* channel, std::size_t b) {
        for (TraceReading& r : readings_of(plan, channel, {{b, 1}}, 10, random, 0.05)) all.push_back(std::move(r));
    };
    add("x", 2);
    add("y", 2);
    SECTION("one pole is missing") {
        const TraceResult t = decode(plan, all);
        REQUIRE(find(t, "trace-poles-missing") != nullptr);
        CHECK(find(t, "trace-too-many") == nullptr);
    }
    add("z", 2);
    SECTION("all three") { CHECK(find(decode(plan, all), "trace-poles-missing") == nullptr); }
    add("w", 2);
    SECTION("one too many") {
        const TraceResult t = decode(plan, all);
        REQUIRE(find(t, "trace-too-many") != nullptr);
        for (const TraceRow& r : t.rows) CHECK(r.verdict == TraceVerdict::contradictory);
    }
}

TEST_CASE("two breakers through one CT are told apart, with their shares") {
    std::mt19937 random(9);
    const TracePlan plan = plan_for(20, TraceCheck::detect);
    const TraceResult t = decode(plan, readings_of(plan, "c", {{4, 0.3}, {17, 0.7}}, 12, random, 0.05));
    CHECK(t.rows[0].cause == TraceCause::two_breakers);
    CHECK(t.rows[0].breaker == "b4");
    CHECK(t.rows[0].second == "b17");
    CHECK(t.rows[0].share == Approx(0.3).margin(0.03));
    REQUIRE(find(t, "trace-two-breakers") != nullptr);
}

TEST_CASE("no load proves nothing; a load on none of them is told") {
    std::mt19937 random(11);
    const TracePlan plan = plan_for(9, TraceCheck::detect);
    std::vector<TraceReading> all = readings_of(plan, "idle", {{3, 1}}, 0.02, random, 0.01);
    for (TraceReading& r : readings_of(plan, "elsewhere", {}, 9, random, 0.05)) all.push_back(std::move(r));
    const TraceResult t = decode(plan, all);
    CHECK(t.rows[0].verdict == TraceVerdict::not_proven);
    CHECK(t.rows[0].cause == TraceCause::no_load);
    CHECK(t.rows[1].verdict == TraceVerdict::not_among);
    CHECK(t.rows[1].breaker.empty());
}

TEST_CASE("steps that were not read leave it open") {
    std::mt19937 random(13);
    const TracePlan plan = plan_for(15, TraceCheck::plain);
    std::vector<TraceReading> r = readings_of(plan, "c", {{9, 1}}, 9, random, 0.05);
    r.pop_back();
    const TraceRow row = decode(plan, r).rows[0];
    CHECK(row.verdict == TraceVerdict::undecided);
    CHECK(row.read.back() == '-');
    CHECK((row.breaker == "b9" || row.second == "b9" || row.breaker.empty() || row.second.empty()));
}

TEST_CASE("never a wrong breaker on random loads: sound or silent") {
    std::mt19937 random(17);
    std::uniform_real_distribution<double> amps(0.05, 30), chance(0, 1);
    std::size_t named = 0, wrong = 0;
    for (int run = 0; run < 20; ++run) {
        const TracePlan plan = plan_for(42, TraceCheck::detect);
        std::vector<TraceReading> all;
        for (std::size_t b = 0; b < 42; ++b)
            for (TraceReading& r : readings_of(plan, "c" + std::to_string(b), {{b, 1}}, amps(random), random, 0.05)) {
                if (chance(random) < 0.005) r.off *= chance(random);
                all.push_back(std::move(r));
            }
        const TraceResult t = decode(plan, all);
        for (std::size_t b = 0; b < 42; ++b) {
            if (t.rows[b].verdict < TraceVerdict::not_among) continue;
            ++named;
            wrong += t.rows[b].breaker == "b" + std::to_string(b) ? 0 : 1;
        }
    }
    CHECK(named > 700);
    CHECK(wrong == 0);
}

TEST_CASE("what the record says is compared; what must stay on stays on") {
    Record r;
    r.on(Kind::service, "S").choice("kind", "four_wire_wye").real("volts_ln", 120);
    r.on(Kind::panel, "P").text("service", "S").integer("spaces", 42);
    r.on(Kind::circuit, "a").text("panel", "P").integers("spaces", {1}).choice("switch_off", "may");
    r.on(Kind::circuit, "b").text("panel", "P").integers("spaces", {2});
    r.on(Kind::circuit, "fire").text("panel", "P").integers("spaces", {3}).choice("switch_off", "never");
    r.on(Kind::circuit, "feed").text("panel", "P").integers("spaces", {5});
    r.on(Kind::circuit, "meter").text("panel", "P").integers("spaces", {7}).choice("role", "meter_supply");
    r.on(Kind::circuit, "spare").text("panel", "P").integers("spaces", {9}).choice("role", "spare");
    r.on(Kind::panel, "Q").text("service", "S").text("fed_from", "feed");
    r.on(Kind::ct, "k").terms("passes", {{"b:1", Rational(1)}});
    r.on(Kind::channel, "K").terms("cts", {{"k", Rational(1)}});
    const View view = r.view();
    const TracePlan plan = trace_plan(trace_breakers(view, "P"), {});
    CHECK(plan.traced == 2);
    for (const TraceBreaker& b : plan.breakers) {
        CHECK((b.rule == SwitchRule::never) == b.word.empty());
        CHECK((b.rule == SwitchRule::never) == !b.why.empty());
    }
    CHECK(plan.breakers[1].rule == SwitchRule::ask);
    std::mt19937 random(19);
    const TraceResult t = decode(plan, readings_of(plan, "K", {{0, 1}}, 9, random, 0.05), &view);
    const Finding* f = find(t, "trace-differs");
    REQUIRE(f != nullptr);
    CHECK(f->subjects.size() == 2);
    const std::string text = trace_text(plan), json = trace_json(plan);
    CHECK(text.find("fire: the record says never") != std::string::npos);
    CHECK(json.find("\"off\":[[") != std::string::npos);
    CHECK_THROWS_AS(trace_breakers(view, "nobody"), Failure);
}

TEST_CASE("plans that cannot be made") {
    CHECK_THROWS_AS(trace_plan({{"not an id", 1, SwitchRule::may, {}, {}}}, {}), Failure);
    CHECK_THROWS_AS(trace_plan({{"a", 1, SwitchRule::may, {}, {}}, {"a", 1, SwitchRule::may, {}, {}}}, {}), Failure);
    CHECK_THROWS_AS(trace_plan({{"a", 4, SwitchRule::may, {}, {}}}, {}), Failure);
    CHECK_THROWS_AS(trace_plan(breakers(4097), {}), Failure);
    CHECK(trace_plan({}, {}).steps == 0);
    CHECK(trace_plan(breakers(4096), {TraceCheck::correct, 0}).distance == 3);
}

TEST_CASE("natural steps: poles step together, and a circuit that was seen to switch finds its channel") {
    std::mt19937 random(23);
    std::normal_distribution<double> noise(0, 0.05);
    constexpr std::size_t samples = 600, channels = 8;
    std::vector<std::vector<double>> x(channels, std::vector<double>(samples));
    std::vector<std::vector<int>> on(channels, std::vector<int>(samples, 0));
    std::vector<std::size_t> events;
    for (std::size_t c = 0; c < channels; ++c) {
        int state = 0;
        for (std::size_t i = 1; i < samples; ++i) {
            if (std::uniform_int_distribution<int>(0, 39)(random) == 0) {
                state = 1 - state;
                if (c == 5) events.push_back(i);
            }
            on[c][i] = state;
        }
    }
    on[1] = on[0];
    on[2] = on[0];
    std::vector<std::string> names;
    std::vector<Column> columns;
    for (std::size_t c = 0; c < channels; ++c) {
        names.push_back("c" + std::to_string(c));
        for (std::size_t i = 0; i < samples; ++i) x[c][i] = 1 + 8 * on[c][i] + noise(random);
        columns.emplace_back(bln_column{x[c].data(), 8, nullptr, BLN_TYPE_F64, 0}, "amps");
    }
    const std::vector<std::string_view> ids(names.begin(), names.end());
    std::vector<TraceEvent> seen;
    for (std::size_t i = 0; i < 5; ++i) seen.push_back({"boiler", events[i]});
    const std::string json = trace_natural(ids, samples, columns, seen, Policy(trace_policy()));
    CHECK(json.find("\"together\":[[\"c0\",\"c1\",\"c2\"]]") != std::string::npos);
    CHECK(json.find("{\"circuit\":\"boiler\",\"channel\":\"c5\",\"events\":5,\"hits\":5,") != std::string::npos);
    CHECK(json.find("\"circuit\":\"boiler\"") == json.rfind("\"circuit\":\"boiler\""));
    CHECK_THROWS_AS(
        trace_natural(ids, samples, columns, std::vector<TraceEvent>{{"boiler", samples}}, Policy(trace_policy())),
        Failure);

    // A channel that was silent at first makes no step when it begins to speak.
    const std::vector<double> late(20, 7.0);
    const std::uint8_t from_tenth[] = {0x00, 0xFC, 0x0F};
    const std::vector<Column> one{Column(bln_column{late.data(), 8, from_tenth, BLN_TYPE_F64, 0}, "amps")};
    CHECK(trace_natural(std::vector<std::string_view>{"late"}, 20, one, {}, Policy(trace_policy())) ==
          "{\"channels\":[{\"id\":\"late\",\"steps\":[]}],\"together\":[],\"matches\":[]}");
}
