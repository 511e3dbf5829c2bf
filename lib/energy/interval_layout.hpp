// Where rows go: into energy of intervals, or into registers whose differences become that.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "energy/interval_builder.hpp"
#include "energy/registers.hpp"

namespace bln {

/// Rows that one block holds, about: it fits the second-level cache.
inline constexpr std::size_t block_rows = 4096;

/// What lays the rows out: energy of intervals, or readings of registers.
class IntervalLayout {
public:
    IntervalLayout(const IntervalRule& rule, Quantities used, std::string_view registers) {
        if (registers.empty())
            energy_.emplace(rule, used);
        else
            registers_.emplace(rule, used, RegisterRule::read(registers));
    }
    void add(const RowBlock& rows) { energy_ ? energy_->add(rows) : registers_->add(rows); }
    Intervals build(std::vector<std::string> channels) {
        return energy_ ? energy_->build(std::move(channels)) : registers_->build(std::move(channels));
    }

private:
    std::optional<IntervalBuilder> energy_;
    std::optional<RegisterBuilder> registers_;
};

}  // namespace bln
