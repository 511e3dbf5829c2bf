// Bounds of a form's error, and other uses of its channels.
#include <cmath>

#include "capi/form.hpp"
#include "power/bound.hpp"
#include "power/recompute.hpp"
#include "power/repoint.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

constexpr std::uint32_t all_terminals = (1U << terminal_count) - 1;

Potentials potentials(const double* re, const double* im, std::uint32_t known) {
    if ((known & ~all_terminals) != 0) throw Failure(BLN_E_RANGE, "known has bits beyond the terminals");
    Potentials out;
    for (std::size_t t = 0; t < terminal_count; ++t) {
        out.known[t] = (known >> t & 1U) != 0;
        if (out.known[t]) out.volts[t] = {re[t], im[t]};
    }
    return out;
}
void split(std::span<const Complex> from, double* re, double* im) noexcept {
    for (std::size_t i = 0; i < from.size(); ++i) {
        if (re != nullptr) re[i] = from[i].real();
        if (im != nullptr) im[i] = from[i].imag();
    }
}
std::uint32_t leads(std::uint32_t terminals) {
    if ((terminals & ~all_terminals) != 0) throw Failure(BLN_E_RANGE, "terminals has bits beyond the terminals");
    return terminals;
}

}  // namespace

extern "C" {

bln_status bln_form_nominal_volts(const bln_form* form, int32_t order, double unit, double* re, double* im,
                                  uint32_t* known, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Form& f = built(form);
        (void)required(re, "re");
        (void)required(im, "im");
        uint32_t& bits = required(known, "known");
        if (order < 1) throw Failure(BLN_E_RANGE, "harmonic orders count from 1");
        if (!std::isfinite(unit)) throw Failure(BLN_E_NOT_FINITE, "unit is not a number");
        if (f.supply().nominal == NominalKind::none)
            throw Failure(BLN_E_ABSENT, "the nominal voltages of the service are not known");
        const Potentials at = nominal_potentials(f, order, unit);
        split(at.volts, re, im);
        bits = 0;
        for (std::size_t t = 0; t < terminal_count; ++t)
            if (at.known[t]) bits |= 1U << t;
    });
}

bln_status bln_form_bound(const bln_form* form, const double* re, const double* im, uint32_t known,
                          const double* spread, const double* amps, const double* weights_re, const double* weights_im,
                          bln_bound* out, double* volts_re, double* volts_im, double* amps_re, double* amps_im,
                          bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Form& f = built(form);
        (void)required(re, "re");
        (void)required(im, "im");
        (void)required(spread, "spread");
        (void)required(amps, "amps");
        (void)required(out, "out");
        if ((weights_re == nullptr) != (weights_im == nullptr))
            throw Failure(BLN_E_ARGUMENT, "weights_re and weights_im are given together or not at all");
        std::vector<Complex> weights;
        if (weights_re != nullptr)
            for (std::size_t e = 0; e < f.elements().size(); ++e) weights.emplace_back(weights_re[e], weights_im[e]);
        const Bound b =
            worst_case(f, potentials(re, im, known), {spread, terminal_count}, {amps, f.conductors().size()}, weights);
        bln_bound row{};
        row.total = b.total();
        row.at_voltages = b.at_voltages;
        row.from_spread = b.from_spread;
        row.attained_at_voltages = b.attained_at_voltages;
        row.attained = b.attained;
        hand_out(out, row, "out");
        split(b.volts.volts, volts_re, volts_im);
        split(b.amps, amps_re, amps_im);
    });
}

bln_status bln_form_reuse(const bln_form* form, uint32_t terminals, uint32_t* ways, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        uint32_t& out = required(ways, "ways");
        out = reuse(built(form), leads(terminals));
    });
}

bln_status bln_form_repoint(const bln_form* form, uint32_t terminals, int32_t weights, int32_t* plus, int32_t* minus,
                            int64_t* num, int64_t* den, int32_t* found, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Form& f = built(form);
        int32_t& there = required(found, "found");
        if (!f.elements().empty()) {
            (void)required(plus, "plus");
            (void)required(minus, "minus");
        }
        if (weights != 0 && weights != 1) throw Failure(BLN_E_RANGE, "weights is 0 or 1");
        const auto pointings = repoint(f, leads(terminals), weights == 1);
        there = pointings ? 1 : 0;
        if (!pointings) return;
        for (std::size_t e = 0; e < pointings->size(); ++e) {
            const Pointing& p = (*pointings)[e];
            plus[e] = p.changed ? p.plus : -1;
            minus[e] = p.changed ? p.minus : -1;
            if (num != nullptr) num[e] = p.weight.num();
            if (den != nullptr) den[e] = p.weight.den();
        }
    });
}

bln_status bln_form_recompute(const bln_form* form, const double* re, const double* im, uint32_t known,
                              double* weights_re, double* weights_im, int32_t* found, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Form& f = built(form);
        int32_t& there = required(found, "found");
        if (!f.elements().empty()) {
            (void)required(weights_re, "weights_re");
            (void)required(weights_im, "weights_im");
        }
        if ((re == nullptr) != (im == nullptr))
            throw Failure(BLN_E_ARGUMENT, "re and im are given together or not at all");
        std::optional<std::vector<Complex>> weights;
        if (re != nullptr) {
            weights = recompute(f, potentials(re, im, known));
        } else if (const auto exact = recompute(f)) {
            weights.emplace();
            for (const Quadratic& q : *exact) weights->push_back(q.value());
        }
        there = weights ? 1 : 0;
        if (weights) split(*weights, weights_re, weights_im);
    });
}

}  // extern "C"
