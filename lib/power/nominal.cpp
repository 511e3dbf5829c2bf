#include "power/nominal.hpp"

#include "power/failure.hpp"

namespace bln {

NominalOrders nominal_orders(const Form& form) {
    NominalOrders out;
    out.known = form.supply().nominal != NominalKind::none;
    if (!out.known) return out;
    const Residual residual = form.residual();
    for (int order = 1; order <= highest_order; ++order) {
        const NominalVoltages v = nominal_voltages(form.supply(), order);
        const Quadratic datum = v.known[residual.reference] ? v.u[residual.reference] : Quadratic{};
        bool right = true;
        for (std::size_t c = 0; right && c < residual.d.columns(); ++c) {
            Quadratic sum;
            for (std::size_t r = 0; right && r < residual.d.rows(); ++r) {
                const Rational& k = residual.d.at(r, c);
                if (k.is_zero()) continue;
                const std::size_t t = residual.row_terminal[r];
                // Nothing fixes this potential, so no nominal value can make the error vanish.
                right = t < conductor_count && v.known[t] && v.known[residual.reference];
                if (right) sum = sum + (v.u[t] - datum) * k;
            }
            right = right && sum.is_zero();
        }
        if (!right) continue;
        out.right = static_cast<std::uint16_t>(out.right | 1U << order);
        if (!v.any) out.without = static_cast<std::uint16_t>(out.without | 1U << order);
    }
    return out;
}

std::optional<Quadratic> registration(const Form& form, std::size_t from, std::size_t to) {
    const auto conductors = form.conductors();
    if (from >= conductors.size() || to >= conductors.size())
        throw Failure(BLN_E_RANGE, "no such conductor of the load");
    if (from == to || conductors[from].load != conductors[to].load) return std::nullopt;
    const NominalVoltages v = nominal_voltages(form.supply(), 1);
    const std::size_t x = index_of(conductors[from].on);
    const std::size_t y = index_of(conductors[to].on);
    if (!v.known[x] || !v.known[y]) return std::nullopt;
    const Quadratic across = v.u[x] - v.u[y];
    if (across.is_zero()) return std::nullopt;
    Quadratic registered;
    for (std::size_t e = 0; e < form.elements().size(); ++e) {
        const Rational through = form.elements()[e].weight * (form.amps(e)[from] - form.amps(e)[to]);
        if (through.is_zero()) continue;
        for (std::size_t t = 0; t < terminal_count; ++t) {
            const Rational& a = form.elements()[e].volts[t];
            if (a.is_zero()) continue;
            if (t >= conductor_count || !v.known[t]) return std::nullopt;
            registered = registered + v.u[t] * (through * a);
        }
    }
    return registered / across;
}

}  // namespace bln
