#include "rules.hpp"

using namespace bln;
using namespace bln::test;

namespace {

using Lines = std::vector<std::string>;

/// Two billing points in one roll-up against a main that feeds the panel.
Record building() {
    Record r;
    r.on(Kind::panel, "p").text("fed_from", "feeder");
    r.on(Kind::circuit, "feeder");
    r.on(Kind::circuit, "c1").text("panel", "p");
    r.on(Kind::circuit, "c2").text("panel", "p");
    r.on(Kind::premises, "t1");
    r.on(Kind::premises, "t2");
    r.on(Kind::point, "main").choice("use", "main").texts("circuits", {"feeder"});
    r.on(Kind::point, "p1").text("premises", "t1").texts("circuits", {"c1"});
    r.on(Kind::point, "p2").text("premises", "t2").texts("circuits", {"c2"});
    r.on(Kind::rollup, "all").terms("points", {{"p1", 1}, {"p2", 1}}).text("against", "main");
    return r;
}

Lines sums(const Record& r) {
    Lines out;
    for (const std::string& line : found(r))
        if (line.find("roll") != std::string::npos) out.push_back(line);
    return out;
}

}  // namespace

TEST_CASE("a roll-up that holds every point once is right") { CHECK(sums(building()).empty()); }

TEST_CASE("a circuit is counted once, however many roll-ups stand in between") {
    Record r = building();
    r.on(Kind::rollup, "floor").terms("points", {{"p1", 1}});
    CHECK(sums(r).empty());  // a sum of its own
    r.on(Kind::rollup, "all").terms("rollups", {{"floor", 1}});
    CHECK(sums(r) == Lines{"circuit-rolled-up-twice: c1 all p1"});
    r.on(Kind::rollup, "all").terms("points", {{"p2", 1}});
    CHECK(sums(r).empty());
}

TEST_CASE("a feeder holds what it feeds") {
    Record r = building();
    r.on(Kind::rollup, "all").terms("points", {{"p1", 1}, {"p2", 1}, {"main", 1}});
    CHECK(sums(r) == Lines{"circuit-rolled-up-twice: c1 all p1 main", "circuit-rolled-up-twice: c2 all p2 main"});
    // The feeder's rest: what it feeds is taken away, so each circuit counts once.
    r.on(Kind::rollup, "all").terms("points", {{"p1", -1}, {"main", 1}, {"p2", -1}});
    CHECK(sums(r).empty());
}

TEST_CASE("a billing point outside every roll-up is named") {
    Record r = building();
    r.on(Kind::rollup, "all").terms("points", {{"p1", 1}});
    CHECK(sums(r) == Lines{"circuit-never-rolled-up: p2"});
    r.on(Kind::rollup, "other").terms("points", {{"p2", 1}});
    CHECK(sums(r) == Lines{"circuit-never-rolled-up: p2 all"});  // the main above it contains p2
    Record none = building();
    none.on(Kind::rollup, "all").terms("points", {{"p1", 1}, {"p2", 1}});
    CHECK(sums(none).empty());
}

TEST_CASE("a roll-up that adds itself is found and not followed") {
    Record r = building();
    r.on(Kind::rollup, "a").terms("rollups", {{"b", 1}});
    r.on(Kind::rollup, "b").terms("rollups", {{"a", 1}});
    CHECK(sums(r) == Lines{"rollup-in-itself: a", "rollup-in-itself: b"});
    r.on(Kind::rollup, "b").terms("rollups", {{"b", 1}});
    CHECK(sums(r) == Lines{"rollup-in-itself: b"});
}

TEST_CASE("coefficients that do not fit are undecided, not a crash") {
    Record r = building();
    std::string inner = "all";
    for (int i = 0; i < 5; ++i) {
        const std::string outer = "r" + std::to_string(i);
        r.on(Kind::rollup, outer).terms("rollups", {{inner, 1000000}});
        inner = outer;
    }
    bool undecided = false;
    for (const Finding& f : only(r, "circuit-rolled-up-twice")) undecided |= f.verdict == Verdict::undecided;
    CHECK(undecided);
}
