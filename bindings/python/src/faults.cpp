// Wiring faults: transforms of a form, corrections, hypotheses that look alike.
#include "common.hpp"

namespace binding {

namespace {

py::list kinds() {
    py::list all;
    for (std::size_t i = 0; i < bln_fault_kind_count(); ++i) {
        const char* name = nullptr;
        const char* doc = nullptr;
        call([&](bln_error** err) { return bln_fault_kind_at(i, &name, &doc, err); });
        all.append(py::make_tuple(to_str(name), to_str(doc)));
    }
    return all;
}

Form fault(const Form& form, const py::object& kind, std::int32_t element, std::int32_t x, std::int32_t y,
           const py::object& ratio) {
    const CText name(kind, "kind");
    const auto [num, den] = to_ratio(ratio, "ratio");
    Form out;
    call([&, num = num, den = den](bln_error** err) {
        return bln_form_fault(form.get(), name.get(), element, x, y, num, den, out.out(), err);
    });
    return out;
}

py::list curve(std::complex<double> factor, const std::vector<double>& angle_deg) {
    std::vector<double> k(angle_deg.size());
    std::vector<std::uint8_t> defined(angle_deg.size());
    call([&](bln_error** err) {
        return bln_correction_curve(factor.real(), factor.imag(), k.size(), angle_deg.data(), k.data(), defined.data(),
                                    err);
    });
    py::list out;
    for (std::size_t i = 0; i < k.size(); ++i)
        out.append(defined[i] != 0 ? py::object(py::float_(k[i])) : py::object(py::none()));
    return out;
}

double limit(double volt_amperes, double spread, const std::vector<double>& volts, const std::vector<double>& amps) {
    if (volts.size() != amps.size()) refuse(BLN_E_ARGUMENT, "harmonic voltages and currents come in pairs");
    double out = 0;
    call([&](bln_error** err) {
        return bln_correction_limit(volt_amperes, spread, volts.size(), volts.data(), amps.data(), &out, err);
    });
    return out;
}

Hypotheses hypotheses(const Form& form, std::uint32_t kinds, const py::object& ratios) {
    std::vector<std::int64_t> num, den;
    for (const auto& r : ratios) {
        const auto [n, d] = to_ratio(r, "ratios");
        num.push_back(n);
        den.push_back(d);
    }
    bln_hypothesis_options options{};
    options.size = sizeof options;
    options.kinds = kinds;
    options.ratio_num = num.empty() ? nullptr : num.data();
    options.ratio_den = den.empty() ? nullptr : den.data();
    options.ratios = num.size();
    Hypotheses out;
    call_unlocked([&](bln_error** err) { return bln_hypotheses_new(form.get(), &options, out.out(), err); });
    return out;
}

py::tuple placement(const Hypotheses& all, std::size_t i, std::size_t element) {
    std::int32_t on = 0, also = 0, sign = 0, also_sign = 0;
    std::int64_t num = 0, den = 1;
    call([&](bln_error** err) {
        return bln_hypotheses_at(all.get(), i, element, &on, &also, &sign, &also_sign, &num, &den, err);
    });
    return py::make_tuple(on, also, sign, also_sign, to_fraction(num, den));
}

py::list reads(const Hypotheses& all, const Form& form, std::size_t i, std::size_t element) {
    const std::size_t n = bln_form_conductor_count(form.get());
    std::vector<double> re(n), im(n);
    call([&](bln_error** err) { return bln_hypotheses_reads(all.get(), i, element, re.data(), im.data(), err); });
    py::list out;
    for (std::size_t k = 0; k < n; ++k) out.append(std::complex<double>(re[k], im[k]));
    return out;
}

/// Number of classes, and the class of each hypothesis as the bytes of 32-bit numbers.
py::tuple classes(const Hypotheses& all, std::int32_t sees, std::int32_t over) {
    std::vector<std::uint32_t> of(bln_hypotheses_count(all.get()));
    std::uint32_t count = 0;
    call_unlocked(
        [&](bln_error** err) { return bln_hypotheses_classes(all.get(), sees, over, of.data(), &count, err); });
    return py::make_tuple(count, py::bytes(reinterpret_cast<const char*>(of.data()), of.size() * sizeof of[0]));
}

}  // namespace

void bind_faults(py::module_& m, py::class_<Form>& form) {
    form.def("fault", &fault).def("balanced", [](const Form& f, std::int32_t element) {
        double re = 0, im = 0;
        call([&](bln_error** err) { return bln_form_balanced(f.get(), element, &re, &im, err); });
        return std::complex<double>(re, im);
    });
    m.def("fault_kinds", &kinds);
    m.def("correction_curve", &curve);
    m.def("correction_limit", &limit);
    m.def("ratio_spread", [](std::complex<double> x, std::complex<double> y, double spread_x, double spread_y) {
        double out = 0;
        call([&](bln_error** err) {
            return bln_ratio_spread(x.real(), x.imag(), y.real(), y.imag(), spread_x, spread_y, &out, err);
        });
        return out;
    });
    m.attr("HYPOTHESIS") = py::dict(py::arg("reversed") = static_cast<int>(BLN_HYPOTHESIS_REVERSED),
                                    py::arg("neutral") = static_cast<int>(BLN_HYPOTHESIS_NEUTRAL),
                                    py::arg("two_conductors") = static_cast<int>(BLN_HYPOTHESIS_TWO_CONDUCTORS),
                                    py::arg("dead") = static_cast<int>(BLN_HYPOTHESIS_DEAD),
                                    py::arg("each_once") = static_cast<int>(BLN_HYPOTHESIS_EACH_ONCE),
                                    py::arg("lead_orders") = static_cast<int>(BLN_HYPOTHESIS_LEAD_ORDERS),
                                    py::arg("lead_missing") = static_cast<int>(BLN_HYPOTHESIS_LEAD_MISSING),
                                    py::arg("common_floating") = static_cast<int>(BLN_HYPOTHESIS_COMMON_FLOATING));
    m.attr("SEES") =
        py::dict(py::arg("each") = static_cast<int>(BLN_SEES_EACH), py::arg("total") = static_cast<int>(BLN_SEES_TOTAL),
                 py::arg("shape") = static_cast<int>(BLN_SEES_SHAPE));
    m.attr("OVER") = py::dict(py::arg("any") = static_cast<int>(BLN_OVER_ANY),
                              py::arg("nominal") = static_cast<int>(BLN_OVER_NOMINAL),
                              py::arg("balanced") = static_cast<int>(BLN_OVER_BALANCED));
    py::class_<Hypotheses>(m, "Hypotheses")
        .def(py::init(&hypotheses))
        .def("__len__", [](const Hypotheses& all) { return bln_hypotheses_count(all.get()); })
        .def("placement", &placement)
        .def("reads", &reads)
        .def("words",
             [](const Hypotheses& all, std::size_t i) {
                 return text_from(
                     [&](bln_text** out, bln_error** err) { return bln_hypotheses_words(all.get(), i, out, err); });
             })
        .def("form",
             [](const Hypotheses& all, std::size_t i) {
                 Form form;
                 call([&](bln_error** err) { return bln_hypotheses_form(all.get(), i, form.out(), err); });
                 return form;
             })
        .def("classes", &classes);
}

}  // namespace binding
