// The ledger as integers: what each row adds in each stretch of time, and which intervals are divided.
#pragma once

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "energy/ledger.hpp"

namespace bln::energy {

/// One term as a multiple of the exact quantum.
struct Term64 {
    std::uint32_t source = 0;  ///< channel, or row
    std::int64_t factor = 0;
    friend bool operator==(const Term64&, const Term64&) = default;
};

/// One row in one part: terms [first, last) of the part.
struct Step {
    std::uint32_t first = 0, last = 0;
    bool adds_rows = false;    ///< the terms are rows with whole weights; otherwise they are channels
    bool lacking = false;      ///< something of it has no intervals at all
    std::uint64_t weight = 0;  ///< sum of the magnitudes of the factors, at most 2^63
};

struct PartProgram {
    std::vector<Term64> terms;
    std::vector<Step> steps;           ///< of each row
    std::vector<std::uint32_t> order;  ///< rows, each after those that it adds
    std::size_t first = 0, last = 0;   ///< intervals that lie in the part entirely
};

/// An interval that is divided by time: the parts that it touches begin with `part`.
struct Cut {
    std::size_t interval = 0;
    std::size_t part = 0;
    std::vector<std::int64_t> lengths;  ///< microseconds, sum = duration
    PartProgram sums;                   ///< roll-ups that add the same rows in every part of it, as steps
    std::vector<std::uint8_t> mixed;    ///< of each row: whether its coefficients, or the period, differ within it
};

struct Program {
    Rational quantum{1};                ///< greatest energy in Wh that divides every coefficient
    std::vector<std::size_t> entries;   ///< entry of the ledger of each row
    std::vector<RowKind> kinds;         ///< of each row
    std::vector<std::string> ids;       ///< of each row
    std::vector<std::string> premises;  ///< of each row, or empty
    std::vector<ApparentBar> bars;      ///< of each row: the first reason that held at any time
    std::vector<PartProgram> parts;     ///< as those of the ledger
    std::vector<Cut> cuts;
};

/// Throws BLN_E_OVERFLOW.
[[nodiscard]] Program compile(const Ledger& ledger, const Grid& grid);

/// Divides a count by time: floors, then the units left over to the largest remainders, earlier first.
void divide(std::int64_t count, const Cut& cut, std::int64_t duration, std::vector<std::int64_t>& out);

/// Terms of a row of the ledger over channels, as multiples of the quantum.
void whole_terms(const LedgerEntry& entry, Rational quantum, const std::string& row, std::vector<Term64>& out);

[[noreturn]] void energy_overflow(const std::string& row);

}  // namespace bln::energy
