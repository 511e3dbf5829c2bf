#include "power/evaluate.hpp"

#include <algorithm>
#include <array>

namespace bln {
namespace {

struct Phasors {
    std::array<double, Evaluator::block> re, im;
};

void add(Phasors& to, std::size_t n, double k, const PhasorBlock& from) noexcept {
    for (std::size_t i = 0; i < n; ++i) to.re[i] += k * from.re[i];
    for (std::size_t i = 0; i < n; ++i) to.im[i] += k * from.im[i];
}

}  // namespace

Evaluator::Evaluator(const Form& form) {
    const auto conductors = form.conductors();
    for (std::size_t e = 0; e < form.elements().size(); ++e) {
        const Element& element = form.elements()[e];
        Row row;
        row.weight = element.weight.real();
        for (std::size_t t = 0; t < terminal_count; ++t)
            if (!element.volts[t].is_zero()) {
                row.volts.push_back({t, element.volts[t].real()});
                uses_terminal_[t] = true;
            }
        for (std::size_t k = 0; k < conductors.size(); ++k)
            if (const Rational& b = form.amps(e)[k]; !b.is_zero()) row.amps.push_back({k, b.real()});
        elements_.push_back(std::move(row));
    }
    for (std::size_t k = 0; k < conductors.size(); ++k)
        if (form.counted(conductors[k].load)) {
            truth_.push_back({k, index_of(conductors[k].on)});
            uses_terminal_[index_of(conductors[k].on)] = true;
        }
}

void Evaluator::element(std::size_t e, std::size_t n, const PhasorBlock* volts, const PhasorBlock* amps,
                        PowerBlock out) const {
    Phasors v, c;
    for (auto* part : {&v.re, &v.im, &c.re, &c.im}) std::fill_n(part->begin(), n, 0.0);
    const Row& row = elements_[e];
    for (const Coefficient& k : row.volts) add(v, n, k.value, volts[k.at]);
    for (const Coefficient& k : row.amps) add(c, n, k.value, amps[k.at]);
    for (std::size_t i = 0; i < n; ++i) {
        out.re[i] = row.weight * (v.re[i] * c.re[i] + v.im[i] * c.im[i]);
        out.im[i] = row.weight * (v.im[i] * c.re[i] - v.re[i] * c.im[i]);
    }
}

void Evaluator::truth(std::size_t n, const PhasorBlock* volts, const PhasorBlock* amps, PowerBlock out) const {
    std::fill_n(out.re, n, 0.0);
    std::fill_n(out.im, n, 0.0);
    for (const Place& p : truth_) {
        const PhasorBlock& v = volts[p.terminal];
        const PhasorBlock& c = amps[p.conductor];
        for (std::size_t i = 0; i < n; ++i) {
            out.re[i] += v.re[i] * c.re[i] + v.im[i] * c.im[i];
            out.im[i] += v.im[i] * c.re[i] - v.re[i] * c.im[i];
        }
    }
}

}  // namespace bln
