#include "power/recompute.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "power/failure.hpp"

namespace bln {
namespace {

/// What the two kinds of numbers need for elimination.
struct ExactNumbers {
    using Value = Quadratic;
    static Value of(const Rational& r) { return {r, Rational(0)}; }
    [[nodiscard]] double size(const Value& x) const { return x.is_zero() ? 0 : std::abs(x.value()); }
};
struct MeasuredNumbers {
    using Value = Complex;
    double unit;  ///< V: what is below 1e-12 of it counts as zero
    static Value of(const Rational& r) { return {r.real(), 0}; }
    [[nodiscard]] double size(const Value& x) const { return std::abs(x) <= 1e-12 * unit ? 0 : std::abs(x); }
};

template <class Numbers>
struct Voltages {
    std::array<typename Numbers::Value, terminal_count> volts{};
    std::array<bool, terminal_count> known{};
};

/// Solves sum over e of c(e) (a(e)'u) b(e)'N = u'N. Columns of the system: elements, then the right side.
template <class Numbers>
std::optional<std::vector<typename Numbers::Value>> weights_at(const Form& form, const Voltages<Numbers>& at,
                                                               const Numbers& numbers, double tolerance) {
    using Value = typename Numbers::Value;
    const Form::Frame f = form.frame();
    const std::size_t n = form.elements().size(), width = n + 1;
    std::vector<Value> m(f.columns * width);
    for (std::size_t e = 0; e < n; ++e) {
        Value across{};
        for (std::size_t t = 0; t < terminal_count; ++t) {
            const Rational& a = form.elements()[e].volts[t];
            if (a.is_zero()) continue;
            if (!at.known[t]) return std::nullopt;
            across = across + at.volts[t] * Numbers::of(a);
        }
        for (std::size_t k = 0; k < form.conductors().size(); ++k)
            if (f.column[k] >= 0)
                m[static_cast<std::size_t>(f.column[k]) * width + e] =
                    across * Numbers::of(form.amps(e)[k] - form.amps(e)[f.eliminated[form.conductors()[k].load]]);
    }
    for (std::size_t k = 0; k < form.conductors().size(); ++k) {
        const LoadConductor& c = form.conductors()[k];
        if (f.column[k] < 0 || !form.counted(c.load)) continue;
        const std::size_t to = index_of(c.on), back = index_of(form.conductors()[f.eliminated[c.load]].on);
        if (!at.known[to] || !at.known[back]) return std::nullopt;
        m[static_cast<std::size_t>(f.column[k]) * width + n] = at.volts[to] - at.volts[back];
    }

    std::vector<std::size_t> pivots;
    for (std::size_t e = 0; e < n && pivots.size() < f.columns; ++e) {
        std::size_t best = pivots.size();
        for (std::size_t r = best; r < f.columns; ++r)
            if (numbers.size(m[r * width + e]) > numbers.size(m[best * width + e])) best = r;
        if (numbers.size(m[best * width + e]) == 0) continue;
        const std::size_t row = pivots.size();
        for (std::size_t c = 0; c < width; ++c) std::swap(m[row * width + c], m[best * width + c]);
        const Value pivot = m[row * width + e];
        for (std::size_t c = e; c < width; ++c) m[row * width + c] = m[row * width + c] / pivot;
        for (std::size_t r = 0; r < f.columns; ++r) {
            const Value factor = m[r * width + e];
            if (r == row || numbers.size(factor) == 0) continue;
            for (std::size_t c = e; c < width; ++c) m[r * width + c] = m[r * width + c] - factor * m[row * width + c];
        }
        pivots.push_back(e);
    }
    for (std::size_t r = pivots.size(); r < f.columns; ++r)
        if (numbers.size(m[r * width + n]) > tolerance) return std::nullopt;
    std::vector<Value> out(n);
    for (std::size_t r = 0; r < pivots.size(); ++r) out[pivots[r]] = m[r * width + n];
    return out;
}

}  // namespace

std::optional<std::vector<Quadratic>> recompute(const Form& form) {
    if (form.supply().nominal == NominalKind::none) return std::nullopt;
    const NominalVoltages v = nominal_voltages(form.supply(), 1);
    Voltages<ExactNumbers> at;
    for (std::size_t t = 0; t < conductor_count; ++t) {
        at.volts[t] = v.u[t];
        at.known[t] = v.known[t];
    }
    return weights_at(form, at, ExactNumbers{}, 0);
}

std::optional<std::vector<Complex>> recompute(const Form& form, const Potentials& at) {
    Voltages<MeasuredNumbers> measured{at.volts, at.known};
    double unit = 0;
    for (std::size_t t = 0; t < terminal_count; ++t) {
        if (!at.known[t]) continue;
        if (!std::isfinite(at.volts[t].real()) || !std::isfinite(at.volts[t].imag()))
            throw Failure(BLN_E_NOT_FINITE, "a voltage is not a number");
        unit = std::max(unit, std::abs(at.volts[t]));
    }
    return weights_at(form, measured, MeasuredNumbers{unit}, 1e-9 * unit);
}

}  // namespace bln
