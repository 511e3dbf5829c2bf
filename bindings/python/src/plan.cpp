// Allocation of circuits to inputs of devices.
#include "limits.hpp"

namespace binding {

namespace {

template <class Row, class At>
Row row_of(At&& at) {
    Row row{};
    row.size = sizeof row;
    call([&](bln_error** err) { return at(&row, err); });
    return row;
}

py::tuple about(const Plan& p) {
    const auto r = row_of<bln_plan_info>([&](bln_plan_info* out, bln_error** err) { return bln_plan_about(p.get(), out, err); });
    return py::make_tuple(r.found != 0, r.proven != 0, r.wishes_proven != 0, to_str(r.site_sha256),
                          to_str(r.request_sha256));
}

py::list rows(const Plan& p) {
    py::list out;
    for (std::size_t i = 0; i < bln_plan_count(p.get()); ++i) {
        const auto r = row_of<bln_plan_row>(
            [&](bln_plan_row* to, bln_error** err) { return bln_plan_at(p.get(), i, to, err); });
        out.append(py::make_tuple(to_str(r.point), to_str(r.panel), to_str(r.circuit), r.pole, to_str(r.conductor),
                                  to_str(r.device), r.connector, r.input, to_str(r.channel), to_str(r.reference),
                                  to_str(r.ct), to_str(r.ct_type), r.new_point != 0, r.new_channel != 0, r.new_ct != 0));
    }
    return out;
}

py::list devices(const Plan& p) {
    py::list out;
    for (std::size_t i = 0; i < bln_plan_devices(p.get()); ++i) {
        const auto r = row_of<bln_plan_device>(
            [&](bln_plan_device* to, bln_error** err) { return bln_plan_device_at(p.get(), i, to, err); });
        out.append(py::make_tuple(to_str(r.id), to_str(r.profile), to_str(r.service), r.added != 0, r.inputs, r.placed,
                                  r.free));
    }
    return out;
}

py::list conflicts(const Plan& p) {
    py::list out;
    for (std::size_t i = 0; i < bln_plan_conflicts(p.get()); ++i) {
        const auto r = row_of<bln_plan_conflict>(
            [&](bln_plan_conflict* to, bln_error** err) { return bln_plan_conflict_at(p.get(), i, to, err); });
        out.append(py::make_tuple(r.kind, to_str(r.subject), to_str(r.words)));
    }
    return out;
}

}  // namespace

void bind_plan(py::module_& m) {
    m.attr("SHEET") = py::dict(py::arg("json") = static_cast<int>(BLN_SHEET_JSON),
                               py::arg("text") = static_cast<int>(BLN_SHEET_TEXT),
                               py::arg("csv") = static_cast<int>(BLN_SHEET_CSV));
    m.attr("MERGE") = py::dict(py::arg("refuse") = static_cast<int>(BLN_MERGE_REFUSE),
                               py::arg("replace") = static_cast<int>(BLN_MERGE_REPLACE));
    m.def("plan_sheet", [](const View& view, const py::object& options, std::int32_t form) {
        const Bytes bytes(options);
        return text_from([&](bln_text** out, bln_error** err) {
            return bln_plan_sheet(view.get(), bytes.data(), bytes.size(), form, out, err);
        });
    });
    m.def("schedule_read_csv", [](const py::object& map, const py::object& csv, const py::object& max_bytes) {
        const Bytes columns(map), bytes(csv);
        const bln_limits limits = to_limits(py::none(), max_bytes);
        Draft draft;
        call_unlocked([&](bln_error** err) {
            return bln_schedule_read_csv(columns.data(), columns.size(), bytes.data(), bytes.size(), &limits, draft.out(),
                                         err);
        });
        return draft;
    });
    m.def("draft_merge", [](Draft& into, const Draft& from, std::int32_t mode) {
        call([&](bln_error** err) { return bln_draft_merge(into.get(), from.get(), mode, err); });
    });
    m.attr("CONFLICT") =
        py::dict(py::arg("room") = static_cast<int>(BLN_CONFLICT_ROOM),
                 py::arg("devices") = static_cast<int>(BLN_CONFLICT_DEVICES),
                 py::arg("most_new_devices") = static_cast<int>(BLN_CONFLICT_MOST_NEW_DEVICES),
                 py::arg("spare_percent") = static_cast<int>(BLN_CONFLICT_SPARE_PERCENT),
                 py::arg("spare_per_device") = static_cast<int>(BLN_CONFLICT_SPARE_PER_DEVICE),
                 py::arg("whole_connectors") = static_cast<int>(BLN_CONFLICT_WHOLE_CONNECTORS),
                 py::arg("whole_points") = static_cast<int>(BLN_CONFLICT_WHOLE_POINTS),
                 py::arg("reserved") = static_cast<int>(BLN_CONFLICT_RESERVED),
                 py::arg("pin") = static_cast<int>(BLN_CONFLICT_PIN));
    py::class_<Plan>(m, "Plan")
        .def(py::init([](const View& view, const py::object& request) {
            const Bytes bytes(request);
            Plan plan;
            call_unlocked(
                [&](bln_error** err) { return bln_plan_new(view.get(), bytes.data(), bytes.size(), plan.out(), err); });
            return plan;
        }))
        .def("about", &about)
        .def("rows", &rows)
        .def("devices", &devices)
        .def("conflicts", &conflicts)
        .def("text",
             [](const Plan& p) {
                 return text_from([&](bln_text** out, bln_error** err) { return bln_plan_text(p.get(), out, err); });
             })
        .def("json",
             [](const Plan& p) {
                 return text_from([&](bln_text** out, bln_error** err) { return bln_plan_json(p.get(), out, err); });
             })
        .def("patch",
             [](const Plan& p) {
                 return text_from([&](bln_text** out, bln_error** err) { return bln_plan_patch(p.get(), out, err); });
             })
        .def("draft", [](const Plan& p) {
            Draft draft;
            call([&](bln_error** err) { return bln_plan_draft(p.get(), draft.out(), err); });
            return draft;
        });
}

}  // namespace binding
