// Accuracy classes, uncertainty, and what voltage terminals stand on.
#include <array>

#include "columns.hpp"

namespace binding {

namespace {

template <class T>
T sized() {
    T out{};
    out.size = sizeof(T);
    return out;
}

py::list classes() {
    py::list all;
    for (std::size_t i = 0; i < bln_accuracy_class_count(); ++i) {
        auto c = sized<bln_accuracy_class>();
        call([&](bln_error** err) { return bln_accuracy_class_at(i, &c, err); });
        all.append(
            py::make_tuple(c.of, to_str(c.name), to_str(c.standard), c.states, c.from_memory != 0, to_str(c.source)));
    }
    return all;
}

py::tuple limit(std::int32_t of, const py::object& name, double percent, double angle) {
    const CText text(name, "name");
    auto out = sized<bln_accuracy_limits>();
    call([&](bln_error** err) { return bln_accuracy_limit(of, text.get(), percent, angle, &out, err); });
    const auto stated = [&](std::int32_t bit, double value) -> py::object {
        if ((out.states & bit) == 0) return py::none();
        return py::float_(value);
    };
    return py::make_tuple(stated(BLN_LIMIT_RATIO, out.ratio_percent), stated(BLN_LIMIT_PHASE, out.phase_minutes),
                          stated(BLN_LIMIT_POWER, out.power_percent), out.from_memory != 0, to_str(out.source));
}

py::tuple power_error(double watts, double vars, double vr, double vp, double ir, double ip) {
    const bln_element_errors errors{sizeof errors, 0, vr, vp, ir, ip};
    auto out = sized<bln_power_errors>();
    call([&](bln_error** err) { return bln_power_error(watts, vars, &errors, &out, err); });
    return py::make_tuple(out.watts, out.vars, out.watts_linear, out.vars_linear);
}

/// Limits from (ratio, phase, power, from_memory), each None where it is not stated.
bln_accuracy_limits limits_from(const py::tuple& given) {
    auto out = sized<bln_accuracy_limits>();
    const auto put = [&](std::size_t i, std::int32_t bit, double& to) {
        if (given[i].is_none()) return;
        out.states |= bit;
        to = given[i].cast<double>();
    };
    put(0, BLN_LIMIT_RATIO, out.ratio_percent);
    put(1, BLN_LIMIT_PHASE, out.phase_minutes);
    put(2, BLN_LIMIT_POWER, out.power_percent);
    out.from_memory = given[3].cast<bool>() ? 1 : 0;
    return out;
}

py::tuple power_uncertainty(double watts, double vars, const py::object& ct, const py::object& meter) {
    bln_accuracy_limits c{}, m{};
    if (!ct.is_none()) c = limits_from(ct.cast<py::tuple>());
    if (!meter.is_none()) m = limits_from(meter.cast<py::tuple>());
    auto out = sized<bln_power_uncertainty_result>();
    call([&](bln_error** err) {
        return bln_power_uncertainty(watts, vars, ct.is_none() ? nullptr : &c, meter.is_none() ? nullptr : &m, &out,
                                     err);
    });
    const bool known = out.vars_known != 0;
    return py::make_tuple(out.watts, out.watts_ct, out.watts_meter, out.watts_limit,
                          known ? py::object(py::float_(out.vars)) : py::none(),
                          known ? py::object(py::float_(out.vars_limit)) : py::none(), out.from_memory != 0);
}

void same_size(std::size_t n, std::size_t other, const char* what) {
    if (n != other)
        refuse(BLN_E_RANGE,
               std::string(what) + " has " + std::to_string(other) + " items, and there are " + std::to_string(n));
}

py::tuple combine(const std::vector<double>& coefficient, const std::vector<double>& value,
                  const std::vector<double>& random, const std::vector<double>& shared,
                  const std::vector<std::uint32_t>& group) {
    const std::size_t n = value.size();
    same_size(n, coefficient.size(), "coefficients");
    same_size(n, random.size(), "random");
    same_size(n, shared.size(), "shared");
    same_size(n, group.size(), "groups");
    auto out = sized<bln_uncertain>();
    call([&](bln_error** err) {
        return bln_uncertainty_combine(n, coefficient.data(), value.data(), random.data(), shared.data(), group.data(),
                                       &out, err);
    });
    return py::make_tuple(out.value, out.random, out.shared, out.combined);
}

double propagate(const std::vector<double>& sensitivity, const std::vector<double>& uncertainty,
                 const std::vector<double>& correlation) {
    const std::size_t n = sensitivity.size();
    same_size(n, uncertainty.size(), "uncertainties");
    if (!correlation.empty()) same_size(n * n, correlation.size(), "correlations");
    double out = 0;
    call([&](bln_error** err) {
        return bln_uncertainty_propagate(n, sensitivity.data(), uncertainty.data(),
                                         correlation.empty() ? nullptr : correlation.data(), &out, err);
    });
    return out;
}

py::tuple point(const View& view, const py::object& id, const std::vector<double>& watts,
                const std::vector<double>& vars, const std::vector<double>& amps) {
    const CText text(id, "point");
    same_size(watts.size(), vars.size(), "vars");
    same_size(watts.size(), amps.size(), "amps");
    auto out = sized<bln_point_uncertainty_result>();
    call([&](bln_error** err) {
        return bln_point_uncertainty(view.get(), text.get(), watts.size(), watts.data(), vars.data(), amps.data(), &out,
                                     err);
    });
    return py::make_tuple(out.watts, out.vars, out.uncertainty, out.limit, out.from_memory != 0);
}

py::tuple rollup(const View& view, const py::object& id, double percent, double angle, double shared,
                 const py::iterable& points, const std::vector<double>& energies) {
    const CText text(id, "rollup");
    const Ids ids(points, "points");
    same_size(ids.size(), energies.size(), "energies");
    const bln_sum_assumption assumption{sizeof assumption, 0, percent, angle, shared};
    auto out = sized<bln_sum_uncertainty>();
    call([&](bln_error** err) {
        return bln_rollup_uncertainty(view.get(), text.get(), &assumption, ids.size(), ids.data(), energies.data(),
                                      &out, err);
    });
    return py::make_tuple(out.sum, out.sum_random, out.sum_shared, out.has_main != 0, out.main, out.main_combined,
                          out.difference, out.difference_combined, out.from_memory != 0);
}

using Three = std::array<double, 3>;

py::tuple sequence(const Three& re, const Three& im) {
    std::int32_t out = 0;
    double positive = 0, negative = 0;
    call([&](bln_error** err) { return bln_phase_sequence(re.data(), im.data(), &out, &positive, &negative, err); });
    return py::make_tuple(out, positive, negative);
}

py::str recognise(const Arrangement& arrangement, double volts, std::uint32_t given, const Three& to_neutral,
                  const Three& between, const Three& re, const Three& im, double tolerance) {
    auto measured = sized<bln_terminal_voltages>();
    measured.given = given;
    for (std::size_t i = 0; i < 3; ++i) {
        measured.to_neutral[i] = to_neutral[i];
        measured.between[i] = between[i];
        measured.re[i] = re[i];
        measured.im[i] = im[i];
    }
    return text_from([&](bln_text** out, bln_error** err) {
        return bln_references_recognise(arrangement.get(), volts, &measured, tolerance, out, err);
    });
}

}  // namespace

void bind_uncertainty(py::module_& m) {
    m.attr("CLASS") = py::dict(py::arg("ct") = static_cast<int>(BLN_CLASS_CURRENT_TRANSFORMER),
                               py::arg("meter") = static_cast<int>(BLN_CLASS_ACTIVE_METER),
                               py::arg("reactive_meter") = static_cast<int>(BLN_CLASS_REACTIVE_METER));
    m.attr("SEQUENCE") = py::dict(py::arg("undetermined") = static_cast<int>(BLN_SEQUENCE_UNDETERMINED),
                                  py::arg("ABC") = static_cast<int>(BLN_SEQUENCE_ABC),
                                  py::arg("ACB") = static_cast<int>(BLN_SEQUENCE_ACB));
    m.def("accuracy_classes", &classes);
    m.def("accuracy_limit", &limit);
    m.def("power_error", &power_error);
    m.def("power_uncertainty", &power_uncertainty);
    m.def("uncertainty_combine", &combine);
    m.def("uncertainty_propagate", &propagate);
    m.def("point_uncertainty", &point);
    m.def("rollup_uncertainty", &rollup);
    m.def("phase_sequence", &sequence);
    m.def("phase_sequence_indicator", [](double b, double c) {
        std::int32_t out = 0;
        call([&](bln_error** err) { return bln_phase_sequence_indicator(b, c, &out, err); });
        return out;
    });
    m.def("references_recognise", &recognise);
    m.def("references_cross",
          [](double volts, const py::object& rotation, const std::array<double, 9>& measured, double tolerance) {
              const CText word(rotation, "rotation");
              return text_from([&](bln_text** out, bln_error** err) {
                  return bln_references_cross(volts, word.get(), measured.data(), tolerance, out, err);
              });
          });
}

}  // namespace binding
