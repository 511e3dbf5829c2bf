// Every public function with its n-th request for memory refused, n = 1, 2, ... until it succeeds.
#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <set>
#include <string>

#include "heap.hpp"
#include "scenario.hpp"

namespace {

std::set<std::string> declared() {
    std::ifstream header(BLN_HEADER);
    REQUIRE(header);
    std::set<std::string> out;
    // A prototype begins a line with BLN_API; its name stands before the first parenthesis.
    for (std::string line; std::getline(header, line);) {
        const std::size_t end = line.find('(');
        if (line.rfind("BLN_API ", 0) != 0 || end == std::string::npos) continue;
        const std::size_t begin = line.find_last_of(" *", end) + 1;
        out.insert(line.substr(begin, end - begin));
    }
    return out;
}

/// Runs @p s once with the @p n-th request refused; true when nothing was refused any more.
bool done(const Scenario& s, std::uint64_t n, heap::Mode mode) {
    const std::int64_t before = heap::live();
    bool finished = false;
    {
        Fixture f;
        const std::string state = f.state();
        bln_error* error = nullptr;
        heap::arm(n, mode);
        const bln_status status = s.call(f, &error);
        heap::disarm();
        finished = heap::refused() == 0;
        if (status != BLN_OK) {
            CHECK_FALSE(finished);
            CHECK(std::string(bln_status_name(status)) == "no_memory");
            CHECK(bln_error_status(error, 0) == BLN_E_NO_MEMORY);
            CHECK(std::string(bln_error_message(error, 0)) == "out of memory");
            CHECK(f.state() == state);
        } else {
            CHECK(error == nullptr);
        }
        CHECK(f.outputs_right);
        bln_error_free(error);

        // The object is still good: the same call succeeds once there is memory.
        if (status != BLN_OK) {
            const bln_status again = s.call(f, &error);
            CHECK(std::string(bln_status_name(again)) == "ok");
            bln_error_free(error);
        }
        heap::arm(1, heap::Mode::onwards);
        f.release();
        heap::disarm();
        CHECK(heap::requests() == 0);
    }
    CHECK(heap::live() == before);
    return finished;
}

}  // namespace

std::vector<Scenario> scenarios() {
    std::vector<Scenario> all;
    for (const auto part : {record_scenarios(), form_scenarios(), quantity_scenarios(), live_and_energy_scenarios(),
                            calendar_scenarios(), uncertainty_scenarios(), standard_scenarios(), fault_scenarios(),
                            plan_scenarios(), field_test_scenarios(), proof_scenarios()})
        all.insert(all.end(), part.begin(), part.end());
    return all;
}

namespace {

#if defined(__SANITIZE_ADDRESS__)
constexpr bool sanitized = true;
#else
constexpr bool sanitized = false;
#endif

/// The build without sanitizers refuses every single request. With them that takes ten times as long: there, after the
/// first forty, every fifth.
std::uint64_t next(std::uint64_t n) { return sanitized && n >= 40 ? n + 5 : n + 1; }

constexpr std::size_t shards = 4;

/// Every fourth function, so that the cases can run side by side.
void survive(std::size_t shard) {
    { const Fixture warm; }  // whatever is made once for good
    const std::vector<Scenario> all = scenarios();
    for (std::size_t i = shard; i < all.size(); i += shards)
        for (const heap::Mode mode : {heap::Mode::once, heap::Mode::onwards}) {
            std::uint64_t n = 1;
            while (n < 100000) {
                INFO(all[i].function << ", request " << n
                                     << (mode == heap::Mode::once ? " refused" : " and all later ones refused"));
                if (done(all[i], n, mode)) break;
                n = next(n);
            }
            REQUIRE(n < 100000);
        }
}

}  // namespace

TEST_CASE("every function survives every failed allocation, 1 of 4") { survive(0); }
TEST_CASE("every function survives every failed allocation, 2 of 4") { survive(1); }
TEST_CASE("every function survives every failed allocation, 3 of 4") { survive(2); }
TEST_CASE("every function survives every failed allocation, 4 of 4") { survive(3); }

TEST_CASE("accessors need no memory") {
    for (const Quiet& q : quiet()) {
        INFO(q.function);
        Fixture f;
        heap::arm(1, heap::Mode::onwards);
        q.call(f);
        heap::disarm();
        CHECK(heap::requests() == 0);
    }
}

TEST_CASE("no public function is left out of the tables") {
    std::set<std::string> covered;
    for (const Scenario& s : scenarios()) covered.insert(s.function);
    for (const Quiet& q : quiet()) covered.insert(q.function);
    for (const char* name : freed_by_fixture()) covered.insert(name);
    for (const std::string& name : declared()) {
        INFO(name << " is in no table of tests/memory");
        CHECK(covered.count(name) == 1);
    }
    for (const std::string& name : covered) {
        INFO(name << " is not in the header");
        CHECK(declared().count(name) == 1);
    }
    CHECK(declared().size() > 80);
}
