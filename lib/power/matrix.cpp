#include "power/matrix.hpp"

#include <utility>

namespace bln {

bool Matrix::is_zero() const noexcept {
    for (const Rational& r : items_)
        if (!r.is_zero()) return false;
    return true;
}

std::size_t Matrix::nonzeros() const noexcept {
    std::size_t n = 0;
    for (const Rational& r : items_) n += r.is_zero() ? 0 : 1;
    return n;
}

std::size_t reduce(Matrix& m, Small<std::size_t, 8>& pivots, std::size_t limit) {
    pivots.clear();
    std::size_t at = 0;
    for (std::size_t c = 0; c < limit && at < m.rows(); ++c) {
        std::size_t p = at;
        while (p < m.rows() && m.at(p, c).is_zero()) ++p;
        if (p == m.rows()) continue;
        if (p != at)
            for (std::size_t j = 0; j < m.columns(); ++j) std::swap(m.at(p, j), m.at(at, j));
        const Rational pivot = m.at(at, c);
        if (!(pivot == Rational(1)))
            for (std::size_t j = c; j < m.columns(); ++j)
                if (!m.at(at, j).is_zero()) m.at(at, j) = m.at(at, j) / pivot;
        for (std::size_t r = 0; r < m.rows(); ++r) {
            if (r == at || m.at(r, c).is_zero()) continue;
            const Rational factor = m.at(r, c);
            for (std::size_t j = c; j < m.columns(); ++j)
                if (!m.at(at, j).is_zero()) m.at(r, j) -= factor * m.at(at, j);
        }
        pivots.push_back(c);
        ++at;
    }
    return at;
}

std::size_t rank(Matrix m) {
    Small<std::size_t, 8> pivots;
    return reduce(m, pivots, m.columns());
}

std::optional<Solution> solve(const Matrix& m, std::span<const Rational> y) {
    Matrix work(m.rows(), m.columns() + 1);
    for (std::size_t r = 0; r < m.rows(); ++r) {
        for (std::size_t c = 0; c < m.columns(); ++c) work.at(r, c) = m.at(r, c);
        work.at(r, m.columns()) = y[r];
    }
    Small<std::size_t, 8> pivots;
    const std::size_t rank = reduce(work, pivots, m.columns());
    for (std::size_t r = rank; r < m.rows(); ++r)
        if (!work.at(r, m.columns()).is_zero()) return std::nullopt;
    Solution out;
    out.x.resize(m.columns());
    for (std::size_t i = 0; i < rank; ++i) out.x[pivots[i]] = work.at(i, m.columns());
    out.unique = rank == m.columns();
    return out;
}

}  // namespace bln
