// What is said about a statement: the state of the data, who is billed, how mains and sums agree.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "energy/energy.hpp"
#include "energy/engine.hpp"
#include "energy/ledger.hpp"

namespace bln::energy {

/// Runs of intervals in which a channel has nothing.
struct Gaps {
    std::uint64_t intervals = 0, spans = 0;
    std::size_t longest_at = 0, longest = 0;
    std::size_t at = 0, run = 0;  ///< the next interval; missing ones just before it

    void take(bool there) noexcept {
        if (there) {
            run = 0;
        } else {
            if (run++ == 0) ++spans;
            ++intervals;
            if (run > longest) longest = run, longest_at = at + 1 - run;
        }
        ++at;
    }
    void take_present(std::size_t n) noexcept {
        at += n;
        if (n > 0) run = 0;
    }
};

struct Inputs {
    const Ledger& ledger;
    const Grid& grid;
    const Engine& engine;
    std::vector<Gaps> gaps;                    ///< of each channel
    std::vector<std::uint64_t> disagreements;  ///< of each channel: net is not import - export; or empty
    const Intervals* intervals;                ///< null when they came as a stream
    const CountMatrix* net;                    ///< of every channel; null likewise
    const Policy& policy;
};

/// Fills in what the engine summed up, and adds findings, reconciliations and suspicions.
void judge(const Inputs& in, Statement& out);

// The parts of it, in the order in which they run.
void fill_rows(const Inputs& in, Statement& out);
void judge_tenures(Statement& out);
void judge_data(const Inputs& in, Statement& out);
void judge_registers(const Inputs& in, Statement& out);
void judge_coverage(const Inputs& in, Statement& out);
void judge_apparent(const Inputs& in, Statement& out);
void reconcile(const Inputs& in, Statement& out);
/// Which channels would explain the difference between main row @p main and roll-up row @p sum.
void suspect(const Inputs& in, std::size_t sum, std::size_t main, Statement& out);

/// "a, b, c and 4 more".
[[nodiscard]] std::string listed(const std::vector<std::string>& ids, std::size_t most);
/// kWh of @p counts of the statement's quantum.
[[nodiscard]] double kwh(const Statement& s, std::int64_t counts);
/// An instant for people, or its number where RFC 3339 has no place for it.
[[nodiscard]] std::string when(Instant at);

}  // namespace bln::energy
