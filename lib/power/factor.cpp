#include "power/factor.hpp"

#include <limits>
#include <numeric>
#include <utility>

#include "power/failure.hpp"

namespace bln {
namespace {

Matrix transposed(const Matrix& m) {
    Matrix t(m.columns(), m.rows());
    for (std::size_t r = 0; r < m.rows(); ++r)
        for (std::size_t c = 0; c < m.columns(); ++c) t.at(c, r) = m.at(r, c);
    return t;
}

/// Sum of (left form) (right form) with rows of m gathered where they are multiples of one another.
struct Grouping {
    std::vector<std::pair<Small<Rational, 8>, Small<Rational, 8>>> terms;  ///< over rows, over columns
    std::size_t coefficients = 0;
};

Grouping by_rows(const Matrix& m) {
    Grouping g;
    for (std::size_t r = 0; r < m.rows(); ++r) {
        Small<Rational, 8> row;
        row.resize(m.columns());
        for (std::size_t c = 0; c < m.columns(); ++c) row[c] = m.at(r, c);
        bool zero = true;
        for (const Rational& x : row) zero = zero && x.is_zero();
        if (zero) continue;
        const Rational content = make_primitive({row.data(), row.size()});
        std::size_t i = 0;
        const auto equal = [&](const Small<Rational, 8>& other) {
            for (std::size_t c = 0; c < row.size(); ++c)
                if (!(other[c] == row[c])) return false;
            return true;
        };
        while (i < g.terms.size() && !equal(g.terms[i].second)) ++i;
        if (i == g.terms.size()) {
            Small<Rational, 8> left;
            left.resize(m.rows());
            g.terms.emplace_back(std::move(left), std::move(row));
        }
        g.terms[i].first[r] = content;
    }
    for (const auto& [left, right] : g.terms) {
        for (const Rational& x : left) g.coefficients += x.is_zero() ? 0 : 1;
        for (const Rational& x : right) g.coefficients += x.is_zero() ? 0 : 1;
    }
    return g;
}

/// Rank factorisation: pivot columns times the rows of the echelon form.
Grouping by_rank(const Matrix& m) {
    Matrix echelon = m;
    Small<std::size_t, 8> pivots;
    const std::size_t rank = reduce(echelon, pivots, m.columns());
    Grouping g;
    for (std::size_t i = 0; i < rank; ++i) {
        Small<Rational, 8> left, right;
        left.resize(m.rows());
        right.resize(m.columns());
        for (std::size_t r = 0; r < m.rows(); ++r) left[r] = m.at(r, pivots[i]);
        for (std::size_t c = 0; c < m.columns(); ++c) right[c] = echelon.at(i, c);
        g.terms.emplace_back(std::move(left), std::move(right));
    }
    return g;
}

}  // namespace

Rational make_primitive(std::span<Rational> form) {
    std::int64_t divisor = 0, multiple = 1;
    bool negative = false;
    for (const Rational& x : form) {
        if (x.is_zero()) continue;
        if (divisor == 0) negative = x.num() < 0;
        divisor = std::gcd(divisor, x.num());
        const Wide next = Wide{multiple} / std::gcd(multiple, x.den()) * x.den();
        if (next > std::numeric_limits<std::int64_t>::max())
            throw Failure(BLN_E_OVERFLOW, "a common denominator needs more than 64 bits");
        multiple = static_cast<std::int64_t>(next);
    }
    if (divisor == 0) return Rational(0);
    const Rational content(negative ? -divisor : divisor, multiple);
    for (Rational& x : form) x = x / content;
    return content;
}

std::vector<Product> factorise(const Residual& residual) {
    const Matrix& d = residual.d;
    if (d.is_zero()) return {};
    const std::size_t rank = bln::rank(d);
    Grouping rows = by_rows(d);
    Grouping columns = by_rows(transposed(d));
    for (auto& [left, right] : columns.terms) std::swap(left, right);
    const bool rows_fit = rows.terms.size() == rank;
    const bool columns_fit = columns.terms.size() == rank;
    Grouping chosen;
    if (columns_fit && (!rows_fit || columns.coefficients < rows.coefficients))
        chosen = std::move(columns);
    else if (rows_fit)
        chosen = std::move(rows);
    else
        chosen = by_rank(d);

    std::vector<Product> out;
    out.reserve(chosen.terms.size());
    for (auto& [volts, amps] : chosen.terms) {
        Product p;
        p.factor = make_primitive({volts.data(), volts.size()}) * make_primitive({amps.data(), amps.size()});
        p.volts = std::move(volts);
        p.amps = std::move(amps);
        out.push_back(std::move(p));
    }
    return out;
}

}  // namespace bln
