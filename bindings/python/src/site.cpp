// A frozen site.
#include "limits.hpp"

namespace binding {

namespace {

py::tuple assignment(const Site& site, bln_kind kind, const CText& id, const CText& field, std::size_t i) {
    bln_when when{};
    when.size = sizeof when;
    Text value;
    call([&](bln_error** err) {
        return bln_site_assignment(site.get(), kind, id.get(), field.get(), i, &when, value.out(), err);
    });
    return py::make_tuple(from_instant(when.from), from_instant(when.to), from_instant(when.recorded_at),
                          to_str(when.reason), to_str(when.evidence), to_str(value));
}

}  // namespace

void bind_site(py::module_& m) {
    m.attr("JSON_READABLE") = static_cast<int>(BLN_JSON_READABLE);
    m.attr("JSON_CANONICAL") = static_cast<int>(BLN_JSON_CANONICAL);
    py::class_<Site>(m, "Site")
        .def_static(
            "read",
            [](const py::object& json, const py::object& max_depth, const py::object& max_bytes) {
                const Bytes bytes(json);
                const bln_limits limits = to_limits(max_depth, max_bytes);
                Site site;
                call_unlocked([&](bln_error** err) {
                    return bln_site_read(bytes.data(), bytes.size(), &limits, site.out(), err);
                });
                return site;
            },
            py::arg("json"), py::arg("max_depth") = py::none(), py::arg("max_bytes") = py::none())
        .def("json",
             [](const Site& site, std::int32_t style) {
                 Text text;
                 call_unlocked([&](bln_error** err) { return bln_site_json(site.get(), style, text.out(), err); });
                 return to_str(text);
             })
        .def("digest",
             [](const Site& site) {
                 Text text;
                 call_unlocked([&](bln_error** err) { return bln_site_digest(site.get(), text.out(), err); });
                 return to_str(text);
             })
        .def("difference",
             [](const Site& before, const Site& after) {
                 Text text;
                 call_unlocked(
                     [&](bln_error** err) { return bln_site_difference(before.get(), after.get(), text.out(), err); });
                 return to_str(text);
             })
        .def("count", [](const Site& site, const py::str& kind) { return bln_site_count(site.get(), to_kind(kind)); })
        .def("ids",
             [](const Site& site, const py::str& kind) {
                 const bln_kind k = to_kind(kind);
                 const std::size_t n = bln_site_count(site.get(), k);
                 py::tuple ids(n);
                 for (std::size_t i = 0; i < n; ++i) ids[i] = to_str(bln_site_id(site.get(), k, i));
                 return ids;
             })
        .def("find",
             [](const Site& site, const py::str& kind, const py::object& id) {
                 const CText text(id, "id");
                 return bln_site_find(site.get(), to_kind(kind), text.get());
             })
        .def("history", [](const Site& site, const py::str& kind, const py::object& id, const py::object& field) {
            const bln_kind k = to_kind(kind);
            const CText id_text(id, "id"), field_text(field, "field");
            std::size_t n = 0;
            call([&](bln_error** err) {
                return bln_site_history(site.get(), k, id_text.get(), field_text.get(), &n, err);
            });
            py::list all;
            for (std::size_t i = 0; i < n; ++i) all.append(assignment(site, k, id_text, field_text, i));
            return all;
        });
}

}  // namespace binding
