// Bounds of a form's error, and other uses of its channels.
#include <array>

#include "common.hpp"

namespace binding {

namespace {

using Numbers = std::vector<double>;

struct Potentials {
    std::array<double, BLN_TERMINAL_COUNT> re{}, im{};
    std::uint32_t known = 0;
};

Potentials potentials(const py::dict& volts) {
    Potentials out;
    for (const auto& [key, value] : volts) {
        const auto t = py::cast<std::size_t>(key);
        const auto v = py::cast<std::complex<double>>(value);
        out.re.at(t) = v.real();
        out.im.at(t) = v.imag();
        out.known |= 1U << t;
    }
    return out;
}

py::list phasors(const double* re, const double* im, std::size_t n) {
    py::list all;
    for (std::size_t i = 0; i < n; ++i) all.append(std::complex<double>(re[i], im[i]));
    return all;
}

py::dict nominal_volts(const Form& form, std::int32_t order, double unit) {
    Potentials at;
    call([&](bln_error** err) {
        return bln_form_nominal_volts(form.get(), order, unit, at.re.data(), at.im.data(), &at.known, err);
    });
    py::dict out;
    for (std::size_t t = 0; t < at.re.size(); ++t)
        if ((at.known >> t & 1U) != 0) out[py::int_(t)] = std::complex<double>(at.re[t], at.im[t]);
    return out;
}

/// total, at voltages, from spread, attained at voltages, attained, voltages, currents
py::tuple bound(const Form& form, const py::dict& volts, const Numbers& spread, const Numbers& amps,
                const py::object& weights) {
    const Potentials at = potentials(volts);
    const std::size_t conductors = bln_form_conductor_count(form.get());
    if (spread.size() != at.re.size() || amps.size() != conductors)
        refuse(BLN_E_ARGUMENT, "there is one spread for each terminal and one limit for each conductor");
    Numbers weight_re, weight_im;
    if (!weights.is_none()) {
        for (const auto& w : weights) {
            const auto z = py::cast<std::complex<double>>(w);
            weight_re.push_back(z.real());
            weight_im.push_back(z.imag());
        }
        if (weight_re.size() != bln_form_element_count(form.get()))
            refuse(BLN_E_ARGUMENT, "there is one weight for each element");
    }
    const bool weighted = !weights.is_none() && !weight_re.empty();
    bln_bound row{};
    row.size = sizeof row;
    Potentials worst;
    Numbers amps_re(conductors), amps_im(conductors);
    call_unlocked([&](bln_error** err) {
        return bln_form_bound(form.get(), at.re.data(), at.im.data(), at.known, spread.data(), amps.data(),
                              weighted ? weight_re.data() : nullptr, weighted ? weight_im.data() : nullptr, &row,
                              worst.re.data(), worst.im.data(), amps_re.data(), amps_im.data(), err);
    });
    return py::make_tuple(row.total, row.at_voltages, row.from_spread, row.attained_at_voltages, row.attained,
                          phasors(worst.re.data(), worst.im.data(), worst.re.size()),
                          phasors(amps_re.data(), amps_im.data(), conductors));
}

py::object repoint(const Form& form, std::uint32_t terminals, bool weights) {
    const std::size_t n = bln_form_element_count(form.get());
    std::vector<std::int32_t> plus(n), minus(n);
    std::vector<std::int64_t> num(n), den(n, 1);
    std::int32_t found = 0;
    call([&](bln_error** err) {
        return bln_form_repoint(form.get(), terminals, weights ? 1 : 0, plus.data(), minus.data(), num.data(),
                                den.data(), &found, err);
    });
    if (found == 0) return py::none();
    py::list out;
    for (std::size_t e = 0; e < n; ++e) out.append(py::make_tuple(plus[e], minus[e], to_fraction(num[e], den[e])));
    return out;
}

py::object recompute(const Form& form, const py::object& volts) {
    const Potentials at = volts.is_none() ? Potentials{} : potentials(py::cast<py::dict>(volts));
    const std::size_t n = bln_form_element_count(form.get());
    Numbers re(n), im(n);
    std::int32_t found = 0;
    call([&](bln_error** err) {
        return bln_form_recompute(form.get(), volts.is_none() ? nullptr : at.re.data(),
                                  volts.is_none() ? nullptr : at.im.data(), at.known, re.data(), im.data(), &found,
                                  err);
    });
    if (found == 0) return py::none();
    return phasors(re.data(), im.data(), n);
}

}  // namespace

void bind_bounds(py::class_<Form>& form) {
    form.def("nominal_volts", &nominal_volts)
        .def("bound", &bound)
        .def("reuse",
             [](const Form& f, std::uint32_t terminals) {
                 std::uint32_t ways = 0;
                 call([&](bln_error** err) { return bln_form_reuse(f.get(), terminals, &ways, err); });
                 return ways;
             })
        .def("repoint", &repoint)
        .def("recompute", &recompute);
    form.attr("REUSE") = py::dict(py::arg("as_is") = static_cast<int>(BLN_REUSE_AS_IS),
                                  py::arg("repoint") = static_cast<int>(BLN_REUSE_REPOINT),
                                  py::arg("reweigh") = static_cast<int>(BLN_REUSE_REWEIGH),
                                  py::arg("repoint_reweigh") = static_cast<int>(BLN_REUSE_REPOINT_REWEIGH),
                                  py::arg("recompute") = static_cast<int>(BLN_REUSE_RECOMPUTE));
}

}  // namespace binding
