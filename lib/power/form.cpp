#include "power/form.hpp"

#include "power/failure.hpp"

namespace bln {

VoltageRow voltage_between(std::size_t plus, std::size_t minus) {
    VoltageRow row{};
    row[plus] += Rational(1);
    row[minus] -= Rational(1);
    return row;
}

VoltageRow voltage_to_star(Conductor phase) {
    VoltageRow row{};
    for (const Conductor c : {Conductor::A, Conductor::B, Conductor::C})
        row[index_of(c)] = c == phase ? Rational(2, 3) : Rational(-1, 3);
    return row;
}

std::size_t Form::add_load(bool counted) {
    counted_.push_back(counted ? 1 : 0);
    return counted_.size() - 1;
}

std::size_t Form::add_conductor(Conductor on) {
    if (counted_.empty() || !elements_.empty())
        throw Failure(BLN_E_STATE, "conductors are added to a load, and before the first element");
    if (!supply_.bonding.has(on))
        throw Failure(BLN_E_VALUE, "the service has no conductor " + std::string(word_of(on)));
    conductors_.push_back({on, static_cast<std::uint32_t>(counted_.size() - 1)});
    return conductors_.size() - 1;
}

std::size_t Form::add_floating() {
    if (first_floating + floating_ == terminal_count)
        throw Failure(BLN_E_RANGE, "more than three floating commons in one form");
    return first_floating + floating_++;
}

bool Form::has_terminal(std::size_t t) const noexcept {
    return t < conductor_count ? supply_.bonding.node[t] >= 0 : t < first_floating + floating_;
}

void Form::add_element(const VoltageRow& volts, std::span<const Rational> amps, const Rational& weight) {
    if (amps.size() != conductors_.size())
        throw Failure(BLN_E_ARGUMENT, "an element has one current coefficient for each conductor of the load");
    Rational sum;
    for (std::size_t t = 0; t < terminal_count; ++t) {
        if (volts[t].is_zero()) continue;
        if (!has_terminal(t)) throw Failure(BLN_E_VALUE, "an element refers to a voltage terminal that is not there");
        sum += volts[t];
    }
    if (!sum.is_zero()) throw Failure(BLN_E_VALUE, "the voltage coefficients of an element must sum to zero");
    amps_.reserve(amps_.size() + amps.size());
    elements_.push_back({volts, weight});
    for (const Rational& b : amps) amps_.push_back(b);
}

std::uint8_t Form::natural_reference() const noexcept {
    if (supply_.reference != Conductor::none) return static_cast<std::uint8_t>(index_of(supply_.reference));
    for (std::size_t t = 0; t < conductor_count; ++t)
        if (supply_.bonding.node[t] >= 0) return static_cast<std::uint8_t>(t);
    return 0;
}

Form::Frame Form::frame(std::uint8_t reference, std::span<const std::uint32_t> eliminated) const {
    Frame f;
    f.reference = reference;
    f.row.fill(-1);
    for (std::size_t t = 0; t < terminal_count; ++t) {
        if (!has_terminal(t) || t == reference) continue;
        const auto c = static_cast<Conductor>(t < conductor_count ? static_cast<int>(t) : -1);
        const auto r = static_cast<Conductor>(reference < conductor_count ? static_cast<int>(reference) : -1);
        if (c != Conductor::none && supply_.bonding.bonded(c, r)) continue;
        std::int8_t row = -1;
        for (std::size_t s = 0; s < t && t < conductor_count; ++s)
            if (f.row[s] >= 0 && supply_.bonding.bonded(c, static_cast<Conductor>(s))) row = f.row[s];
        if (row < 0) {
            row = static_cast<std::int8_t>(f.rows);
            f.row_terminal[f.rows++] = static_cast<std::uint8_t>(t);
        }
        f.row[t] = row;
    }
    for (const std::uint32_t k : eliminated) f.eliminated.push_back(k);
    f.column.resize(conductors_.size());
    for (std::size_t k = 0; k < conductors_.size(); ++k)
        f.column[k] = f.eliminated[conductors_[k].load] == k ? -1 : static_cast<std::int32_t>(f.columns++);
    return f;
}

Form::Frame Form::frame() const {
    // N, then G, is the natural dependent current; otherwise the last conductor.
    Small<std::uint32_t, 4> eliminated;
    eliminated.resize(counted_.size());
    Small<std::uint8_t, 4> best;
    best.resize(counted_.size());
    for (std::size_t k = 0; k < conductors_.size(); ++k) {
        const LoadConductor& c = conductors_[k];
        const std::uint8_t merit = c.on == Conductor::N ? 3 : c.on == Conductor::G ? 2 : 1;
        if (merit < best[c.load]) continue;
        best[c.load] = merit;
        eliminated[c.load] = static_cast<std::uint32_t>(k);
    }
    return frame(natural_reference(), eliminated.span());
}

Matrix Form::truth(const Frame& f) const {
    Matrix m(f.rows, f.columns);
    for (std::size_t k = 0; k < conductors_.size(); ++k) {
        const LoadConductor& c = conductors_[k];
        if (f.column[k] < 0 || counted_[c.load] == 0) continue;
        const auto column = static_cast<std::size_t>(f.column[k]);
        const Conductor back = conductors_[f.eliminated[c.load]].on;
        if (const int r = f.row[index_of(c.on)]; r >= 0) m.at(static_cast<std::size_t>(r), column) += Rational(1);
        if (const int r = f.row[index_of(back)]; r >= 0) m.at(static_cast<std::size_t>(r), column) -= Rational(1);
    }
    return m;
}

void Form::add_registered(const Frame& f, std::size_t e, const Rational& factor, Matrix& to) const {
    if (factor.is_zero()) return;
    const std::span<const Rational> b = amps(e);
    const VoltageRow& a = elements_[e].volts;
    for (std::size_t k = 0; k < b.size(); ++k) {
        if (f.column[k] < 0) continue;
        const Rational reduced = b[k] - b[f.eliminated[conductors_[k].load]];
        if (reduced.is_zero()) continue;
        const Rational scaled = factor * reduced;
        for (std::size_t t = 0; t < terminal_count; ++t)
            if (f.row[t] >= 0 && !a[t].is_zero())
                to.at(static_cast<std::size_t>(f.row[t]), static_cast<std::size_t>(f.column[k])) += scaled * a[t];
    }
}

Matrix Form::difference(const Frame& f) const {
    const Matrix t = truth(f);
    Matrix d(f.rows, f.columns);
    for (std::size_t e = 0; e < elements_.size(); ++e) add_registered(f, e, elements_[e].weight, d);
    for (std::size_t r = 0; r < f.rows; ++r)
        for (std::size_t c = 0; c < f.columns; ++c)
            if (!t.at(r, c).is_zero()) d.at(r, c) -= t.at(r, c);
    return d;
}

bool Form::exact() const { return difference(frame()).is_zero(); }

std::size_t Form::fewest_elements() const { return rank(truth(frame())); }

Residual Form::residual() const {
    Frame best = frame();
    Matrix d = difference(best);
    const auto try_frame = [&](std::uint8_t reference, std::span<const std::uint32_t> eliminated) {
        Frame f = frame(reference, eliminated);
        Matrix m = difference(f);
        if (m.nonzeros() >= d.nonzeros()) return;
        best = std::move(f);
        d = std::move(m);
    };
    if (!d.is_zero()) {
        // Loads without neutral have no natural dependent current: take the one that leaves fewest terms.
        for (std::size_t k = 0; k < conductors_.size(); ++k) {
            const std::uint32_t load = conductors_[k].load;
            const Conductor now = conductors_[best.eliminated[load]].on;
            if (now == Conductor::N || now == Conductor::G || best.eliminated[load] == k) continue;
            Small<std::uint32_t, 4> eliminated = best.eliminated;
            eliminated[load] = static_cast<std::uint32_t>(k);
            try_frame(best.reference, eliminated.span());
        }
        if (supply_.reference == Conductor::none)
            for (std::uint8_t t = 0; t < conductor_count; ++t)
                if (has_terminal(t) && t != best.reference) try_frame(t, best.eliminated.span());
    }
    Residual out;
    out.d = std::move(d);
    out.row_terminal = best.row_terminal;
    out.reference = best.reference;
    out.eliminated = best.eliminated;
    for (std::size_t k = 0; k < conductors_.size(); ++k)
        if (best.column[k] >= 0) out.column_conductor.push_back(static_cast<std::uint32_t>(k));
    return out;
}

}  // namespace bln
