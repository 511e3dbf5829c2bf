#include "power/references.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "power/failure.hpp"

namespace bln {
namespace {

using Complex = std::complex<double>;
constexpr std::array phases{Conductor::A, Conductor::B, Conductor::C};
constexpr std::array<std::array<std::size_t, 2>, 3> pairs{{{0, 1}, {1, 2}, {2, 0}}};
constexpr std::size_t neutral = 3;
const double sqrt3 = std::sqrt(3.0);

void check_finite(double x) {
    if (!std::isfinite(x)) throw Failure(BLN_E_NOT_FINITE, "a voltage is not finite");
}
void check_magnitude(double x) {
    check_finite(x);
    if (x < 0) throw Failure(BLN_E_RANGE, "a magnitude cannot be negative");
}

/// Where each terminal (A, B, C, neutral) stands: index of a conductor, or `nowhere`.
using Map = std::array<std::size_t, 4>;
constexpr Map identity{0, 1, 2, 3};
constexpr std::size_t nowhere = 9;

class Recogniser {
public:
    Recogniser(const Supply& supply, double base, const TerminalVoltages& measured, double tolerance)
        : measured_(measured), tolerance_(tolerance) {
        const NominalVoltages nominal = nominal_voltages(supply, 1);
        if (supply.nominal == NominalKind::none)
            throw Failure(BLN_E_ABSENT, "the nominal voltages of the service are not known");
        // Against the grounded phase of a delta "neutral" is the ground; an ungrounded delta has no such point.
        has_neutral_ = supply.reference != Conductor::none;
        exchangeable_ = supply.reference == Conductor::N;
        for (std::size_t i = 0; i < 3; ++i) {
            has_[i] = supply.bonding.has(phases[i]);
            at_[i] = nominal.u[i].value() * base;
        }
        for (const auto& [i, j] : pairs)
            if (has_[i] && has_[j]) line_ = std::max(line_, std::abs(at_[i] - at_[j]));
        if (line_ == 0) line_ = base;
        check_measured();
    }

    std::vector<LandingGuess> all() {
        try_map(Landing::right, identity);
        for (const auto& [i, j] : pairs)
            if (has_[i] && has_[j]) {
                Map m = identity;
                std::swap(m[i], m[j]);
                try_map(Landing::swapped, m);
            }
        if (has_[0] && has_[1] && has_[2]) {
            try_map(Landing::rotated, {1, 2, 0, 3});
            try_map(Landing::rotated, {2, 0, 1, 3});
        }
        if (exchangeable_)
            for (std::size_t i = 0; i < 3; ++i)
                if (has_[i]) {
                    Map m = identity;
                    std::swap(m[i], m[neutral]);
                    try_map(Landing::neutral_exchanged, m);
                }
        if (exchangeable_) try_floating();
        for (std::size_t i = 0; i < 3; ++i) {
            if (!has_[i]) continue;
            Map m = identity;
            m[i] = nowhere;
            try_map(Landing::lost, m);
        }
        for (std::size_t i = 0; i < 3; ++i)
            for (std::size_t j = 0; j < 3; ++j)
                if (i != j && has_[i] && has_[j]) {
                    Map m = identity;
                    m[i] = j;
                    try_map(Landing::tied, m);
                }
        if (found_.empty()) try_other_services();
        if (found_.empty()) found_.push_back({Landing::unexplained, "", 0});
        return std::move(found_);
    }

private:
    void check_measured() const {
        bool any = false;
        for (std::size_t i = 0; i < 3; ++i) {
            if (measured_.to_neutral[i]) {
                check_magnitude(*measured_.to_neutral[i]);
                if (!has_[i] || !has_neutral_)
                    throw Failure(BLN_E_VALUE, "a voltage to neutral was given that the service does not have");
                any = true;
            }
            if (measured_.between[i]) {
                check_magnitude(*measured_.between[i]);
                if (!has_[pairs[i][0]] || !has_[pairs[i][1]])
                    throw Failure(BLN_E_VALUE, "a voltage between phases was given that the service does not have");
                any = true;
            }
        }
        if (measured_.phasors) {
            for (const Complex& v : *measured_.phasors) {
                check_finite(v.real());
                check_finite(v.imag());
            }
            any = true;
        }
        if (!any) throw Failure(BLN_E_ABSENT, "nothing was measured");
    }

    [[nodiscard]] std::string words(const Map& map) const {
        constexpr std::string_view letters = "ABCN";
        std::string out;
        for (std::size_t t = 0; t < 4; ++t) {
            if (t < 3 ? !has_[t] : !exchangeable_) continue;
            if (!out.empty()) out += ' ';
            out += letters[t];
            out += '=';
            out += map[t] == nowhere ? '-' : letters[map[t]];
        }
        return out;
    }

    void add(Landing landing, std::string terminals, double deviation) {
        if (deviation <= tolerance_) found_.push_back({landing, std::move(terminals), deviation});
    }

    void try_map(Landing landing, const Map& map) {
        std::array<Complex, 4> v{};
        std::array<bool, 4> known{};
        const auto conductor = [&](std::size_t c) { return c == neutral ? Complex{} : at_[c]; };
        for (std::size_t t = 0; t < 4; ++t) {
            // A dead terminal hangs on the device's neutral through its burden; without one nothing fixes it.
            const bool dead = map[t] == nowhere;
            known[t] = t == neutral ? has_neutral_ : has_[t] && !(dead && !has_neutral_);
            v[t] = dead ? conductor(map[neutral]) : conductor(map[t]);
        }
        add(landing, words(map), deviation(v, known));
    }

    /// Greatest difference between what is measured and what the potentials foretell.
    [[nodiscard]] double deviation(const std::array<Complex, 4>& v, const std::array<bool, 4>& known) const {
        double worst = 0;
        const auto compare = [&](double measured, double foretold) {
            worst = std::max(worst, std::abs(measured - foretold) / line_);
        };
        for (std::size_t i = 0; i < 3; ++i) {
            if (measured_.to_neutral[i] && known[i]) compare(*measured_.to_neutral[i], std::abs(v[i] - v[neutral]));
            if (!measured_.between[i]) continue;
            const auto [a, b] = pairs[i];
            if (known[a] && known[b])
                compare(*measured_.between[i], std::abs(v[a] - v[b]));
            else if (*measured_.between[i] > 0.9 * line_)
                return 1;  // a dead terminal does not read the full voltage to another
        }
        return measured_.phasors ? std::max(worst, phasor_deviation(v, known)) : worst;
    }

    /// Phasors turn freely together: a device sees differences of angle alone.
    [[nodiscard]] double phasor_deviation(const std::array<Complex, 4>& v, const std::array<bool, 4>& known) const {
        const auto& p = *measured_.phasors;
        Complex mean_p{}, mean_v{};
        double count = 0;
        for (std::size_t i = 0; i < 3; ++i)
            if (known[i]) {
                mean_p += p[i];
                mean_v += v[i];
                ++count;
            }
        if (count == 0) return 0;
        // Where there is no neutral any datum will do.
        const Complex from_p = has_neutral_ ? Complex{} : mean_p / count;
        const Complex from_v = has_neutral_ ? v[neutral] : mean_v / count;
        Complex turn{};
        for (std::size_t i = 0; i < 3; ++i)
            if (known[i]) turn += (p[i] - from_p) * std::conj(v[i] - from_v);
        turn = std::abs(turn) > 0 ? turn / std::abs(turn) : Complex{1};
        double worst = 0;
        for (std::size_t i = 0; i < 3; ++i)
            if (known[i]) worst = std::max(worst, std::abs(p[i] - from_p - turn * (v[i] - from_v)) / line_);
        return worst;
    }

    /// Voltages between phases are nominal, and some point of the plane lies at the distances to neutral.
    void try_floating() {
        std::array<std::optional<double>, 3> to = measured_.to_neutral;
        std::array<std::optional<double>, 3> between = measured_.between;
        if (measured_.phasors)
            for (std::size_t i = 0; i < 3; ++i) {
                const auto [a, b] = pairs[i];
                if (has_[i] && !to[i]) to[i] = std::abs((*measured_.phasors)[i]);
                if (has_[a] && has_[b] && !between[i])
                    between[i] = std::abs((*measured_.phasors)[a] - (*measured_.phasors)[b]);
            }
        double worst = 0;
        std::size_t seen = 0;
        for (std::size_t i = 0; i < 3; ++i) {
            const auto [a, b] = pairs[i];
            if (!between[i]) continue;
            ++seen;
            worst = std::max(worst, std::abs(*between[i] - std::abs(at_[a] - at_[b])) / line_);
        }
        if (seen == 0 || worst > tolerance_) return;
        std::array<std::size_t, 3> terminal{};
        std::size_t n = 0;
        for (std::size_t i = 0; i < 3; ++i)
            if (to[i]) terminal[n++] = i;
        if (n < 2) return;
        if (n == 2) {
            const double apart = std::abs(at_[terminal[0]] - at_[terminal[1]]);
            const double a = *to[terminal[0]], b = *to[terminal[1]];
            worst = std::max({worst, (apart - (a + b)) / line_, (std::abs(a - b) - apart) / line_});
        } else {
            worst = std::max(worst, point_deviation({*to[0], *to[1], *to[2]}));
        }
        add(Landing::neutral_floating, words({0, 1, 2, nowhere}), worst);
    }

    /// How far the three distances miss a common point: the point follows from their differences.
    [[nodiscard]] double point_deviation(const std::array<double, 3>& d) const {
        const Complex ab = at_[1] - at_[0], ac = at_[2] - at_[0];
        const double det = ab.real() * ac.imag() - ab.imag() * ac.real();
        const double b = (d[0] * d[0] - d[1] * d[1] + std::norm(ab)) / 2;
        const double c = (d[0] * d[0] - d[2] * d[2] + std::norm(ac)) / 2;
        const Complex from_a{(b * ac.imag() - c * ab.imag()) / det, (ab.real() * c - ac.real() * b) / det};
        double worst = 0;
        for (std::size_t i = 0; i < 3; ++i)
            worst = std::max(worst, std::abs(d[i] - std::abs(from_a + at_[0] - at_[i])) / line_);
        return worst;
    }

    struct Kind {
        const char* word;
        std::array<Complex, 3> u;
    };
    /// Another arrangement of conductors, or another voltage, with every terminal as labelled.
    void try_other_services() {
        if (!exchangeable_ || !measured_.to_neutral[0] || measured_.phasors) return;
        const Complex up{-0.5, sqrt3 / 2}, down{-0.5, -sqrt3 / 2};
        const bool three = has_[0] && has_[1] && has_[2];
        const std::array<Kind, 5> kinds{{{three ? "four_wire_wye" : "two_legs_of_wye", {1, down, up}},
                                         {"single_phase_three_wire", {1, -1, -1}},
                                         {"high_leg_delta, high leg A", {Complex{0, sqrt3}, 1, -1}},
                                         {"high_leg_delta, high leg B", {1, Complex{0, -sqrt3}, -1}},
                                         {"high_leg_delta, high leg C", {-1, 1, Complex{0, sqrt3}}}}};
        for (std::size_t k = 0; k < kinds.size(); ++k) {
            if (three ? k == 1 : k > 1) continue;
            std::array<Complex, 4> v{};
            std::array<bool, 4> known{has_[0], has_[1], has_[2], true};
            const double base = *measured_.to_neutral[0] / std::abs(kinds[k].u[0]);
            if (base == 0) continue;
            for (std::size_t i = 0; i < 3; ++i) v[i] = kinds[k].u[i] * base;
            add(Landing::other_service, kinds[k].word, deviation(v, known));
        }
    }

    const TerminalVoltages& measured_;
    double tolerance_;
    bool has_neutral_ = false, exchangeable_ = false;
    std::array<bool, 3> has_{};
    std::array<Complex, 3> at_{};
    double line_ = 0;
    std::vector<LandingGuess> found_;
};

void check_tolerance(double volts, double tolerance) {
    check_finite(volts);
    check_finite(tolerance);
    if (volts <= 0) throw Failure(BLN_E_RANGE, "the nominal voltage must be above 0");
    if (tolerance <= 0 || tolerance >= 0.5)
        throw Failure(BLN_E_RANGE, "the tolerance lies between 0 and 0.5 of the voltage between phases");
}

}  // namespace

const LandingInfo& info(Landing landing) noexcept {
#define BLN_LANDING_ROW(name, number, slug, doc, next) {slug, doc, next},
    static constexpr LandingInfo rows[] = {BLN_LANDINGS(BLN_LANDING_ROW)};
#undef BLN_LANDING_ROW
    return rows[static_cast<std::size_t>(landing) / 10 - 1];
}

SequenceResult phase_sequence(const std::array<Complex, 3>& v) {
    for (const Complex& x : v) {
        check_finite(x.real());
        check_finite(x.imag());
    }
    const Complex a{-0.5, sqrt3 / 2};
    SequenceResult out;
    out.positive = std::abs(v[0] + a * v[1] + a * a * v[2]) / 3;
    out.negative = std::abs(v[0] + a * a * v[1] + a * v[2]) / 3;
    check_finite(out.positive);
    check_finite(out.negative);
    if (v[0] == Complex{} && v[1] == Complex{} && v[2] == Complex{})
        throw Failure(BLN_E_VALUE, "all three voltages are zero");
    if (out.positive > 2 * out.negative) out.sequence = Sequence::abc;
    if (out.negative > 2 * out.positive) out.sequence = Sequence::acb;
    return out;
}

SequenceResult phase_sequence(double volts_b, double volts_c) {
    check_magnitude(volts_b);
    check_magnitude(volts_c);
    if (volts_b == 0 && volts_c == 0) throw Failure(BLN_E_VALUE, "both voltages are zero");
    SequenceResult out;
    if (volts_b > 1.2 * volts_c) out.sequence = Sequence::abc;
    if (volts_c > 1.2 * volts_b) out.sequence = Sequence::acb;
    return out;
}

std::vector<LandingGuess> recognise_landing(const Supply& supply, double volts_base, const TerminalVoltages& measured,
                                            double tolerance) {
    check_tolerance(volts_base, tolerance);
    return Recogniser(supply, volts_base, measured, tolerance).all();
}

std::vector<CrossGuess> recognise_cross(double volts_ln, bool acb, const std::array<std::array<double, 3>, 3>& volts,
                                        double tolerance) {
    check_tolerance(volts_ln, tolerance);
    for (const auto& row : volts)
        for (const double v : row) check_magnitude(v);
    constexpr std::array<std::array<std::size_t, 3>, 6> orders{
        {{0, 1, 2}, {1, 2, 0}, {2, 0, 1}, {1, 0, 2}, {0, 2, 1}, {2, 1, 0}}};
    const double step = (acb ? 1 : -1) * 2 * std::numbers::pi / 3;
    std::vector<CrossGuess> out;
    for (const int displaced : {0, 30, -30, 180})
        for (std::size_t o = 0; o < orders.size(); ++o) {
            double worst = 0;
            for (std::size_t t = 0; t < 3; ++t)
                for (std::size_t c = 0; c < 3; ++c) {
                    const double angle = step * (static_cast<double>(orders[o][t]) - static_cast<double>(c)) +
                                         displaced * std::numbers::pi / 180;
                    const double foretold = 2 * volts_ln * std::abs(std::sin(angle / 2));
                    worst = std::max(worst, std::abs(volts[t][c] - foretold) / (sqrt3 * volts_ln));
                }
            if (worst > tolerance) continue;
            CrossGuess g;
            g.reversed = o >= 3;
            g.displaced = displaced;
            g.deviation = worst;
            g.landing = displaced != 0 ? Landing::foreign
                        : o == 0       ? Landing::right
                        : o < 3        ? Landing::rotated
                                       : Landing::swapped;
            for (std::size_t t = 0; t < 3; ++t) {
                if (t > 0) g.terminals += ' ';
                g.terminals += "ABC"[t];
                g.terminals += '=';
                g.terminals += "ABC"[orders[o][t]];
            }
            out.push_back(std::move(g));
        }
    if (out.empty()) out.emplace_back();
    return out;
}

}  // namespace bln
