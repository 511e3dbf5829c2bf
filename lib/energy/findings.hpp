// What is said about a statement: the state of the data, who is billed, how mains and sums agree.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "energy/energy.hpp"
#include "energy/ledger.hpp"

namespace bln::energy {

struct Inputs {
    const Ledger& ledger;
    const Intervals& intervals;
    const CountMatrix& net;                           ///< of every channel
    const std::vector<std::uint64_t>& disagreements;  ///< of each channel: net is not import - export
    const Policy& policy;
};

/// Adds findings, reconciliations and suspicions.
void judge(const Inputs& in, Statement& out);

// The parts of it, in the order in which they run.
void judge_data(const Inputs& in, Statement& out);
void judge_coverage(const Inputs& in, Statement& out);
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
