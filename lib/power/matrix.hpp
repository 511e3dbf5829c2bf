// Small matrices of exact ratios: rank, factorisation, linear systems.
#pragma once

#include <cstddef>
#include <optional>
#include <span>

#include "power/rational.hpp"
#include "power/small.hpp"

namespace bln {

class Matrix {
public:
    Matrix() = default;
    Matrix(std::size_t rows, std::size_t columns) : rows_(rows), columns_(columns) { items_.resize(rows * columns); }

    [[nodiscard]] std::size_t rows() const noexcept { return rows_; }
    [[nodiscard]] std::size_t columns() const noexcept { return columns_; }
    [[nodiscard]] Rational& at(std::size_t r, std::size_t c) noexcept { return items_[r * columns_ + c]; }
    [[nodiscard]] const Rational& at(std::size_t r, std::size_t c) const noexcept { return items_[r * columns_ + c]; }
    [[nodiscard]] std::span<const Rational> row(std::size_t r) const noexcept {
        return {items_.data() + r * columns_, columns_};
    }
    [[nodiscard]] bool is_zero() const noexcept;
    [[nodiscard]] std::size_t nonzeros() const noexcept;

private:
    std::size_t rows_ = 0, columns_ = 0;
    Small<Rational, 20> items_;
};

/// Brings @p m to reduced row echelon form; pivots[i] is the column of the pivot of row i.
/// Returns the rank. Only the first @p limit columns are searched for pivots.
std::size_t reduce(Matrix& m, Small<std::size_t, 8>& pivots, std::size_t limit);

[[nodiscard]] std::size_t rank(Matrix m);

/// One solution of m x = y (free unknowns zero), or nothing when there is none.
struct Solution {
    Small<Rational, 8> x;
    bool unique = false;
};
[[nodiscard]] std::optional<Solution> solve(const Matrix& m, std::span<const Rational> y);

}  // namespace bln
