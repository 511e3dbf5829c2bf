// Wiring faults: transforms, corrections, and hypotheses that look alike.
#include "power/fault.hpp"

#include <algorithm>
#include <cmath>

#include "capi/form.hpp"
#include "capi/sized.hpp"
#include "power/correction.hpp"
#include "power/hypotheses.hpp"

using namespace bln;
using namespace bln::capi;

struct bln_hypotheses {
    bln_hypotheses(const bln_form& form, const HypothesisOptions& options) : origin(form), all(built(&form), options) {}
    bln_form origin;  ///< the form they are about: ids, names
    Hypotheses all;
};

namespace {

template <class T>
void give(T* to, const T& value) noexcept {
    if (to != nullptr) *to = value;
}

const FaultInfo& kind_named(std::string_view name) {
    for (const FaultInfo& f : fault_kinds())
        if (f.slug == name) return f;
    throw Failure(BLN_E_NAME, "no kind of fault is called " + std::string(name));
}

std::unique_ptr<bln_form> with_rows(const bln_form& origin, Form form) {
    auto made = std::make_unique<bln_form>(origin);
    made->point.form = std::move(form);
    return made;
}

HypothesisOptions options_of(const bln_hypothesis_options* given) {
    const auto from = take(given, "options");
    constexpr std::uint32_t known = BLN_HYPOTHESIS_REVERSED | BLN_HYPOTHESIS_NEUTRAL | BLN_HYPOTHESIS_TWO_CONDUCTORS |
                                    BLN_HYPOTHESIS_DEAD | BLN_HYPOTHESIS_EACH_ONCE | BLN_HYPOTHESIS_LEAD_ORDERS |
                                    BLN_HYPOTHESIS_LEAD_MISSING | BLN_HYPOTHESIS_COMMON_FLOATING;
    if ((from.kinds & ~known) != 0) throw Failure(BLN_E_RANGE, "kinds has bits that mean nothing");
    const auto has = [&](std::uint32_t bit) { return (from.kinds & bit) != 0; };
    HypothesisOptions out;
    out.reversed = has(BLN_HYPOTHESIS_REVERSED);
    out.neutral = has(BLN_HYPOTHESIS_NEUTRAL);
    out.two_conductors = has(BLN_HYPOTHESIS_TWO_CONDUCTORS);
    out.dead = has(BLN_HYPOTHESIS_DEAD);
    out.each_once = has(BLN_HYPOTHESIS_EACH_ONCE);
    out.lead_orders = has(BLN_HYPOTHESIS_LEAD_ORDERS);
    out.lead_missing = has(BLN_HYPOTHESIS_LEAD_MISSING);
    out.common_floating = has(BLN_HYPOTHESIS_COMMON_FLOATING);
    if (from.ratio_num != nullptr) {
        if (from.ratios == 0 || from.ratios > 255) throw Failure(BLN_E_VALUE, "there is a list of 1 to 255 ratios");
        out.ratios.clear();
        for (std::size_t i = 0; i < from.ratios; ++i)
            out.ratios.emplace_back(from.ratio_num[i], from.ratio_den == nullptr ? 1 : from.ratio_den[i]);
    }
    return out;
}

/// Hypothesis @p i and one of its elements, both checked.
const Hypotheses& checked(const bln_hypotheses* hypotheses, std::size_t i, std::size_t element = 0) {
    const Hypotheses& all = required(hypotheses, "hypotheses").all;
    if (i >= all.size())
        throw Failure(BLN_E_RANGE, "hypothesis " + std::to_string(i) + ": there are " + std::to_string(all.size()));
    if (element > 0 && element >= all.elements())
        throw Failure(BLN_E_RANGE,
                      "element " + std::to_string(element) + ": there are " + std::to_string(all.elements()));
    return all;
}

}  // namespace

extern "C" {

size_t bln_fault_kind_count(void) BLN_NOEXCEPT { return fault_kinds().size(); }
bln_status bln_fault_kind_at(size_t i, const char** name, const char** doc, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const FaultInfo& f = item_at(fault_kinds(), i, "kind of fault");
        give(name, f.slug.data());  // literals, so NUL-terminated
        give(doc, f.doc.data());
    });
}
bln_status bln_form_fault(const bln_form* form, const char* kind, int32_t element, int32_t x, int32_t y, int64_t num,
                          int64_t den, bln_form** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const Form& f = built(form);
        const FaultKind what = kind_named(required_text(kind, "kind")).kind;
        return with_rows(*form, with_fault(f, {what, element, x, y, Rational(num, den)}));
    });
}
bln_status bln_form_balanced(const bln_form* form, int32_t element, double* re, double* im,
                             bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        double& real = required(re, "re");
        double& imaginary = required(im, "im");
        const Form& f = built(form);
        if (element < -1) throw Failure(BLN_E_RANGE, "no such element");
        const auto factor = balanced_registration(f, element);
        if (!factor) throw Failure(BLN_E_ABSENT, "a nominal voltage that matters is not known");
        real = factor->value().real();
        imaginary = factor->value().imag();
    });
}
bln_status bln_correction_curve(double re, double im, size_t n, const double* angle_deg, double* factor,
                                uint8_t* defined, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        if (n > 0) {
            (void)required(angle_deg, "angle_deg");
            (void)required(factor, "factor");
            (void)required(defined, "defined");
        }
        for (std::size_t i = 0; i < n; ++i)
            if (!std::isfinite(angle_deg[i])) throw Failure(BLN_E_NOT_FINITE, "an angle is not a number");
        for (std::size_t i = 0; i < n; ++i) {
            const auto k = correction_at({re, im}, angle_deg[i] * (std::acos(-1.0) / 180));
            factor[i] = k.value_or(0);
            defined[i] = k ? 1 : 0;
        }
    });
}
bln_status bln_ratio_spread(double x_re, double x_im, double y_re, double y_im, double spread_x, double spread_y,
                            double* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        double& result = required(out, "out");
        result = ratio_spread({x_re, x_im}, {y_re, y_im}, spread_x, spread_y);
    });
}
bln_status bln_correction_limit(double volt_amperes, double spread, size_t n, const double* volts, const double* amps,
                                double* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        double& result = required(out, "out");
        if (n > 0) {
            (void)required(volts, "volts");
            (void)required(amps, "amps");
        }
        result = correction_limit(volt_amperes, spread, {volts, n}, {amps, n});
    });
}

bln_status bln_hypotheses_new(const bln_form* form, const bln_hypothesis_options* options, bln_hypotheses** out,
                              bln_error** err) BLN_NOEXCEPT {
    return create(out, err,
                  [&] { return std::make_unique<bln_hypotheses>(required(form, "form"), options_of(options)); });
}
size_t bln_hypotheses_count(const bln_hypotheses* hypotheses) BLN_NOEXCEPT {
    return hypotheses == nullptr ? 0 : hypotheses->all.size();
}
bln_status bln_hypotheses_at(const bln_hypotheses* hypotheses, size_t i, size_t element, int32_t* on, int32_t* also,
                             int32_t* sign, int32_t* also_sign, int64_t* ratio_num, int64_t* ratio_den,
                             bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Hypotheses& all = checked(hypotheses, i, element);
        if (all.elements() == 0) throw Failure(BLN_E_RANGE, "the form has no elements");
        const Placement& p = all.placement_of(i, element);
        give(on, int32_t{p.on});
        give(also, int32_t{p.also});
        give(sign, int32_t{p.sign});
        give(also_sign, int32_t{p.also_sign});
        give(ratio_num, all.ratios()[p.ratio].num());
        give(ratio_den, all.ratios()[p.ratio].den());
    });
}
bln_status bln_hypotheses_reads(const bln_hypotheses* hypotheses, size_t i, size_t element, double* re, double* im,
                                bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Hypotheses& all = checked(hypotheses, i, element);
        if (all.elements() == 0) throw Failure(BLN_E_RANGE, "the form has no elements");
        (void)required(re, "re");
        (void)required(im, "im");
        const auto z = all.reads(i, element);
        if (z.empty()) throw Failure(BLN_E_ABSENT, "a nominal voltage that matters is not known");
        for (std::size_t k = 0; k < z.size(); ++k) {
            re[k] = z[k].real();
            im[k] = z[k].imag();
        }
    });
}
bln_status bln_hypotheses_words(const bln_hypotheses* hypotheses, size_t i, bln_text** out,
                                bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return text_of(checked(hypotheses, i).words(i)); });
}
bln_status bln_hypotheses_form(const bln_hypotheses* hypotheses, size_t i, bln_form** out,
                               bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        return with_rows(required(hypotheses, "hypotheses").origin, checked(hypotheses, i).form_of(i));
    });
}
bln_status bln_hypotheses_classes(const bln_hypotheses* hypotheses, int32_t sees, int32_t over, uint32_t* of,
                                  uint32_t* count, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Hypotheses& all = required(hypotheses, "hypotheses").all;
        uint32_t& classes = required(count, "count");
        if (sees != BLN_SEES_EACH && sees != BLN_SEES_TOTAL && sees != BLN_SEES_SHAPE)
            throw Failure(BLN_E_RANGE, "sees is one of BLN_SEES_EACH, _TOTAL, _SHAPE");
        if (over != BLN_OVER_ANY && over != BLN_OVER_NOMINAL && over != BLN_OVER_BALANCED)
            throw Failure(BLN_E_RANGE, "over is one of BLN_OVER_ANY, _NOMINAL, _BALANCED");
        const Classes found = all.classes(sees == BLN_SEES_EACH    ? Sees::each
                                          : sees == BLN_SEES_TOTAL ? Sees::total
                                                                   : Sees::shape,
                                          over == BLN_OVER_ANY       ? Over::any
                                          : over == BLN_OVER_NOMINAL ? Over::nominal
                                                                     : Over::balanced);
        classes = found.count;
        if (of != nullptr) std::copy(found.of.begin(), found.of.end(), of);
    });
}
void bln_hypotheses_free(bln_hypotheses* hypotheses) BLN_NOEXCEPT { delete hypotheses; }

}  // extern "C"
