// Whole counts of a stated quantum: cumulative in time, by largest remainder across the parties.
//
// What is handed out up to any time is a function of the exact energies up to that time alone: the total of all
// parties rounded half upwards, divided among them by largest remainder (ties by id). So the intervals add up to
// the period, the parties to the total, and nobody is further than one count from the exact energy.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "energy/program.hpp"
#include "power/wide.hpp"

namespace bln::energy {

/// round(x * num / den), halves upwards. Throws BLN_E_OVERFLOW.
[[nodiscard]] std::int64_t rounded(Wide x, Rational scale, const std::string& row);

class Rounder {
public:
    /// @p scale stated quanta per exact count: not negative, not zero.
    Rounder(const Program& program, Rational scale);
    /// Adds exact increments of every row, and gives the increments in whole counts.
    /// A roll-up that adds rows in @p part is given the sum of what they are given.
    void advance(std::span<const Wide> exact, const PartProgram& part, std::span<std::int64_t> out);
    /// Whole counts of @p row so far.
    [[nodiscard]] std::int64_t given(std::size_t row) const noexcept { return given_[row]; }
    [[nodiscard]] std::span<const std::int64_t> given() const noexcept { return given_; }
    [[nodiscard]] Rational scale() const noexcept { return scale_; }

private:
    struct Share {
        std::int64_t whole = 0, rest = 0;  // exact = whole + rest / den
    };
    void add(Share& to, Wide exact, std::size_t row) const;
    void hand_out(std::size_t row, std::int64_t now, std::span<std::int64_t> out);
    [[nodiscard]] std::int64_t nearest(const Share& s) const noexcept {
        return s.whole + (s.rest >= scale_.den() - s.rest ? 1 : 0);
    }

    const Program* program_;
    Rational scale_;
    std::vector<std::uint32_t> parties_;  // rows of the division, ascending by id
    std::vector<std::uint32_t> others_;   // checks
    std::vector<Share> share_;
    std::vector<std::int64_t> given_;
    Share total_;
    std::vector<std::uint32_t> ranking_;
    std::vector<std::uint8_t> extra_;
};

}  // namespace bln::energy
