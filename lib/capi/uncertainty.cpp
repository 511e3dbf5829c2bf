// Accuracy classes, errors of power, uncertainty of points and sums.
#include <vector>

#include "capi/lookup.hpp"
#include "site/uncertainty.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

AccuracyOf device_of(int32_t of) {
    switch (of) {
        case BLN_CLASS_CURRENT_TRANSFORMER:
            return AccuracyOf::current_transformer;
        case BLN_CLASS_ACTIVE_METER:
            return AccuracyOf::active_meter;
        case BLN_CLASS_REACTIVE_METER:
            return AccuracyOf::reactive_meter;
        default:
            throw Failure(BLN_E_NAME, "there are no accuracy classes of number " + std::to_string(of));
    }
}

std::optional<AccuracyLimits> limits(const bln_accuracy_limits* from, const char* name) {
    if (from == nullptr) return std::nullopt;
    const bln_accuracy_limits given = take(from, name);
    AccuracyLimits out;
    if ((given.states & BLN_LIMIT_RATIO) != 0) out.ratio_percent = given.ratio_percent;
    if ((given.states & BLN_LIMIT_PHASE) != 0) out.phase_minutes = given.phase_minutes;
    if ((given.states & BLN_LIMIT_POWER) != 0) out.power_percent = given.power_percent;
    out.from_memory = given.from_memory != 0;
    return out;
}

const View& view_of(const bln_view* view) { return *required(view, "view").view; }

const double* required_numbers(const double* from, std::size_t n, const char* name) {
    return n == 0 ? from : &required(from, name);
}

}  // namespace

extern "C" {

size_t bln_accuracy_class_count(void) BLN_NOEXCEPT { return accuracy_classes.size(); }

bln_status bln_accuracy_class_at(size_t i, bln_accuracy_class* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const AccuracyClass& c = item_at(accuracy_classes, i, "accuracy class");
        std::int32_t states = BLN_LIMIT_POWER;
        if (c.form == LimitForm::ratio) states = BLN_LIMIT_RATIO;
        if (c.form == LimitForm::ratio_and_phase) states = BLN_LIMIT_RATIO | BLN_LIMIT_PHASE;
        // Literals, so NUL-terminated.
        hand_out(out,
                 bln_accuracy_class{0, static_cast<std::int32_t>(c.of), states, c.from_memory ? 1 : 0, c.name.data(),
                                    c.standard.data(), c.source.data()},
                 "out");
    });
}

bln_status bln_accuracy_limit(int32_t of, const char* name, double percent, double angle_degrees,
                              bln_accuracy_limits* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const AccuracyLimits l = accuracy_limits(device_of(of), required_text(name, "name"), percent, angle_degrees);
        const std::int32_t states = (l.ratio_percent ? BLN_LIMIT_RATIO : 0) | (l.phase_minutes ? BLN_LIMIT_PHASE : 0) |
                                    (l.power_percent ? BLN_LIMIT_POWER : 0);
        hand_out(out,
                 bln_accuracy_limits{0, states, l.from_memory ? 1 : 0, 0, l.ratio_percent.value_or(0),
                                     l.phase_minutes.value_or(0), l.power_percent.value_or(0), l.of->source.data()},
                 "out");
    });
}

bln_status bln_power_error(double watts, double vars, const bln_element_errors* errors, bln_power_errors* out,
                           bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const bln_element_errors e = take(errors, "errors");
        const ElementErrors core{e.volts_ratio_percent / 100, e.volts_phase_minutes * radians_per_minute,
                                 e.amps_ratio_percent / 100, e.amps_phase_minutes * radians_per_minute};
        const std::complex<double> exact = power_error({watts, vars}, core);
        const std::complex<double> linear = power_error_linear({watts, vars}, core);
        hand_out(out, bln_power_errors{0, 0, exact.real(), exact.imag(), linear.real(), linear.imag()}, "out");
    });
}

bln_status bln_power_uncertainty(double watts, double vars, const bln_accuracy_limits* ct,
                                 const bln_accuracy_limits* meter, bln_power_uncertainty_result* out,
                                 bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const std::optional<AccuracyLimits> c = limits(ct, "ct"), m = limits(meter, "meter");
        const PowerUncertainty u = power_uncertainty({watts, vars}, c ? &*c : nullptr, m ? &*m : nullptr);
        hand_out(out,
                 bln_power_uncertainty_result{0, u.vars_known ? 1 : 0, u.from_memory ? 1 : 0, 0, u.watts(), u.watts_ct,
                                              u.watts_meter, u.watts_limit, u.vars_ct, u.vars_limit},
                 "out");
    });
}

bln_status bln_uncertainty_combine(size_t n, const double* coefficient, const double* value, const double* random,
                                   const double* shared, const uint32_t* group, bln_uncertain* out,
                                   bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        (void)required_numbers(value, n, "value");
        std::vector<UncertainTerm> terms(n);
        for (std::size_t i = 0; i < n; ++i) {
            terms[i].value = value[i];
            if (coefficient != nullptr) terms[i].coefficient = coefficient[i];
            if (random != nullptr) terms[i].random = random[i];
            if (shared != nullptr) terms[i].shared = shared[i];
            if (group != nullptr) terms[i].group = group[i];
        }
        const CombinedUncertainty u = combine(terms);
        hand_out(out, bln_uncertain{0, 0, u.value, u.random, u.shared, u.combined()}, "out");
    });
}

bln_status bln_uncertainty_propagate(size_t n, const double* sensitivity, const double* uncertainty,
                                     const double* correlation, double* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        double& to = required(out, "out");
        const double* c = required_numbers(sensitivity, n, "sensitivity");
        const double* u = required_numbers(uncertainty, n, "uncertainty");
        to = propagate({c, n}, {u, n}, {correlation, correlation == nullptr ? 0 : n * n});
    });
}

bln_status bln_point_uncertainty(const bln_view* view, const char* point, size_t n, const double* watts,
                                 const double* vars, const double* amps, bln_point_uncertainty_result* out,
                                 bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const View& v = view_of(view);
        const std::uint32_t at = find_entity(v.model(), Kind::point, required_text(point, "point"));
        (void)required_numbers(watts, n, "watts");
        (void)required_numbers(vars, n, "vars");
        (void)required_numbers(amps, n, "amps");
        std::vector<ElementLoad> loads(n);
        for (std::size_t i = 0; i < n; ++i) loads[i] = {watts[i], vars[i], amps[i]};
        const PointUncertainty u = point_uncertainty(v, static_cast<std::int32_t>(at), loads);
        hand_out(out,
                 bln_point_uncertainty_result{0, u.from_memory ? 1 : 0, u.power.real(), u.power.imag(), u.watts,
                                              u.watts_limit},
                 "out");
    });
}

bln_status bln_rollup_uncertainty(const bln_view* view, const char* rollup, const bln_sum_assumption* assumption,
                                  size_t n, const char* const* points, const double* energies, bln_sum_uncertainty* out,
                                  bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const View& v = view_of(view);
        const std::uint32_t at = find_entity(v.model(), Kind::rollup, required_text(rollup, "rollup"));
        const bln_sum_assumption given = take(assumption, "assumption");
        if (n != 0) (void)required(points, "points");
        (void)required_numbers(energies, n, "energies");
        std::vector<PointEnergy> all(n);
        for (std::size_t i = 0; i < n; ++i) all[i] = {required_text(points[i], "points"), energies[i]};
        const SumUncertainty u = rollup_uncertainty(v, static_cast<std::int32_t>(at),
                                                    {given.percent, given.angle_degrees, given.shared_percent}, all);
        hand_out(out,
                 bln_sum_uncertainty{0, u.has_main ? 1 : 0, u.from_memory ? 1 : 0, 0, u.sum.value, u.sum.random,
                                     u.sum.shared, u.main.value, u.main.combined(), u.difference.value,
                                     u.difference.combined()},
                 "out");
    });
}

}  // extern "C"
