// Roll-up of intervals that come in blocks: what is kept does not grow with time.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "energy/energy.hpp"
#include "energy/engine.hpp"
#include "energy/findings.hpp"
#include "site/column.hpp"
#include "site/sha256.hpp"

namespace bln {

/// The next intervals of every channel, one column a channel. Empty spans: nothing is there; quality: all valid.
struct StreamBlock {
    std::size_t count = 0;
    std::span<const Column> net_p, net_q, quality;
};

class RollupStream {
public:
    /// @p first start of the first interval; the period begins in it.
    /// Throws BLN_E_VALUE, BLN_E_DUPLICATE (ids), BLN_E_RANGE (period), BLN_E_OVERFLOW.
    RollupStream(std::shared_ptr<const Model> model, const Period& period, const IntervalRule& rule, Instant first,
                 std::span<const std::string_view> ids, bool reactive, bool digest, Policy policy);
    RollupStream(const RollupStream&) = delete;
    RollupStream& operator=(const RollupStream&) = delete;

    [[nodiscard]] std::size_t count() const noexcept { return grid_.count; }
    [[nodiscard]] std::size_t done() const noexcept { return engine_->done(); }
    [[nodiscard]] std::size_t rows() const noexcept { return engine_->program().ids.size(); }
    [[nodiscard]] std::size_t channels() const noexcept { return ids_.size(); }
    [[nodiscard]] const energy::Program& program() const noexcept { return engine_->program(); }

    /// Throws BLN_E_RANGE (more intervals than the period has), BLN_E_TYPE, BLN_E_VALUE, BLN_E_OVERFLOW; all is then
    /// as it was.
    void push(const StreamBlock& block, const BlockRows& out);
    /// Throws BLN_E_STATE before the last interval has come.
    [[nodiscard]] Statement finish() const;

private:
    void track(const StreamBlock& block);

    std::shared_ptr<const Model> model_;
    Period period_;
    std::vector<std::string> ids_;
    Grid grid_;
    Policy policy_;
    std::unique_ptr<Ledger> ledger_;
    std::unique_ptr<energy::Engine> engine_;
    std::vector<energy::Gaps> gaps_;
    std::vector<Sha256> digests_;
};

}  // namespace bln
