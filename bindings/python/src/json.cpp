// JSON in general: the canonical form, and patches of any document.
#include "limits.hpp"

namespace binding {

void bind_json(py::module_& m) {
    m.def("json_canonical", [](const py::object& json, const py::object& max_depth, const py::object& max_bytes) {
        const Bytes bytes(json);
        const bln_limits limits = to_limits(max_depth, max_bytes);
        Text text;
        call_unlocked(
            [&](bln_error** err) { return bln_json_canonical(bytes.data(), bytes.size(), &limits, text.out(), err); });
        return to_str(text);
    });
    m.def("json_patch_apply", [](const py::object& document, const py::object& patch, const py::object& max_depth,
                                 const py::object& max_bytes) {
        const Bytes d(document), p(patch);
        const bln_limits limits = to_limits(max_depth, max_bytes);
        Text text;
        call_unlocked([&](bln_error** err) {
            return bln_json_patch_apply(d.data(), d.size(), p.data(), p.size(), &limits, text.out(), err);
        });
        return to_str(text);
    });
}

}  // namespace binding
