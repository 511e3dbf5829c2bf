// The roll-up proper: blocks of intervals in, exact sums of every row out. Its memory does not grow with time.
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <span>
#include <string>
#include <vector>

#include "energy/program.hpp"
#include "energy/rounding.hpp"
#include "energy/row_tally.hpp"
#include "energy/tenures.hpp"

namespace bln {

/// One quantity of one channel over the intervals of a block.
struct BlockCounts {
    const std::int64_t* counts = nullptr;  ///< null: nothing is there
    const std::uint8_t* bytes = nullptr;   ///< a byte for each, 0 = missing; null: all there
    const std::uint8_t* bits = nullptr;    ///< or a bit for each, the first the lowest
};

/// One channel over the intervals of a block.
struct BlockChannel {
    BlockCounts p, q;
    const std::uint8_t* quality = nullptr;  ///< codes; null: valid
};

/// Where the intervals of every row go: row after row, `stride` apart. Null members are not wanted.
struct BlockRows {
    std::size_t stride = 0;
    std::int64_t* net = nullptr;
    std::int64_t* net_q = nullptr;
    std::uint8_t* complete = nullptr;
    std::uint8_t* complete_q = nullptr;
    std::uint8_t* quality = nullptr;  ///< code of the worst part; of the last in the list where something is missing
};

/// A roll-up against its main, over the intervals in which both are complete.
struct PairTally {
    std::size_t sum = 0, main = 0;  ///< rows
    Wide sum_net = 0, main_net = 0;
    std::uint64_t intervals = 0, left_out = 0;
};

namespace energy {

/// Rolls blocks up, one after the other. A block that cannot be taken leaves everything as it was.
class Engine {
public:
    /// @p quantum in Wh of what is handed out; zero: the exact one.
    Engine(const Ledger& ledger, const Grid& grid, Rational quantum, bool reactive);
    Engine(const Engine&) = delete;
    Engine& operator=(const Engine&) = delete;

    /// Takes the next @p count intervals. @p each is told the number of intervals done so far, and may throw.
    /// Throws BLN_E_OVERFLOW, BLN_E_VALUE (a number that is no quality code).
    void push(std::span<const BlockChannel> channels, std::size_t count, const BlockRows& out,
              const std::function<void(std::size_t)>& each = {});

    [[nodiscard]] const Program& program() const noexcept { return program_; }
    [[nodiscard]] std::size_t done() const noexcept { return live_.done; }
    [[nodiscard]] bool reactive() const noexcept { return reactive_; }
    [[nodiscard]] Rational quantum() const noexcept { return quantum_; }
    /// Stated quanta per exact count.
    [[nodiscard]] Rational scale() const noexcept { return scale_; }
    [[nodiscard]] const RowTally& tally(std::size_t row) const noexcept { return live_.rows[row]; }
    [[nodiscard]] std::span<const PairTally> pairs() const noexcept { return live_.pairs; }
    /// Of every point, in the order of the rows and of time.
    [[nodiscard]] std::vector<TenureTally> tenures() const { return live_.tenures.list(live_.rows, given()); }
    /// Net energy of a row in counts of quantum().
    [[nodiscard]] std::int64_t net(std::size_t row) const;
    [[nodiscard]] std::int64_t net_q(std::size_t row) const;

private:
    static constexpr std::size_t most = 512;  // intervals in flight: what a row needs of them stays in cache
    static constexpr std::uint8_t gone = static_cast<std::uint8_t>(quality_codes.size());
    static constexpr int varied = -1;

    struct State {
        std::size_t done = 0, part = 0, cut = 0;
        std::size_t turned = 0;  // the last part whose beginning the tenures have seen
        Tenures tenures;
        std::vector<RowTally> rows;
        std::vector<PairTally> pairs;
        std::vector<Rounder> rounders;  // none, or of P and of Q
    };
    /// One quantity of every row over a segment.
    struct Lane {
        std::vector<std::int64_t> counts;   // of each slot, `most` apart
        std::vector<std::uint8_t> states;   // rank of the worst part, or gone
        std::vector<std::int32_t> uniform;  // the state that all have, or varied
        std::vector<std::uint64_t> bound;   // of the magnitude of the counts
        bool summed = false;                // whether the next two are those of the row that came last
        std::int64_t net = 0, positive = 0;
    };

    void block(std::size_t offset, std::size_t n, const BlockRows& out);
    void segment(std::size_t a, std::size_t n, const PartProgram& part, const BlockRows& out);
    void choose_slots();
    void prefetch(const Step& step, const PartProgram& part, std::size_t a, std::size_t n) const noexcept;
    void divided(std::size_t a, const Cut& cut, std::size_t r);
    void turn(std::size_t part);
    void cut_interval(std::size_t a, const Cut& cut, const BlockRows& out);
    void row(Lane& lane, bool q, std::size_t r, const Step& step, const PartProgram& part, std::size_t a,
             std::size_t n);
    void slow_row(Lane& lane, bool q, std::size_t r, const Step& step, const PartProgram& part, std::size_t a,
                  std::size_t n);
    void states(Lane& lane, bool q, std::size_t r, const Step& step, const PartProgram& part, std::size_t a,
                std::size_t n);
    int channel_state(std::uint32_t channel, bool q, std::size_t a, std::size_t n, std::uint8_t* into);
    void total_row(std::size_t r, std::size_t n);
    void total_q(std::size_t r, std::size_t n);
    void compare(std::size_t part, std::size_t n);
    void round(std::size_t n, const PartProgram& part, const BlockRows& out, std::size_t at);
    void round_pieces(bool q, const Cut& cut, std::int64_t* out, std::size_t stride);
    void write(std::size_t r, std::size_t n, const BlockRows& out, std::size_t at);
    [[nodiscard]] Given given() const noexcept;
    void round(bool q, std::size_t n, const PartProgram& part, std::int64_t* out, std::size_t stride);

    const Ledger& ledger_;
    Grid grid_;
    bool reactive_;
    Program program_;
    Rational quantum_, scale_;
    std::span<const BlockChannel> channels_;  // of the push under way
    Lane p_, q_;
    // Where a row lies in a lane. Rows that others add, or that are compared, have a slot of their own; the others
    // share one, which so never leaves the nearest cache.
    std::vector<std::size_t> slot_;
    State live_, saved_;
    std::vector<std::uint8_t> cell_;
    std::vector<Wide> exact_;
    std::vector<std::int64_t> whole_, pieces_;
    std::vector<Term64> terms_;
    std::array<std::vector<Wide>, 2> parts_;                // of the divided interval: see Pieces
    std::array<std::vector<std::int64_t>, 2> parts_given_;  // likewise
    std::array<std::int8_t, 256> rank_{};
};

}  // namespace energy
}  // namespace bln
