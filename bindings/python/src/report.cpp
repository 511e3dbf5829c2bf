// Findings, their texts, and the check of a view.
#include "common.hpp"

namespace binding {

namespace {

py::list subjects(const bln_report* report, std::size_t i, std::size_t n) {
    py::list all;
    for (std::size_t j = 0; j < n; ++j) {
        bln_kind kind = 0;
        const char* id = nullptr;
        call([&](bln_error** err) { return bln_report_subject(report, i, j, &kind, &id, err); });
        all.append(py::make_tuple(to_str(bln_kind_name(kind)), to_str(id)));
    }
    return all;
}

py::list facts(const bln_report* report, std::size_t i, std::size_t n) {
    py::list all;
    for (std::size_t j = 0; j < n; ++j) {
        bln_fact fact{};
        fact.size = sizeof fact;
        call([&](bln_error** err) { return bln_report_fact(report, i, j, &fact, err); });
        py::object value = fact.is_number != 0 ? py::object(py::float_(fact.value)) : py::object(to_str(fact.text));
        all.append(py::make_tuple(to_str(fact.name), value, to_str(fact.unit)));
    }
    return all;
}

/// code, severity, verdict, subjects, facts, discriminator, pointer, source, waiver, reason, identity
py::tuple finding(const Report& report, std::size_t i) {
    bln_finding row{};
    row.size = sizeof row;
    call([&](bln_error** err) { return bln_report_at(report.get(), i, &row, err); });
    return py::make_tuple(
        to_str(row.code), row.severity, row.verdict, subjects(report.get(), i, row.subject_count),
        facts(report.get(), i, row.fact_count), to_str(row.discriminator), to_str(row.pointer), to_str(row.source), to_str(row.waiver), to_str(row.reason),
        text_from([&](bln_text** out, bln_error** err) { return bln_report_identity(report.get(), i, out, err); }));
}

}  // namespace

void bind_report(py::module_& m) {
    py::class_<Catalogue>(m, "Catalogue").def(py::init([](const py::object& json) {
        const Bytes bytes(json);
        Catalogue catalogue;
        call([&](bln_error** err) { return bln_catalogue_read(bytes.data(), bytes.size(), catalogue.out(), err); });
        return catalogue;
    }));
    m.def("catalogue_english",
          [] { return text_from([](bln_text** out, bln_error** err) { return bln_catalogue_english(out, err); }); });
    py::class_<Report>(m, "Report")
        .def("__len__", [](const Report& report) { return bln_report_count(report.get()); })
        .def("finding", &finding)
        .def("text",
             [](const Report& report, std::size_t i, std::int32_t what, const Catalogue* catalogue) {
                 return text_from([&](bln_text** out, bln_error** err) {
                     return bln_report_text(report.get(), i, what, catalogue == nullptr ? nullptr : catalogue->get(),
                                            out, err);
                 });
             })
        .def("json", [](const Report& report) {
            return text_from([&](bln_text** out, bln_error** err) { return bln_report_json(report.get(), out, err); });
        });
    m.attr("TEXT_TITLE") = static_cast<int>(BLN_TEXT_TITLE);
    m.attr("TEXT_BODY") = static_cast<int>(BLN_TEXT_BODY);
    m.attr("TEXT_ACTION") = static_cast<int>(BLN_TEXT_ACTION);
    m.def("check", [](const View& view, const Policy* policy, const py::object& progress) {
        Report report;
        Progress reporter(progress);
        reporter.run([&](bln_error** err) {
            return bln_check(view.get(), policy == nullptr ? nullptr : policy->get(), Progress::function(),
                             reporter.user(), report.out(), err);
        });
        return report;
    });
}

}  // namespace binding
