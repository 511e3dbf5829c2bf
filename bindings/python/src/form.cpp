// The metering form: arrangements by hand, forms of points, and what they register.
#include <array>

#include "columns.hpp"

namespace binding {

namespace {

/// Numerators and denominators of a list of ints and Fractions.
struct Ratios {
    Ratios(const py::iterable& values, const char* what) {
        for (const auto& value : values) {
            const auto [num, den] = to_ratio(value, what);
            nums.push_back(num);
            dens.push_back(den);
        }
    }
    std::vector<std::int64_t> nums, dens;
};

py::tuple fractions(const std::int64_t* nums, const std::int64_t* dens, std::size_t n) {
    py::tuple all(n);
    for (std::size_t i = 0; i < n; ++i) all[i] = to_fraction(nums[i], dens[i]);
    return all;
}

void element(Arrangement& arrangement, const py::iterable& volts, const py::iterable& amps, const py::object& weight) {
    const Ratios v(volts, "volts"), a(amps, "amps");
    if (v.nums.size() != BLN_TERMINAL_COUNT)
        refuse(BLN_E_RANGE, "volts has " + std::to_string(v.nums.size()) + " coefficients, and there are " +
                                std::to_string(BLN_TERMINAL_COUNT) + " terminals");
    const auto [num, den] = to_ratio(weight, "weight");
    call([&, num = num, den = den](bln_error** err) {
        return bln_arrangement_element(arrangement.get(), v.nums.data(), v.dens.data(), a.nums.data(), a.dens.data(),
                                       a.nums.size(), num, den, err);
    });
}

py::list arrangement_names() {
    py::list names;
    for (std::size_t i = 0; i < bln_arrangement_name_count(); ++i) {
        const char* name = nullptr;
        const char* doc = nullptr;
        call([&](bln_error** err) { return bln_arrangement_name_at(i, &name, &doc, err); });
        names.append(py::make_tuple(to_str(name), to_str(doc)));
    }
    return names;
}

void bind_arrangement(py::module_& m) {
    m.def("arrangement_names", &arrangement_names);
    py::class_<Arrangement>(m, "Arrangement")
        .def(py::init([](const py::object& service) {
            const CText word(service, "service");
            Arrangement arrangement;
            call([&](bln_error** err) { return bln_arrangement_new(word.get(), arrangement.out(), err); });
            return arrangement;
        }))
        .def("set",
             [](Arrangement& arrangement, const py::object& field, const py::object& word) {
                 const CText f(field, "field"), w(word, "word");
                 call([&](bln_error** err) { return bln_arrangement_set(arrangement.get(), f.get(), w.get(), err); });
             })
        .def("load",
             [](Arrangement& arrangement, const py::object& conductors) {
                 const CText letters(conductors, "conductors");
                 call([&](bln_error** err) { return bln_arrangement_load(arrangement.get(), letters.get(), err); });
             })
        .def("floating",
             [](Arrangement& arrangement) {
                 std::int32_t terminal = 0;
                 call([&](bln_error** err) { return bln_arrangement_floating(arrangement.get(), &terminal, err); });
                 return terminal;
             })
        .def("element", &element)
        .def("use",
             [](Arrangement& arrangement, const py::object& name) {
                 const CText text(name, "name");
                 call([&](bln_error** err) { return bln_arrangement_use(arrangement.get(), text.get(), err); });
             })
        .def("form", [](const Arrangement& arrangement) {
            Form form;
            call([&](bln_error** err) { return bln_form_of_arrangement(arrangement.get(), form.out(), err); });
            return form;
        });
}

py::list notes(const Form& form) {
    py::list all;
    for (std::size_t i = 0; i < bln_form_note_count(form.get()); ++i) {
        const char *code = nullptr, *id = nullptr, *doc = nullptr;
        std::int32_t stops = 0;
        bln_kind kind = 0;
        call([&](bln_error** err) { return bln_form_note_at(form.get(), i, &code, &stops, &kind, &id, &doc, err); });
        all.append(py::make_tuple(to_str(code), stops != 0, to_str(bln_kind_name(kind)), to_str(id), to_str(doc)));
    }
    return all;
}

py::list conductors(const Form& form) {
    py::list all;
    for (std::size_t k = 0; k < bln_form_conductor_count(form.get()); ++k) {
        std::int32_t terminal = 0, counted = 0, pole = 0;
        std::size_t load = 0;
        const char* circuit = nullptr;
        call([&](bln_error** err) {
            return bln_form_conductor_at(form.get(), k, &terminal, &load, &counted, &circuit, &pole, err);
        });
        all.append(py::make_tuple(terminal, load, counted != 0, to_str(circuit), pole));
    }
    return all;
}

py::list elements(const Form& form) {
    py::list all;
    const std::size_t n = bln_form_conductor_count(form.get());
    std::vector<std::int64_t> amps_num(n), amps_den(n);
    for (std::size_t e = 0; e < bln_form_element_count(form.get()); ++e) {
        std::array<std::int64_t, BLN_TERMINAL_COUNT> volts_num{}, volts_den{};
        std::int64_t weight_num = 0, weight_den = 1;
        const char* channel = nullptr;
        call([&](bln_error** err) {
            return bln_form_element_at(form.get(), e, volts_num.data(), volts_den.data(), amps_num.data(),
                                       amps_den.data(), &weight_num, &weight_den, &channel, err);
        });
        all.append(py::make_tuple(fractions(volts_num.data(), volts_den.data(), volts_num.size()),
                                  fractions(amps_num.data(), amps_den.data(), n), to_fraction(weight_num, weight_den),
                                  to_str(channel)));
    }
    return all;
}

/// reference terminal, terminal of each row, conductor of each column, rows of Fractions
py::tuple residual(const Form& form) {
    std::size_t rows = 0, columns = 0;
    std::int32_t reference = 0;
    call([&](bln_error** err) {
        return bln_form_residual(form.get(), &rows, &columns, &reference, nullptr, nullptr, nullptr, nullptr, 0, err);
    });
    std::vector<std::int32_t> terminals(rows);
    std::vector<std::size_t> conductor(columns);
    std::vector<std::int64_t> num(rows * columns), den(rows * columns);
    call([&](bln_error** err) {
        return bln_form_residual(form.get(), &rows, &columns, &reference, terminals.data(), conductor.data(),
                                 num.data(), den.data(), num.size(), err);
    });
    py::tuple matrix(rows);
    for (std::size_t r = 0; r < rows; ++r)
        matrix[r] = fractions(num.data() + r * columns, den.data() + r * columns, columns);
    return py::make_tuple(reference, terminals, conductor, matrix);
}

py::object realise(const Form& form) {
    const std::size_t n = bln_form_element_count(form.get());
    std::vector<std::int64_t> num(n), den(n, 1);
    std::int32_t found = 0, unique = 0;
    call([&](bln_error** err) { return bln_form_realise(form.get(), num.data(), den.data(), &found, &unique, err); });
    if (found == 0) return py::none();
    return py::make_tuple(fractions(num.data(), den.data(), n), unique != 0);
}

std::vector<bln_column> columns_of(const py::list& sources, const char* name, std::size_t expected, std::size_t rows,
                                   std::vector<std::unique_ptr<Column>>& held) {
    if (sources.size() != expected)
        refuse(BLN_E_ARGUMENT, std::string(name) + " has " + std::to_string(sources.size()) + " columns, and " +
                                   std::to_string(expected) + " are needed");
    std::vector<bln_column> all;
    for (const auto& source : sources) {
        held.push_back(std::make_unique<Column>(py::reinterpret_borrow<py::object>(source), name));
        if (held.back()->given() && held.back()->size() != rows)
            refuse(BLN_E_RANGE, std::string("a column of ") + name + " has " + std::to_string(held.back()->size()) +
                                    " items, and there are " + std::to_string(rows) + " rows");
        all.push_back(held.back()->get());
    }
    return all;
}

std::vector<bln_out_column> outputs_of(const py::list& targets, std::size_t expected, std::size_t rows,
                                       std::vector<std::unique_ptr<OutColumn>>& held) {
    if (targets.size() != expected) refuse(BLN_E_ARGUMENT, "wrong number of columns for the results");
    std::vector<bln_out_column> all;
    for (const auto& target : targets) {
        held.push_back(std::make_unique<OutColumn>(py::reinterpret_borrow<py::object>(target), py::none()));
        if (held.back()->size() < rows) refuse(BLN_E_RANGE, "a column for the results is too short");
        all.push_back(held.back()->get());
    }
    return all;
}

void evaluate(const Form& form, std::size_t rows, const py::list& volts, const py::list& amps,
              const py::list& registered, const py::list& truth, const py::object& each) {
    std::vector<std::unique_ptr<Column>> in;
    std::vector<std::unique_ptr<OutColumn>> out;
    const auto v = columns_of(volts, "volts", 2 * std::size_t{BLN_TERMINAL_COUNT}, rows, in);
    const auto a = columns_of(amps, "amps", 2 * bln_form_conductor_count(form.get()), rows, in);
    const auto r = outputs_of(registered, 2, rows, out);
    const auto t = outputs_of(truth, 2, rows, out);
    std::vector<bln_out_column> e;
    if (!each.is_none()) e = outputs_of(each, 2 * bln_form_element_count(form.get()), rows, out);
    call_unlocked([&](bln_error** err) {
        return bln_form_evaluate(form.get(), rows, v.data(), a.data(), r.data(), t.data(),
                                 e.empty() ? nullptr : e.data(), err);
    });
}

}  // namespace

void bind_form(py::module_& m) {
    m.attr("TERMINAL_COUNT") = static_cast<int>(BLN_TERMINAL_COUNT);
    m.attr("TERMINAL_FLOATING") = static_cast<int>(BLN_TERMINAL_FLOATING);
    m.attr("FORM_WORDS") = py::dict(py::arg("registered") = static_cast<int>(BLN_FORM_REGISTERED),
                                    py::arg("error") = static_cast<int>(BLN_FORM_ERROR),
                                    py::arg("condition") = static_cast<int>(BLN_FORM_CONDITION),
                                    py::arg("verdict") = static_cast<int>(BLN_FORM_VERDICT),
                                    py::arg("correction") = static_cast<int>(BLN_FORM_CORRECTION));
    py::class_<Form> form(m, "Form");
    bind_arrangement(m);
    bind_bounds(form);
    bind_faults(m, form);
    form.def_static("of_point",
                    [](const View& view, const py::object& point, bool neutral) {
                        const CText id(point, "point");
                        Form made;
                        call([&](bln_error** err) {
                            return bln_form_of_point(view.get(), id.get(), neutral ? 1 : 0, made.out(), err);
                        });
                        return made;
                    })
        .def("built", [](const Form& f) { return bln_form_built(f.get()) != 0; })
        .def("notes", &notes)
        .def("conductors", &conductors)
        .def("elements", &elements)
        .def("exact",
             [](const Form& f) {
                 std::int32_t exact = 0;
                 call([&](bln_error** err) { return bln_form_exact(f.get(), &exact, err); });
                 return exact != 0;
             })
        .def("fewest_elements",
             [](const Form& f) {
                 std::size_t n = 0;
                 call([&](bln_error** err) { return bln_form_fewest_elements(f.get(), &n, err); });
                 return n;
             })
        .def("residual", &residual)
        .def("words",
             [](const Form& f, std::int32_t what) {
                 return text_from(
                     [&](bln_text** out, bln_error** err) { return bln_form_words(f.get(), what, out, err); });
             })
        .def("nominal",
             [](const Form& f) {
                 std::uint32_t right = 0, without = 0;
                 call([&](bln_error** err) { return bln_form_nominal(f.get(), &right, &without, err); });
                 return py::make_tuple(right, without);
             })
        .def("registration",
             [](const Form& f, std::size_t from, std::size_t to) {
                 double re = 0, im = 0;
                 call([&](bln_error** err) { return bln_form_registration(f.get(), from, to, &re, &im, err); });
                 return py::make_tuple(re, im);
             })
        .def("realise", &realise)
        .def("evaluate", &evaluate)
        .def("json", [](const Form& f) {
            return text_from([&](bln_text** out, bln_error** err) { return bln_form_json(f.get(), out, err); });
        });
}

}  // namespace binding
