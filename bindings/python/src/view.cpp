// A dated view: any field as the Python value that its type in the field table asks for.
#include "common.hpp"

namespace binding {

namespace {

struct Place {
    const bln_view* view;
    bln_kind kind;
    const char* id;
    const char* field;
};

std::size_t size_of(const Place& at) {
    std::size_t n = 0;
    call([&](bln_error** err) { return bln_view_size(at.view, at.kind, at.id, at.field, &n, err); });
    return n;
}

py::object get_text(const Place& at) {
    const char* text = nullptr;
    call([&](bln_error** err) { return bln_view_text(at.view, at.kind, at.id, at.field, &text, err); });
    return to_str(text);
}

std::int64_t get_integer(const Place& at) {
    std::int64_t n = 0;
    call([&](bln_error** err) { return bln_view_integer(at.view, at.kind, at.id, at.field, &n, err); });
    return n;
}

py::object get_real(const Place& at) {
    double number = 0;
    call([&](bln_error** err) { return bln_view_real(at.view, at.kind, at.id, at.field, &number, err); });
    return py::float_(number);
}

py::object get_ratio(const Place& at) {
    std::int64_t num = 0, den = 1;
    call([&](bln_error** err) { return bln_view_ratio(at.view, at.kind, at.id, at.field, &num, &den, err); });
    return to_fraction(num, den);
}

py::object get_integers(const Place& at) {
    py::tuple items(size_of(at));
    for (std::size_t i = 0; i < items.size(); ++i) {
        std::int64_t n = 0;
        call([&](bln_error** err) { return bln_view_item_integer(at.view, at.kind, at.id, at.field, i, &n, err); });
        items[i] = py::int_(n);
    }
    return items;
}

py::object get_texts(const Place& at) {
    py::tuple items(size_of(at));
    for (std::size_t i = 0; i < items.size(); ++i) {
        const char* text = nullptr;
        call([&](bln_error** err) { return bln_view_item_text(at.view, at.kind, at.id, at.field, i, &text, err); });
        items[i] = to_str(text);
    }
    return items;
}

py::object get_terms(const Place& at) {
    py::dict terms;
    const std::size_t n = size_of(at);
    for (std::size_t i = 0; i < n; ++i) {
        const char* key = nullptr;
        std::int64_t num = 0, den = 1;
        call([&](bln_error** err) {
            return bln_view_item_term(at.view, at.kind, at.id, at.field, i, &key, &num, &den, err);
        });
        terms[to_str(key)] = to_fraction(num, den);
    }
    return terms;
}

py::object get(const View& view, const py::handle& kind_name, const py::handle& id, const py::handle& field) {
    const CText id_text(id, "id"), field_text(field, "field");
    const Place at{view.get(), to_kind(kind_name), id_text.get(), field_text.get()};
    bln_field_info info{};
    // An unknown field goes to any getter: the library says what is wrong with it.
    switch (find_field(at.kind, at.field, info) ? info.type : BLN_FIELD_TEXT) {
        case BLN_FIELD_BOOLEAN:
            return py::bool_(get_integer(at) != 0);
        case BLN_FIELD_INTEGER:
            return py::int_(get_integer(at));
        case BLN_FIELD_INSTANT:
            return from_instant(get_integer(at));
        case BLN_FIELD_REAL:
            return get_real(at);
        case BLN_FIELD_RATIONAL:
            return get_ratio(at);
        case BLN_FIELD_INTEGERS:
            return get_integers(at);
        case BLN_FIELD_TEXTS:
        case BLN_FIELD_REFS:
            return get_texts(at);
        case BLN_FIELD_TERMS:
        case BLN_FIELD_PASSES:
            return get_terms(at);
        default:
            return get_text(at);
    }
}

}  // namespace

void bind_view(py::module_& m) {
    py::class_<View>(m, "View")
        .def(py::init([](const Site& site, const py::object& valid, const py::object& known) {
                 const bln_instant v = to_instant(valid, BLN_END_OF_TIME, "valid");
                 const bln_instant k = to_instant(known, BLN_END_OF_TIME, "known");
                 View view;
                 call_unlocked([&](bln_error** err) { return bln_view_new(site.get(), v, k, view.out(), err); });
                 return view;
             }),
             py::arg("site"), py::arg("valid") = py::none(), py::arg("known") = py::none())
        .def("get", &get)
        .def("json", [](const View& view, const py::str& kind, const py::object& id, const py::object& field) {
            const bln_kind k = to_kind(kind);
            const CText id_text(id, "id"), field_text(field, "field");
            return text_from([&](bln_text** out, bln_error** err) {
                return bln_view_json(view.get(), k, id_text.get(), field_text.get(), out, err);
            });
        });
}

}  // namespace binding
