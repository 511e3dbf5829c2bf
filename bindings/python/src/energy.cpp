// The roll-up of intervals, and the statement.
#include "columns.hpp"
#include "limits.hpp"

namespace binding {

namespace {

py::list statement_rows(const Statement& statement) {
    py::list rows;
    for (std::size_t i = 0; i < bln_statement_count(statement.get()); ++i) {
        bln_statement_row r{};
        r.size = sizeof r;
        call([&](bln_error** err) { return bln_statement_at(statement.get(), i, &r, err); });
        const py::object none = py::none();
        const bool apparent = r.apparent_intervals > 0;
        rows.append(py::make_tuple(r.kind, to_str(r.id), to_str(r.premises), r.net, r.import_p, r.export_p, r.net_q,
                                   r.intervals, r.missing, r.mixed, r.import_q, r.export_q,
                                   apparent ? py::int_(r.apparent) : none, r.apparent_intervals,
                                   apparent ? py::float_(r.power_factor) : none, r.apparent_bar, r.measured, r.flagged,
                                   r.flagged_net, r.worst_quality < 0 ? none : py::int_(r.worst_quality)));
    }
    return rows;
}

py::list reconciliations(const Statement& statement) {
    py::list rows;
    for (std::size_t i = 0; i < bln_statement_reconciliations(statement.get()); ++i) {
        bln_reconciliation r{};
        r.size = sizeof r;
        call([&](bln_error** err) { return bln_statement_reconciliation(statement.get(), i, &r, err); });
        rows.append(py::make_tuple(r.verdict, to_str(r.rollup), to_str(r.main), r.main_net, r.sum_net, r.intervals,
                                   r.left_out, r.difference_percent, r.tolerance_percent));
    }
    return rows;
}

py::list tenures(const Statement& statement) {
    py::list rows;
    for (std::size_t i = 0; i < bln_statement_tenures(statement.get()); ++i) {
        bln_tenure t{};
        t.size = sizeof t;
        call([&](bln_error** err) { return bln_statement_tenure(statement.get(), i, &t, err); });
        const py::object none = py::none();
        const bool apparent = t.apparent_intervals > 0;
        rows.append(py::make_tuple(
            t.row, to_str(t.premises), to_str(t.occupancy), to_str(t.occupant), t.from, t.to, t.net, t.import_p,
            t.export_p, t.net_q, t.import_q, t.export_q, apparent ? py::int_(t.apparent) : none, t.apparent_intervals,
            apparent ? py::float_(t.power_factor) : none, t.measured, t.flagged, t.missing, t.divided, t.flagged_net));
    }
    return rows;
}

py::list suspicions(const Statement& statement) {
    py::list rows;
    for (std::size_t i = 0; i < bln_statement_suspicions(statement.get()); ++i) {
        bln_suspicion r{};
        r.size = sizeof r;
        call([&](bln_error** err) { return bln_statement_suspicion(statement.get(), i, &r, err); });
        rows.append(py::make_tuple(to_str(r.rollup), to_str(r.point), to_str(r.channel), to_str(r.hypothesis),
                                   r.missing_wh, r.explained));
    }
    return rows;
}

void bind_statement(py::module_& m) {
    py::class_<Statement>(m, "Statement")
        .def("quantum",
             [](const Statement& statement) {
                 std::int64_t num = 0, den = 1;
                 call([&](bln_error** err) { return bln_statement_quantum(statement.get(), &num, &den, err); });
                 return to_fraction(num, den);
             })
        .def("rows", &statement_rows)
        .def("series",
             [](const Statement& statement, std::size_t i, std::int32_t what, const py::object& into,
                const py::object& validity) {
                 const OutColumn column(into, validity);
                 call_unlocked([&](bln_error** err) {
                     return bln_statement_series(statement.get(), i, what, &column.get(), column.size(), err);
                 });
             })
        .def("reconciliations", &reconciliations)
        .def("suspicions", &suspicions)
        .def("tenures", &tenures)
        .def("tenures_csv",
             [](const Statement& statement) {
                 return text_from([&](bln_text** out, bln_error** err) {
                     return bln_statement_tenures_csv(statement.get(), out, err);
                 });
             })
        .def("report",
             [](const Statement& statement) {
                 Report report;
                 call([&](bln_error** err) { return bln_statement_report(statement.get(), report.out(), err); });
                 return report;
             })
        .def("period",
             [](const Statement& statement) {
                 bln_rollup_period p{};
                 p.size = sizeof p;
                 call([&](bln_error** err) { return bln_statement_period(statement.get(), &p, err); });
                 return py::make_tuple(p.from, p.to, p.known);
             })
        .def("quality",
             [](const Statement& statement, std::size_t i, std::int32_t code) {
                 std::uint64_t n = 0;
                 call([&](bln_error** err) { return bln_statement_quality(statement.get(), i, code, &n, err); });
                 return n;
             })
        .def("column",
             [](const Statement& statement, std::int32_t what, const py::object& into, const py::object& validity) {
                 const OutColumn column(into, validity);
                 call([&](bln_error** err) {
                     return bln_statement_column(statement.get(), what, &column.get(), column.size(), err);
                 });
             })
        .def("record_digest",
             [](const Statement& statement) {
                 return text_from([&](bln_text** out, bln_error** err) {
                     return bln_statement_record_digest(statement.get(), out, err);
                 });
             })
        .def("input_digest",
             [](const Statement& statement) {
                 return text_from([&](bln_text** out, bln_error** err) {
                     return bln_statement_input_digest(statement.get(), out, err);
                 });
             })
        .def("csv",
             [](const Statement& statement) {
                 return text_from(
                     [&](bln_text** out, bln_error** err) { return bln_statement_csv(statement.get(), out, err); });
             })
        .def("json", [](const Statement& statement) {
            return text_from(
                [&](bln_text** out, bln_error** err) { return bln_statement_json(statement.get(), out, err); });
        });
}

}  // namespace

void bind_energy(py::module_& m) {
    bind_intervals(m);
    m.attr("ROW") =
        py::dict(py::arg("point") = static_cast<int>(BLN_ROW_POINT), py::arg("check") = static_cast<int>(BLN_ROW_CHECK),
                 py::arg("rollup") = static_cast<int>(BLN_ROW_ROLLUP),
                 py::arg("unallocated") = static_cast<int>(BLN_ROW_UNALLOCATED));
    m.attr("SERIES") = py::dict(py::arg("net") = static_cast<int>(BLN_SERIES_NET),
                                py::arg("net_q") = static_cast<int>(BLN_SERIES_NET_Q),
                                py::arg("quality") = static_cast<int>(BLN_SERIES_QUALITY));
    bind_statement(m);
}

}  // namespace binding
