// Functions over accuracy, uncertainty and references that may need memory.
#include <cstdint>

#include "scenario.hpp"

namespace {

template <class T>
T sized() {
    T out{};
    out.size = sizeof(T);
    return out;
}

bln_status try_class_at(Fixture&, bln_error** e) {
    auto out = sized<bln_accuracy_class>();
    return bln_accuracy_class_at(0, &out, e);
}

bln_status try_limit(Fixture&, bln_error** e) {
    auto out = sized<bln_accuracy_limits>();
    return bln_accuracy_limit(BLN_CLASS_CURRENT_TRANSFORMER, "0.5", 50, 30, &out, e);
}

bln_status try_power_error(Fixture&, bln_error** e) {
    auto errors = sized<bln_element_errors>();
    errors.amps_phase_minutes = 30;
    auto out = sized<bln_power_errors>();
    return bln_power_error(1000, 500, &errors, &out, e);
}

bln_status try_power_uncertainty(Fixture&, bln_error** e) {
    auto limits = sized<bln_accuracy_limits>();
    limits.states = BLN_LIMIT_POWER;
    limits.power_percent = 1;
    auto out = sized<bln_power_uncertainty_result>();
    return bln_power_uncertainty(1000, 0, nullptr, &limits, &out, e);
}

bln_status try_combine(Fixture&, bln_error** e) {
    const double value[3] = {1, 2, 3};
    const double random[3] = {0.1, 0.1, 0.1};
    const std::uint32_t group[3] = {1, 2, 3};
    auto out = sized<bln_uncertain>();
    return bln_uncertainty_combine(3, nullptr, value, random, random, group, &out, e);
}

bln_status try_propagate(Fixture&, bln_error** e) {
    const double c[2] = {1, -1};
    const double u[2] = {0.1, 0.2};
    const double r[4] = {1, 0.5, 0.5, 1};
    double out = 0;
    return bln_uncertainty_propagate(2, c, u, r, &out, e);
}

bln_status try_point(Fixture& f, bln_error** e) {
    const double watts[2] = {2000, 2100}, vars[2] = {300, 200}, amps[2] = {20, 21};
    auto out = sized<bln_point_uncertainty_result>();
    return bln_point_uncertainty(f.view, "b1", 2, watts, vars, amps, &out, e);
}

bln_status try_rollup(Fixture& f, bln_error** e) {
    const char* const points[3] = {"b1", "b2", "m"};
    const double energies[3] = {10, 20, 30};
    auto assumption = sized<bln_sum_assumption>();
    assumption.percent = 50;
    auto out = sized<bln_sum_uncertainty>();
    return bln_rollup_uncertainty(f.view, "house", &assumption, 3, points, energies, &out, e);
}

bln_status try_sequence(Fixture&, bln_error** e) {
    const double re[3] = {120, -60, -60}, im[3] = {0, -104, 104};
    std::int32_t sequence = 0;
    return bln_phase_sequence(re, im, &sequence, nullptr, nullptr, e);
}

bln_status try_indicator(Fixture&, bln_error** e) {
    std::int32_t sequence = 0;
    return bln_phase_sequence_indicator(180, 48, &sequence, e);
}

bln_status try_recognise(Fixture& f, bln_error** e) {
    auto measured = sized<bln_terminal_voltages>();
    measured.given = 7;
    for (double& v : measured.to_neutral) v = 120;
    return made_text(
        f, [&](bln_text** out) { return bln_references_recognise(f.arrangement, 120, &measured, 0.08, out, e); });
}

bln_status try_cross(Fixture& f, bln_error** e) {
    const double volts[9] = {62, 232, 170, 170, 62, 232, 232, 170, 62};
    return made_text(f, [&](bln_text** out) { return bln_references_cross(120, "ABC", volts, 0.08, out, e); });
}

const Scenario rows[] = {
    {"bln_accuracy_class_at", try_class_at},     {"bln_accuracy_limit", try_limit},
    {"bln_power_error", try_power_error},        {"bln_power_uncertainty", try_power_uncertainty},
    {"bln_uncertainty_combine", try_combine},    {"bln_uncertainty_propagate", try_propagate},
    {"bln_point_uncertainty", try_point},        {"bln_rollup_uncertainty", try_rollup},
    {"bln_phase_sequence", try_sequence},        {"bln_phase_sequence_indicator", try_indicator},
    {"bln_references_recognise", try_recognise}, {"bln_references_cross", try_cross},
};

}  // namespace

std::span<const Scenario> uncertainty_scenarios() { return rows; }
