// Registered and true complex power of phasors, many snapshots at a time.
#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "power/form.hpp"

namespace bln {

/// Contiguous real and imaginary parts of one block of snapshots.
struct PhasorBlock {
    const double* re = nullptr;
    const double* im = nullptr;
};
struct PowerBlock {
    double* re = nullptr;  ///< W
    double* im = nullptr;  ///< var
};

/// A form turned to doubles once. Complex power is S = V I*.
class Evaluator {
public:
    static constexpr std::size_t block = 256;

    explicit Evaluator(const Form& form);

    [[nodiscard]] bool uses_terminal(std::size_t t) const noexcept { return uses_terminal_[t]; }
    [[nodiscard]] std::size_t elements() const noexcept { return elements_.size(); }
    /// Element @p e with its weight, for @p n <= block snapshots: volts by terminal, amps by conductor. Writes.
    void element(std::size_t e, std::size_t n, const PhasorBlock* volts, const PhasorBlock* amps, PowerBlock out) const;
    /// What the loads that count take. Writes.
    void truth(std::size_t n, const PhasorBlock* volts, const PhasorBlock* amps, PowerBlock out) const;

private:
    struct Coefficient {
        std::size_t at;
        double value;
    };
    struct Row {
        std::vector<Coefficient> volts, amps;
        double weight;
    };
    std::vector<Row> elements_;
    struct Place {
        std::size_t conductor, terminal;
    };
    std::vector<Place> truth_;
    std::array<bool, terminal_count> uses_terminal_{};
};

}  // namespace bln
