// The energy of every point, tenure by tenure: who held its premises from when to when, and what came in that time.
//
// Tenures follow one another without gaps, so those of a point add up to its row, to the last count.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "energy/program.hpp"
#include "energy/row_tally.hpp"

namespace bln::energy {

/// One row under one holder of the ledger.
struct TenureTally {
    std::uint32_t row = 0;
    std::uint32_t holder = 0;
    Instant from = 0, to = 0;
    RowTally sums;                        ///< counts whole intervals only; energies also of parts of divided ones
    std::uint64_t divided = 0;            ///< intervals that it shares with the tenure before or after
    std::int64_t given = 0, given_q = 0;  ///< whole counts of the stated quantum
};

/// Whole counts handed out so far, of every row: P and Q. Empty where the exact counts are handed out.
struct Given {
    std::span<const std::int64_t> p, q;
};

/// Sums of the parts of a divided interval: of row r in part i at [i * rows + r]. `given` likewise, at the end of each
/// part; only asked for where a tenure ends there.
struct Pieces {
    std::span<const Wide> p, q;
    std::span<const std::int64_t> given_p, given_q;
};

/// Copied as a whole when a block may yet be refused.
class Tenures {
public:
    Tenures() = default;
    Tenures(const Ledger& ledger, const Grid& grid);

    /// Rows whose holder is another one from the beginning of part @p part.
    [[nodiscard]] std::span<const std::uint32_t> turns(std::size_t part) const noexcept { return turns_[part]; }
    [[nodiscard]] bool turns_within(const Cut& cut) const noexcept;
    /// Everything before the beginning of part @p part is in @p rows.
    void turn(std::size_t part, std::span<const RowTally> rows, const Given& given);
    /// The same before a divided interval in which tenures end.
    void before(const Cut& cut, std::span<const RowTally> rows, const Given& given);
    /// And after it: import and export of @p rows become the sums of those of the tenures.
    void after(const Cut& cut, const Pieces& pieces, std::span<RowTally> rows, const Given& given);
    /// All tenures in the order of rows and time; what came up to now is in @p rows.
    [[nodiscard]] std::vector<TenureTally> list(std::span<const RowTally> rows, const Given& given) const;

private:
    struct Base {
        RowTally tally;
        std::int64_t given = 0, given_q = 0;
    };
    void settle(std::uint32_t row, const RowTally& tally, const Given& given);
    void open(std::uint32_t row, std::size_t part);

    const Ledger* ledger_ = nullptr;
    Instant end_ = 0;
    std::vector<std::vector<std::uint32_t>> turns_;  // of each part of the ledger
    std::vector<TenureTally> tallies_;               // in the order in which they began
    std::vector<std::uint32_t> open_;                // of each point: position of the one that runs
    std::vector<Base> base_;                         // of each point: what the one that runs began with
};

}  // namespace bln::energy
