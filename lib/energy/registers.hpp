// Cumulative registers: what lies between two readings, where it can be known; left open and named where it cannot.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

#include "energy/interval_builder.hpp"

namespace bln {

/// What a register can do.
struct RegisterLimits {
    std::int64_t modulus = 0;  ///< counts after which it starts from 0 again; 0: not known
    std::int64_t max_watts =
        0;                    ///< most that its channel can carry, W (or var, VA) as the register counts; 0: not known
    std::int64_t jitter = 1;  ///< counts by which a reading may fall back without meaning anything
};

/// An exchange or reset that somebody has seen.
struct RegisterExchange {
    std::string channel;
    Quantity quantity = Quantity::import_p;
    Instant at = 0;
    std::int64_t last = 0, first = 0;  ///< last reading of the old register, first of the new one; both at `at`
};

/// JSON: {"modulus":…, "max_watts":…, "jitter":…, "channels":{id:{the same three}},
///        "exchanges":[{"channel":…, "register":…, "at":…, "last":…, "first":…}]}
struct RegisterRule {
    RegisterLimits usual;
    std::vector<std::pair<std::string, RegisterLimits>> channels;
    std::vector<RegisterExchange> exchanges;
    /// Throws what parse_json() throws, and BLN_E_FIELD, BLN_E_TYPE, BLN_E_VALUE, each with its place.
    [[nodiscard]] static RegisterRule read(std::string_view json);
    [[nodiscard]] const RegisterLimits& of(std::string_view channel) const noexcept;
};

/// One step of a register from @p before to @p after, @p elapsed microseconds later. The rule: a step counts only if
/// it is at most 1.1 times what max_watts can bring in that time, and the time is too short for the register to pass
/// its modulus twice. A step back by more than the jitter is a rollover only where both are known.
struct RegisterMove {
    bool counts = false;                  ///< energy is known
    bool plain = false;                   ///< it is the difference of the readings, and nothing else is to be told
    StepKind kind = StepKind::backwards;  ///< where it is not plain
    std::int64_t energy = 0;
};
[[nodiscard]] RegisterMove register_move(std::int64_t before, std::int64_t after, std::int64_t elapsed, bool one_way,
                                         const RegisterLimits& limits, const Rational& wh_per_count) noexcept;

/// Collects readings; build() turns them into energy of intervals on the grid that most readings lie on.
class RegisterBuilder {
public:
    RegisterBuilder(const IntervalRule& rule, Quantities used, RegisterRule registers);
    void add(const RowBlock& rows);
    /// Throws BLN_E_SIZE, BLN_E_OVERFLOW, BLN_E_NO_ENTITY (an exchange of a channel without readings), BLN_E_VALUE
    /// (a reading past the modulus).
    [[nodiscard]] Intervals build(std::vector<std::string> channels);

private:
    enum class Origin : std::uint8_t { last, first, read };  // in the order of one instant
    struct Reading {
        Instant at = 0;
        std::int64_t value = 0;
        std::uint8_t quality = no_quality;
        Origin origin = Origin::read;
    };
    using Lane = std::vector<Reading>;
    void add_exchanges();
    void sort(Lane& lane, std::uint32_t channel, Quantity q);
    void choose_grid();
    void difference(std::size_t channel, std::size_t slot);
    [[nodiscard]] std::uint32_t interval_at(Instant at) const noexcept;

    Intervals out_;
    RegisterRule registers_;
    std::vector<Quantity> used_;
    std::vector<Lane> lanes_;  // channel after channel, `used_` for each
    std::vector<Instant> before_;
    bool any_quality_ = false;
};

}  // namespace bln
