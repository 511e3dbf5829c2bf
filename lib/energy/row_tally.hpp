// Exact sums of one row of a statement.
#pragma once

#include <array>
#include <cstdint>

#include "energy/quality.hpp"
#include "power/wide.hpp"

namespace bln {

/// Energies in counts of the exact quantum.
struct RowTally {
    Wide net = 0, import_p = 0, export_p = 0;
    Wide net_q = 0, import_q = 0, export_q = 0;
    Wide both_p = 0, both_q = 0;  ///< over the intervals in which P and Q are complete
    Wide apparent = 0;            ///< sum of sqrt(P^2 + Q^2) of these, in 1024ths
    std::uint64_t both = 0;       ///< these intervals
    std::uint64_t missing_q = 0;  ///< intervals in which reactive energy lacks a part
    std::uint64_t mixed = 0;
    Wide flagged_net = 0;  ///< of the complete intervals whose worst part is not measured
    std::array<std::uint64_t, quality_codes.size() + 1> quality{};  ///< intervals by rank; the last: missing

    /// Adds what came between two states of one tally.
    void add_between(const RowTally& before, const RowTally& after) noexcept {
        net += after.net - before.net;
        import_p += after.import_p - before.import_p;
        export_p += after.export_p - before.export_p;
        net_q += after.net_q - before.net_q;
        import_q += after.import_q - before.import_q;
        export_q += after.export_q - before.export_q;
        both_p += after.both_p - before.both_p;
        both_q += after.both_q - before.both_q;
        apparent += after.apparent - before.apparent;
        both += after.both - before.both;
        missing_q += after.missing_q - before.missing_q;
        mixed += after.mixed - before.mixed;
        flagged_net += after.flagged_net - before.flagged_net;
        for (std::size_t k = 0; k < quality.size(); ++k) quality[k] += after.quality[k] - before.quality[k];
    }
};

}  // namespace bln
