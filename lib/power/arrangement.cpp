#include "power/arrangement.hpp"

#include <initializer_list>
#include <string>
#include <utility>

#include "power/failure.hpp"

namespace bln {
namespace {

using Phases = std::span<const std::size_t>;
using Currents = std::initializer_list<std::pair<std::size_t, Rational>>;

std::size_t terminal(const Form& form, std::size_t conductor) { return index_of(form.conductors()[conductor].on); }
constexpr std::size_t neutral = index_of(Conductor::N);

void element(Form& form, const VoltageRow& volts, Currents currents, const Rational& weight = Rational(1)) {
    Small<Rational, 8> amps;
    amps.resize(form.conductors().size());
    for (const auto& [k, b] : currents) amps[k] += b;
    form.add_element(volts, amps.span(), weight);
}
VoltageRow to_neutral(const Form& form, std::size_t k) { return voltage_between(terminal(form, k), neutral); }
VoltageRow between(const Form& form, std::size_t j, std::size_t k) {
    return voltage_between(terminal(form, j), terminal(form, k));
}
/// Which phase of a three-phase load serves as the common: the grounded one, otherwise the middle one.
std::size_t common_of(const Form& form, Phases p) {
    for (std::size_t i = 0; i < p.size(); ++i)
        if (form.supply().reference == form.conductors()[p[i]].on) return i;
    return 1;
}

void line_to_neutral(Form& f, Phases p) {
    for (const std::size_t k : p) element(f, to_neutral(f, k), {{k, 1}});
}
void line_to_line(Form& f, Phases p) { element(f, between(f, p[0], p[1]), {{p[0], 1}}); }
void two_wattmeter(Form& f, Phases p) {
    const std::size_t common = common_of(f, p);
    for (std::size_t i = 0; i < 3; ++i)
        if (i != common) element(f, between(f, p[i], p[common]), {{p[i], 1}});
}
void floating_common(Form& f, Phases p) {
    const std::size_t common = f.add_floating();
    for (const std::size_t k : p) element(f, voltage_between(terminal(f, k), common), {{k, 1}});
}
void star_point(Form& f, Phases p) {
    for (const std::size_t k : p) element(f, voltage_to_star(f.conductors()[k].on), {{k, 1}});
}
void opposed_ct_line_to_line(Form& f, Phases p) {
    element(f, between(f, p[0], p[1]), {{p[0], 1}, {p[1], -1}}, Rational(1, 2));
}
void opposed_ct_line_to_neutral(Form& f, Phases p) { element(f, to_neutral(f, p[0]), {{p[0], 1}, {p[1], -1}}); }
void both_legs_one_ct(Form& f, Phases p) { element(f, to_neutral(f, p[0]), {{p[0], 1}, {p[1], 1}}); }
void one_ct_doubled(Form& f, Phases p) { element(f, to_neutral(f, p[0]), {{p[0], 1}}, Rational(2)); }
void two_and_a_half_element(Form& f, Phases p) {
    element(f, to_neutral(f, p[0]), {{p[0], 1}, {p[1], -1}});
    element(f, to_neutral(f, p[2]), {{p[2], 1}, {p[1], -1}});
}
void virtual_third_current(Form& f, Phases p) {
    element(f, to_neutral(f, p[0]), {{p[0], 1}});
    element(f, to_neutral(f, p[2]), {{p[2], 1}});
    element(f, to_neutral(f, p[1]), {{p[0], -1}, {p[2], -1}});
}
void one_ct_tripled(Form& f, Phases p) { element(f, to_neutral(f, p[0]), {{p[0], 1}}, Rational(3)); }
void two_cts_for_three(Form& f, Phases p) {
    for (const std::size_t k : {p[0], p[2]}) element(f, to_neutral(f, k), {{k, 1}}, Rational(3, 2));
}
void high_leg_two_element(Form& f, Phases p) {
    std::size_t high = 1;
    for (std::size_t i = 0; i < 3; ++i)
        if (f.conductors()[p[i]].on == f.supply().high_leg) high = i;
    const std::size_t x = p[high == 0 ? 1 : 0];
    const std::size_t y = p[high == 2 ? 1 : 2];
    element(f, between(f, x, y), {{x, 1}, {y, -1}}, Rational(1, 2));
    element(f, to_neutral(f, p[high]), {{p[high], 1}});
}

constexpr Arrangement table[] = {
    {"line_to_neutral", "one element for each phase conductor, each voltage to neutral", 1, 3, line_to_neutral},
    {"line_to_line", "one element: the current of the first phase conductor, the voltage to the second", 2, 2,
     line_to_line},
    {"two_wattmeter", "two elements, each voltage to the third phase conductor: the grounded or the middle one", 3, 3,
     two_wattmeter},
    {"floating_common", "one element for each phase conductor, their common on nothing", 2, 3, floating_common},
    {"star_point", "one element for each phase conductor, voltages to the star point of three equal impedances", 3, 3,
     star_point},
    {"opposed_ct_line_to_line", "both legs through one CT in opposite senses, half the voltage between them", 2, 2,
     opposed_ct_line_to_line},
    {"opposed_ct_line_to_neutral", "both legs through one CT in opposite senses, the voltage of the first to neutral",
     2, 2, opposed_ct_line_to_neutral},
    {"both_legs_one_ct", "both legs through one CT in the same sense: a fault, it sees the neutral current alone", 2, 2,
     both_legs_one_ct},
    {"one_ct_doubled", "the first of two legs counted twice, its voltage to neutral", 2, 2, one_ct_doubled},
    {"two_and_a_half_element",
     "two voltages to neutral; the current of the phase without one runs through both CTs in opposition", 3, 3,
     two_and_a_half_element},
    {"virtual_third_current", "three voltages to neutral, two CTs; the third current taken as minus their sum", 3, 3,
     virtual_third_current},
    {"one_ct_tripled", "the first of three phases counted three times", 3, 3, one_ct_tripled},
    {"two_cts_for_three", "the first and third of three phases, each counted one and a half times", 3, 3,
     two_cts_for_three},
    {"high_leg_two_element",
     "the two low legs through one CT in opposite senses with half their voltage, and the high leg to neutral", 3, 3,
     high_leg_two_element},
};

}  // namespace

std::span<const Arrangement> arrangements() noexcept { return table; }

void add_arrangement(Form& form, std::string_view name) {
    for (const Arrangement& a : table) {
        if (a.name != name) continue;
        Small<std::size_t, 8> phases;
        const auto conductors = form.conductors();
        for (std::size_t k = 0; k < conductors.size(); ++k)
            if (conductors[k].load == 0 && index_of(conductors[k].on) <= index_of(Conductor::C)) phases.push_back(k);
        if (phases.size() < a.least_phases || phases.size() > a.most_phases)
            throw Failure(BLN_E_VALUE, "the arrangement " + std::string(name) + " is not for a load of " +
                                           std::to_string(phases.size()) + " phase conductors");
        a.add(form, phases.span());
        return;
    }
    throw Failure(BLN_E_NAME, "no arrangement of elements is called " + std::string(name));
}

}  // namespace bln
