#include "power/correction.hpp"

#include <cmath>
#include <vector>

#include "power/failure.hpp"

namespace bln {
namespace {

void sensible(double x, const char* what) {
    if (!std::isfinite(x)) throw Failure(BLN_E_NOT_FINITE, std::string(what) + " is not a number");
    if (x < 0) throw Failure(BLN_E_VALUE, std::string(what) + " is negative");
}

bool is_phase(Conductor c) { return index_of(c) <= index_of(Conductor::C); }

}  // namespace

std::optional<std::vector<Quadratic>> balanced_currents(const Form& form) {
    if (form.supply().nominal == NominalKind::none) return std::nullopt;
    const NominalVoltages v = nominal_voltages(form.supply(), 1);
    const auto conductors = form.conductors();
    Quadratic star;
    std::size_t phases = 0, back = conductors.size();
    for (std::size_t k = 0; k < conductors.size() && conductors[k].load == 0; ++k) {
        const std::size_t t = index_of(conductors[k].on);
        if (!v.known[t]) return std::nullopt;
        if (is_phase(conductors[k].on)) {
            star = star + v.u[t];
            ++phases;
        } else if (back == conductors.size() || conductors[k].on == Conductor::N) {
            back = k;
        }
    }
    if (phases == 0) return std::nullopt;
    star = back < conductors.size() ? v.u[index_of(conductors[back].on)]
                                    : star * Rational(1, static_cast<std::int64_t>(phases));
    std::vector<Quadratic> current(conductors.size());
    bool any = false;
    for (std::size_t k = 0; k < conductors.size() && conductors[k].load == 0; ++k) {
        if (!is_phase(conductors[k].on)) continue;
        current[k] = (v.u[index_of(conductors[k].on)] - star).conjugate();
        any = any || !current[k].is_zero();
        if (back < conductors.size()) current[back] = current[back] - current[k];
    }
    if (!any) return std::nullopt;
    return current;
}

std::optional<Quadratic> balanced_registration(const Form& form, int element) {
    if (element >= static_cast<int>(form.elements().size())) throw Failure(BLN_E_RANGE, "no such element");
    const auto current = balanced_currents(form);
    if (!current) return std::nullopt;
    const NominalVoltages v = nominal_voltages(form.supply(), 1);
    const auto conductors = form.conductors();
    Quadratic truth;
    for (std::size_t k = 0; k < conductors.size(); ++k)
        if (form.counted(conductors[k].load)) truth = truth + v.u[index_of(conductors[k].on)] * (*current)[k];
    if (truth.is_zero()) return std::nullopt;
    Quadratic registered;
    for (std::size_t e = 0; e < form.elements().size(); ++e) {
        if (element >= 0 && static_cast<std::size_t>(element) != e) continue;
        Quadratic amps, volts;
        for (std::size_t k = 0; k < conductors.size(); ++k) amps = amps + (*current)[k] * form.amps(e)[k];
        if (amps.is_zero()) continue;
        for (std::size_t t = 0; t < terminal_count; ++t) {
            const Rational& a = form.elements()[e].volts[t];
            if (a.is_zero()) continue;
            if (t >= conductor_count || !v.known[t]) return std::nullopt;
            volts = volts + v.u[t] * a;
        }
        registered = registered + volts * amps * form.elements()[e].weight;
    }
    return registered / truth;
}

std::optional<double> correction_at(std::complex<double> factor, double angle) {
    if (!std::isfinite(factor.real()) || !std::isfinite(factor.imag()) || !std::isfinite(angle))
        throw Failure(BLN_E_NOT_FINITE, "a factor or an angle is not a number");
    const double registered = (factor * std::polar(1.0, angle)).real();
    if (std::abs(registered) <= 1e-12 * std::abs(factor)) return std::nullopt;
    return std::cos(angle) / registered;
}

double ratio_spread(std::complex<double> x, std::complex<double> y, double spread_x, double spread_y) {
    sensible(spread_x, "a spread of a voltage");
    sensible(spread_y, "a spread of a voltage");
    sensible(std::abs(y), "a voltage");
    sensible(std::abs(x), "a voltage");
    if (std::abs(x) <= spread_x) throw Failure(BLN_E_VALUE, "the spread of a reference voltage reaches to 0 V");
    return (spread_y + std::abs(y / x) * spread_x) / (std::abs(x) - spread_x);
}

double correction_limit(double volt_amperes, double spread, std::span<const double> harmonic_volts,
                        std::span<const double> harmonic_amps) {
    sensible(volt_amperes, "an apparent power");
    sensible(spread, "a spread of a ratio");
    if (harmonic_volts.size() != harmonic_amps.size())
        throw Failure(BLN_E_ARGUMENT, "harmonic voltages and currents come in pairs");
    double limit = volt_amperes * spread;
    for (std::size_t h = 0; h < harmonic_volts.size(); ++h) {
        sensible(harmonic_volts[h], "a harmonic voltage");
        sensible(harmonic_amps[h], "a harmonic current");
        limit += 2 * harmonic_volts[h] * harmonic_amps[h];
    }
    return limit;
}

}  // namespace bln
