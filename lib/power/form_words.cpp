#include "power/form_words.hpp"

#include <algorithm>
#include <vector>

#include "power/factor.hpp"
#include "power/nominal.hpp"

namespace bln {
namespace {

constexpr std::string_view minus = "\u2212";
constexpr std::string_view dot = "\u00b7";

struct Part {
    Rational coefficient;
    std::string name;
};
using Linear = std::vector<Part>;

std::string magnitude(const Rational& r) {
    struct Glyph {
        std::int64_t num, den;
        std::string_view text;
    };
    constexpr Glyph glyphs[] = {{1, 2, "\u00bd"}, {1, 3, "\u2153"}, {2, 3, "\u2154"}, {1, 4, "\u00bc"},
                                {3, 4, "\u00be"}, {1, 5, "\u2155"}, {1, 6, "\u2159"}, {1, 8, "\u215b"}};
    const Rational m = r < Rational(0) ? -r : r;
    for (const Glyph& g : glyphs)
        if (m.num() == g.num && m.den() == g.den) return std::string(g.text);
    return m.text();
}

bool negative(const Rational& r) noexcept { return r.num() < 0; }

/// "V_A+V_B", or with spaces and " = 0" in mind "V_A + V_B".
std::string sum_text(const Linear& parts, bool spaced) {
    std::string out;
    for (const Part& p : parts) {
        const std::string_view sign = negative(p.coefficient) ? minus : std::string_view("+");
        if (out.empty()) {
            if (negative(p.coefficient)) out += minus;
        } else {
            if (spaced) out += ' ';
            out += sign;
            if (spaced) out += ' ';
        }
        const Rational m = negative(p.coefficient) ? -p.coefficient : p.coefficient;
        if (!(m == Rational(1))) {
            out += magnitude(m);
            out += dot;
        }
        out += p.name;
    }
    return out.empty() ? "0" : out;
}

std::string factor_of(const Linear& parts) {
    if (parts.size() == 1 && parts.front().coefficient == Rational(1)) return parts.front().name;
    return "(" + sum_text(parts, false) + ")";
}

/// Coefficients by terminal, bonded terminals gathered on the first of them.
Linear voltage_parts(const Form& form, VoltageRow volts) {
    const Supply& s = form.supply();
    for (std::size_t t = 0; t < conductor_count; ++t)
        for (std::size_t u = t + 1; u < conductor_count; ++u)
            if (s.bonding.bonded(static_cast<Conductor>(t), static_cast<Conductor>(u))) {
                volts[t] += volts[u];
                volts[u] = Rational(0);
            }
    const bool to_neutral = s.reference == Conductor::N;
    if (to_neutral) volts[index_of(Conductor::N)] = Rational(0);
    std::vector<std::size_t> used;
    Rational sum;
    for (std::size_t t = 0; t < terminal_count; ++t)
        if (!volts[t].is_zero()) {
            used.push_back(t);
            sum += volts[t];
        }
    Linear out;
    // A difference of two is named as one voltage; without a neutral every voltage is a difference.
    if (used.size() == 2 && sum.is_zero()) {
        out.push_back({volts[used[0]], "V_" + terminal_name(used[0]) + terminal_name(used[1])});
        return out;
    }
    for (const std::size_t t : used)
        out.push_back({volts[t], t >= first_floating && to_neutral ? terminal_name(t) : "V_" + terminal_name(t)});
    return out;
}

Rational take_content(Linear& parts) {
    Small<Rational, 8> c;
    for (const Part& p : parts) c.push_back(p.coefficient);
    const Rational content = make_primitive({c.data(), c.size()});
    for (std::size_t i = 0; i < parts.size(); ++i) parts[i].coefficient = c[i];
    return content;
}

/// The three phase currents of a load whose neutral carries the rest.
bool is_phase_sum(const Form& form, const Residual& residual, const Product& p) {
    std::size_t phases = 0;
    std::uint32_t load = 0;
    for (std::size_t c = 0; c < p.amps.size(); ++c) {
        if (p.amps[c].is_zero()) continue;
        const LoadConductor& k = form.conductors()[residual.column_conductor[c]];
        if (!(p.amps[c] == Rational(1)) || index_of(k.on) > index_of(Conductor::C)) return false;
        if (phases++ > 0 && k.load != load) return false;
        load = k.load;
    }
    return phases == 3 && form.conductors()[residual.eliminated[load]].on == Conductor::N;
}

struct Term {
    Rational factor;
    Linear volts, amps;
    std::string amps_symbol;  ///< I_Σ, or empty
};

std::vector<Term> terms_of(const Form& form, LoadNames names) {
    const Residual residual = form.residual();
    std::vector<Term> out;
    for (const Product& p : factorise(residual)) {
        Term t;
        VoltageRow row{};
        for (std::size_t r = 0; r < p.volts.size(); ++r) {
            row[residual.row_terminal[r]] = p.volts[r];
            row[residual.reference] -= p.volts[r];
        }
        t.volts = voltage_parts(form, row);
        t.factor = p.factor * take_content(t.volts);
        for (std::size_t c = 0; c < p.amps.size(); ++c)
            if (!p.amps[c].is_zero())
                t.amps.push_back({p.amps[c], current_name(form, residual.column_conductor[c], names)});
        if (is_phase_sum(form, residual, p)) {
            t.amps_symbol = "I_\u03a3";
            if (form.loads() > 1)
                t.amps_symbol = "I_\u03a3" + t.amps.front().name.substr(t.amps.front().name.find('['));
        }
        out.push_back(std::move(t));
    }
    return out;
}

void append(std::string& out, const Rational& factor, const std::string& body) {
    const bool below = negative(factor);
    if (!out.empty()) {
        out += below ? " " + std::string(minus) + " " : std::string(" + ");
    } else if (below) {
        out += minus;
    }
    const std::string m = magnitude(factor);
    if (m != "1") out += m + std::string(dot);
    out += body;
}

std::string all_zero(const std::vector<std::string>& forms) {
    std::string out;
    for (const std::string& f : forms) out += (out.empty() ? "" : " and ") + f + " = 0";
    return out;
}

std::string orders_text(std::uint16_t orders) {
    std::string out;
    for (int h = 1; h <= highest_order; ++h)
        if ((orders >> h & 1U) != 0) out += (out.empty() ? "" : ", ") + std::to_string(h);
    return out;
}

}  // namespace

std::string ratio_text(const Rational& r) { return (negative(r) ? std::string(minus) : std::string()) + magnitude(r); }

std::string terminal_name(std::size_t t) {
    if (t < conductor_count) return std::string(word_of(static_cast<Conductor>(t)));
    return t == first_floating ? "E" : "E" + std::to_string(t - first_floating + 1);
}

std::string current_name(const Form& form, std::size_t conductor, LoadNames names) {
    const auto all = form.conductors();
    const LoadConductor& k = all[conductor];
    std::string out = "I_" + std::string(word_of(k.on));
    std::size_t alike = 0, before = 0;
    for (std::size_t i = 0; i < all.size(); ++i)
        if (all[i].load == k.load && all[i].on == k.on) {
            ++alike;
            if (i < conductor) ++before;
        }
    if (alike > 1) out += "#" + std::to_string(before + 1);
    if (form.loads() > 1) {
        out += '[';
        out += k.load < names.size() ? std::string(names[k.load]) : std::to_string(k.load + 1);
        out += ']';
    }
    return out;
}

std::string voltage_text(const Form& form, const VoltageRow& volts) {
    Linear parts = voltage_parts(form, volts);
    if (parts.empty()) return "0";
    const Rational content = take_content(parts);
    std::string out;
    append(out, content, factor_of(parts));
    return out;
}

std::string registered_text(const Form& form, LoadNames names) {
    std::string out;
    for (std::size_t e = 0; e < form.elements().size(); ++e) {
        Linear volts = voltage_parts(form, form.elements()[e].volts);
        Linear amps;
        for (std::size_t k = 0; k < form.conductors().size(); ++k)
            if (const Rational& b = form.amps(e)[k]; !b.is_zero()) amps.push_back({b, current_name(form, k, names)});
        Rational factor = form.elements()[e].weight;
        if (volts.empty() || amps.empty() || factor.is_zero()) continue;
        factor *= take_content(volts) * take_content(amps);
        append(out, factor, factor_of(volts) + std::string(dot) + factor_of(amps) + "*");
    }
    return out.empty() ? "0" : out;
}

std::string error_text(const Form& form, LoadNames names) {
    std::string out;
    for (const Term& t : terms_of(form, names))
        append(
            out, t.factor,
            factor_of(t.volts) + std::string(dot) + (t.amps_symbol.empty() ? factor_of(t.amps) : t.amps_symbol) + "*");
    return out.empty() ? "0" : out;
}

std::string condition_text(const Form& form, LoadNames names) {
    const std::vector<Term> terms = terms_of(form, names);
    if (terms.empty()) return "vanishes always";
    std::vector<std::string> volts, amps;
    for (const Term& t : terms) {
        volts.push_back(sum_text(t.volts, true));
        amps.push_back(sum_text(t.amps, true));
    }
    if (terms.size() == 1) return "vanishes when " + all_zero(volts) + " or " + all_zero(amps);
    return "vanishes for every load when " + all_zero(volts) + "; at any voltages when " + all_zero(amps) +
           "; otherwise only where the products cancel";
}

std::string verdict_text(const Form& form) {
    if (form.exact())
        return "Exact: registers the true power at every instant, whatever the voltages, currents and waveforms.";
    const NominalOrders orders = nominal_orders(form);
    if (!orders.known) return "Not exact; the nominal voltages of the service are not known.";
    if (!orders.exact_at_fundamental()) return "Wrong, even at nominal voltages.";
    const std::uint16_t failing = orders.failing();
    std::string out = "Right only as far as the voltages are nominal";
    out += failing == 0 ? "." : "; wrong at harmonic orders " + orders_text(failing) + " (up to 15).";
    return out;
}

}  // namespace bln
