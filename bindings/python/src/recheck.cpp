// Checking while editing, comparing reports, and limits of standards.
#include "common.hpp"

namespace binding {

namespace {

void free_recheck(bln_recheck* r) { bln_recheck_free(r); }
using Recheck = Handle<bln_recheck, free_recheck>;

py::tuple three(Report& appeared, Report& gone, Report& changed) {
    return py::make_tuple(std::move(appeared), std::move(gone), std::move(changed));
}

py::tuple limit_row(const bln_limit& row) {
    return py::make_tuple(to_str(row.key), to_str(row.quantity), to_str(row.condition), row.low, row.high,
                          to_str(row.unit), to_str(row.standard), to_str(row.source), row.from_memory != 0);
}

void bind_limits(py::module_& m) {
    m.def("limits", [] {
        py::list all;
        for (std::size_t i = 0; i < bln_limit_count(); ++i) {
            bln_limit row{};
            row.size = sizeof row;
            call([&](bln_error** err) { return bln_limit_at(i, &row, err); });
            all.append(limit_row(row));
        }
        return all;
    });
    m.def("limit", [](const py::object& key) {
        const CText text(key, "key");
        bln_limit row{};
        row.size = sizeof row;
        call([&](bln_error** err) { return bln_limit_find(text.get(), &row, err); });
        return limit_row(row);
    });
    m.def("copper_resistance", [](double mm2, double celsius) {
        double out = 0;
        call([&](bln_error** err) { return bln_copper_resistance(mm2, celsius, &out, err); });
        return out;
    });
    m.def("gauge_area", [](const py::object& gauge) {
        const CText text(gauge, "gauge");
        double out = 0;
        call([&](bln_error** err) { return bln_gauge_area(text.get(), &out, err); });
        return out;
    });
}

}  // namespace

void bind_recheck(py::module_& m) {
    py::class_<Recheck>(m, "Recheck")
        .def(py::init([](const Draft& draft, const py::object& valid, const py::object& known, const Policy* policy) {
            Recheck made;
            const bln_instant at = to_instant(valid, BLN_END_OF_TIME, "valid");
            const bln_instant by = to_instant(known, BLN_END_OF_TIME, "known");
            call_unlocked([&](bln_error** err) {
                return bln_recheck_new(draft.get(), at, by, policy == nullptr ? nullptr : policy->get(), nullptr,
                                       nullptr, made.out(), err);
            });
            return made;
        }))
        .def("update",
             [](Recheck& recheck, const Draft& draft) {
                 Report appeared, gone, changed;
                 call_unlocked([&](bln_error** err) {
                     return bln_recheck_update(recheck.get(), draft.get(), nullptr, nullptr, appeared.out(), gone.out(),
                                               changed.out(), err);
                 });
                 return three(appeared, gone, changed);
             })
        .def("report",
             [](const Recheck& recheck) {
                 Report report;
                 call([&](bln_error** err) { return bln_recheck_report(recheck.get(), report.out(), err); });
                 return report;
             })
        .def("reached", [](const Recheck& recheck) { return bln_recheck_reached(recheck.get()); });
    m.def("report_compare", [](const Report& before, const Report& after) {
        Report appeared, gone, changed;
        call([&](bln_error** err) {
            return bln_report_compare(before.get(), after.get(), appeared.out(), gone.out(), changed.out(), err);
        });
        return three(appeared, gone, changed);
    });
    bind_limits(m);
}

}  // namespace binding
