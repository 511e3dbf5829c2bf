#include "plan/drives.hpp"

#include <numbers>

namespace bln::plan {
namespace {

struct LoadOf {
    std::vector<std::size_t> poles;  ///< positions in the form
    std::size_t back = SIZE_MAX;     ///< neutral, or the grounded phase that carries a single pole's current back
};

LoadOf load_of(const PointForm& form, std::size_t load) {
    LoadOf out;
    const auto conductors = form.form.conductors();
    for (std::size_t k = 0; k < conductors.size(); ++k) {
        if (conductors[k].load != load) continue;
        if (form.origin[k].pole > 0)
            out.poles.push_back(k);
        else
            out.back = k;
    }
    return out;
}

}  // namespace

Potentials potentials_of(const Supply& supply) {
    Potentials out;
    const NominalVoltages n = nominal_voltages(supply, 1);
    for (std::size_t c = 0; c < conductor_count; ++c) {
        out.v[c] = n.u[c].value();
        out.known[c] = n.known[c];
    }
    return out;
}

std::vector<Drive> drives_of(const PointForm& form, const Potentials& u) {
    std::vector<Drive> out;
    const auto conductors = form.form.conductors();
    const auto at = [&](std::size_t k) { return u.v[index_of(conductors[k].on)]; };
    for (std::size_t load = 0; load < form.form.loads(); ++load) {
        const LoadOf l = load_of(form, load);
        const auto between = [&](std::size_t from, std::size_t to) {
            Drive d;
            d.amps.resize(conductors.size());
            d.load = load;
            const Complex v = at(from) - at(to);
            d.volts = std::abs(v);
            if (d.volts < 1e-9) return;
            d.amps[from] = v;
            d.amps[to] = -v;
            out.push_back(std::move(d));
        };
        const bool returns = l.back != SIZE_MAX;
        if (l.poles.size() == 2) between(l.poles[0], l.poles[1]);
        if (l.poles.size() == 3) {
            const Complex star = (at(l.poles[0]) + at(l.poles[1]) + at(l.poles[2])) / 3.0;
            Drive d;
            d.amps.resize(conductors.size());
            d.load = load;
            d.phases = 3;
            for (const std::size_t k : l.poles) {
                d.amps[k] = at(k) - star;
                d.volts = std::abs(d.amps[k]) * std::numbers::sqrt3;
            }
            out.push_back(std::move(d));
        }
        if (returns)
            for (const std::size_t k : l.poles) between(k, l.back);
    }
    return out;
}

}  // namespace bln::plan
