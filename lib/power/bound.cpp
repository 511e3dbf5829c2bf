#include "power/bound.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "power/failure.hpp"

namespace bln {
namespace {

/// The form in doubles: one row for each potential, one column for each conductor.
struct Errors {
    std::size_t rows = 0, columns = 0;
    std::vector<Complex> r;          ///< registered minus true, row by row
    std::vector<Complex> volts;      ///< by row
    std::vector<double> spread;      ///< by row
    std::vector<double> amps;        ///< by column, finite
    std::vector<std::size_t> first;  ///< first column of each load, and the end
    std::array<int, terminal_count> row{};

    [[nodiscard]] std::span<const Complex> row_of(std::size_t t) const { return {r.data() + t * columns, columns}; }
};

void number_rows(const Form& form, Errors& m) {
    for (std::size_t t = 0; t < terminal_count; ++t) {
        m.row[t] = -1;
        if (!form.has_terminal(t)) continue;
        for (std::size_t s = 0; s < t && t < conductor_count; ++s)
            if (form.supply().bonding.bonded(static_cast<Conductor>(s), static_cast<Conductor>(t))) m.row[t] = m.row[s];
        if (m.row[t] < 0) m.row[t] = static_cast<int>(m.rows++);
    }
}

void fill(const Form& form, std::span<const Complex> weights, Errors& m) {
    m.r.assign(m.rows * m.columns, 0);
    for (std::size_t e = 0; e < form.elements().size(); ++e) {
        const Element& element = form.elements()[e];
        const Complex weight = weights.empty() ? Complex(element.weight.real()) : weights[e];
        for (std::size_t t = 0; t < terminal_count; ++t) {
            if (element.volts[t].is_zero()) continue;
            for (std::size_t k = 0; k < m.columns; ++k)
                m.r[static_cast<std::size_t>(m.row[t]) * m.columns + k] +=
                    weight * element.volts[t].real() * form.amps(e)[k].real();
        }
    }
    for (std::size_t k = 0; k < m.columns; ++k) {
        const LoadConductor& c = form.conductors()[k];
        if (form.counted(c.load)) m.r[static_cast<std::size_t>(m.row[index_of(c.on)]) * m.columns + k] -= 1;
    }
}

/// A load's conductors stand together in the form, so its columns are a range.
void limits(const Form& form, std::span<const double> amps, Errors& m) {
    m.amps.assign(amps.begin(), amps.end());
    for (std::size_t k = 0; k < m.columns; ++k)
        if (k == 0 || form.conductors()[k].load != form.conductors()[k - 1].load) m.first.push_back(k);
    m.first.push_back(m.columns);
    for (std::size_t l = 0; l + 1 < m.first.size(); ++l) {
        double others = 0;
        std::size_t open = 0;
        for (std::size_t k = m.first[l]; k < m.first[l + 1]; ++k) {
            if (std::isnan(amps[k])) throw Failure(BLN_E_NOT_FINITE, "a limit of a current is not a number");
            if (amps[k] < 0) throw Failure(BLN_E_VALUE, "a limit of a current is negative");
            if (std::isinf(amps[k]))
                ++open;
            else
                others += amps[k];
        }
        if (open > 1) throw Failure(BLN_E_ABSENT, "two currents of one load have no limit, so neither has the error");
        for (std::size_t k = m.first[l]; k < m.first[l + 1]; ++k)
            if (std::isinf(amps[k])) m.amps[k] = others;
    }
}

bool matters(const Errors& m, std::span<const Complex> row) {
    for (std::size_t l = 0; l + 1 < m.first.size(); ++l)
        for (std::size_t k = m.first[l] + 1; k < m.first[l + 1]; ++k)
            if (row[k] != row[m.first[l]]) return true;
    return false;
}

Errors prepare(const Form& form, const Potentials& at, std::span<const double> spread, std::span<const double> amps,
               std::span<const Complex> weights) {
    Errors m;
    m.columns = form.conductors().size();
    if (amps.size() != m.columns) throw Failure(BLN_E_ARGUMENT, "there is one limit for each conductor");
    if (spread.size() != terminal_count) throw Failure(BLN_E_ARGUMENT, "there is one spread for each terminal");
    if (!weights.empty() && weights.size() != form.elements().size())
        throw Failure(BLN_E_ARGUMENT, "there is one weight for each element");
    for (const Complex& w : weights)
        if (!std::isfinite(w.real()) || !std::isfinite(w.imag()))
            throw Failure(BLN_E_NOT_FINITE, "a weight is not a number");
    number_rows(form, m);
    fill(form, weights, m);
    limits(form, amps, m);
    m.volts.assign(m.rows, 0);
    m.spread.assign(m.rows, std::numeric_limits<double>::infinity());
    std::vector<char> known(m.rows, 0);
    for (std::size_t t = 0; t < terminal_count; ++t) {
        if (m.row[t] < 0) continue;
        const auto r = static_cast<std::size_t>(m.row[t]);
        if (!std::isfinite(spread[t])) throw Failure(BLN_E_NOT_FINITE, "a spread of a voltage is not a number");
        if (spread[t] < 0) throw Failure(BLN_E_VALUE, "a spread of a voltage is negative");
        m.spread[r] = std::min(m.spread[r], spread[t]);
        if (!at.known[t] || known[r] != 0) continue;
        if (!std::isfinite(at.volts[t].real()) || !std::isfinite(at.volts[t].imag()))
            throw Failure(BLN_E_NOT_FINITE, "a voltage is not a number");
        known[r] = 1;
        m.volts[r] = at.volts[t];
    }
    for (std::size_t r = 0; r < m.rows; ++r)
        if (known[r] == 0 && matters(m, m.row_of(r)))
            throw Failure(BLN_E_ABSENT, "the error depends on a potential that is not known");
    return m;
}

/// Worst currents for g, load by load.
Weber worst_currents(const Errors& m, std::span<const Complex> g, std::span<Complex> amps) {
    Weber sum;
    for (std::size_t l = 0; l + 1 < m.first.size(); ++l) {
        const std::size_t from = m.first[l], n = m.first[l + 1] - from;
        const Weber one = weber(g.subspan(from, n), std::span(m.amps).subspan(from, n), amps.subspan(from, n));
        sum.least += one.least;
        sum.attained += one.attained;
    }
    return sum;
}

void gather(const Errors& m, std::span<const Complex> volts, std::span<Complex> g) {
    std::fill(g.begin(), g.end(), 0);
    for (std::size_t t = 0; t < m.rows; ++t)
        for (std::size_t k = 0; k < m.columns; ++k) g[k] += volts[t] * m.r[t * m.columns + k];
}

/// Turns voltages and currents to one another's disadvantage until neither gains: a worst case that happens.
class Ascent {
public:
    explicit Ascent(const Errors& m) : m_(m), g_(m.columns), i_(m.columns), v_(m.rows) {}

    void from(std::span<const Complex> currents) {
        std::copy(currents.begin(), currents.end(), i_.begin());
        double now = 0;
        for (int round = 0; round < 60; ++round) {
            disturb();
            gather(m_, v_, g_);
            const double next = worst_currents(m_, g_, i_).attained;
            if (next > best_) {
                best_ = next;
                best_i = i_;
                best_v = v_;
            }
            if (next <= now * (1 + 1e-12)) return;
            now = next;
        }
    }
    [[nodiscard]] double best() const noexcept { return best_; }
    std::vector<Complex> best_i, best_v;

private:
    void disturb() {
        std::vector<Complex>& c = v_;
        Complex at;
        for (std::size_t t = 0; t < m_.rows; ++t) {
            Complex sum;
            for (std::size_t k = 0; k < m_.columns; ++k) sum += m_.r[t * m_.columns + k] * std::conj(i_[k]);
            c[t] = sum;
            at += m_.volts[t] * sum;
        }
        const Complex turn = at == Complex{} ? Complex{1} : at / std::abs(at);
        for (std::size_t t = 0; t < m_.rows; ++t) {
            const double size = std::abs(c[t]);
            c[t] = m_.volts[t] + (size > 0 ? m_.spread[t] / size * turn * std::conj(c[t]) : Complex{});
        }
    }

    const Errors& m_;
    std::vector<Complex> g_, i_, v_;
    double best_ = -1;
};

}  // namespace

Bound worst_case(const Form& form, const Potentials& at, std::span<const double> spread, std::span<const double> amps,
                 std::span<const Complex> weights) {
    const Errors m = prepare(form, at, spread, amps, weights);
    Bound out;
    std::vector<Complex> g(m.columns), currents(m.columns);
    gather(m, m.volts, g);
    const Weber here = worst_currents(m, g, currents);
    out.at_voltages = here.least;
    out.attained_at_voltages = here.attained;
    Ascent ascent(m);
    ascent.from(currents);
    for (std::size_t t = 0; t < m.rows; ++t) {
        if (m.spread[t] == 0) continue;
        out.from_spread += m.spread[t] * worst_currents(m, m.row_of(t), currents).least;
        ascent.from(currents);
    }
    out.attained = std::clamp(ascent.best(), 0.0, out.total());  // beyond it by rounding alone
    out.amps = ascent.best_i;
    for (std::size_t t = 0; t < terminal_count; ++t) {
        if (m.row[t] < 0) continue;
        out.volts.known[t] = true;
        out.volts.volts[t] = ascent.best_v[static_cast<std::size_t>(m.row[t])];
    }
    return out;
}

Potentials nominal_potentials(const Form& form, int order, double unit) {
    Potentials out;
    if (form.supply().nominal == NominalKind::none) return out;
    const NominalVoltages v = nominal_voltages(form.supply(), order);
    for (std::size_t t = 0; t < conductor_count; ++t) {
        out.known[t] = v.known[t];
        if (v.known[t]) out.volts[t] = unit * v.u[t].value();
    }
    return out;
}

}  // namespace bln
