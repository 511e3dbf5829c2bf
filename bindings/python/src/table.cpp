// Versions, instants, kinds, the field table, the schema.
#include <initializer_list>

#include "common.hpp"

namespace binding {

namespace {

const char* type_name(int type) {
    switch (type) {
        case BLN_FIELD_TEXT:
            return "text";
        case BLN_FIELD_REF:
            return "ref";
        case BLN_FIELD_CHOICE:
            return "choice";
        case BLN_FIELD_BOOLEAN:
            return "boolean";
        case BLN_FIELD_INTEGER:
            return "integer";
        case BLN_FIELD_REAL:
            return "real";
        case BLN_FIELD_RATIONAL:
            return "rational";
        case BLN_FIELD_INSTANT:
            return "instant";
        case BLN_FIELD_INTEGERS:
            return "integers";
        case BLN_FIELD_TEXTS:
            return "texts";
        case BLN_FIELD_REFS:
            return "refs";
        case BLN_FIELD_TERMS:
            return "terms";
        case BLN_FIELD_PASSES:
            return "passes";
        default:
            return "unknown";
    }
}

const char* layer_name(int layer) {
    switch (layer) {
        case BLN_LAYER_PLAN:
            return "plan";
        case BLN_LAYER_AS_BUILT:
            return "as_built";
        case BLN_LAYER_CONFIGURED:
            return "configured";
        default:
            return "unknown";
    }
}

py::list kinds() {
    py::list all;
    for (std::size_t i = 0; i < bln_kind_count(); ++i) {
        const bln_kind kind = bln_kind_at(i);
        all.append(py::make_tuple(to_str(bln_kind_name(kind)), to_str(bln_kind_collection(kind))));
    }
    return all;
}

py::list choices(bln_kind kind, const bln_field_info& info) {
    py::list words;
    for (std::size_t i = 0; i < static_cast<std::size_t>(info.choice_count); ++i) {
        const char* word = nullptr;
        const char* doc = nullptr;
        call([&](bln_error** err) { return bln_field_choice(kind, info.name, i, &word, &doc, err); });
        words.append(py::make_tuple(to_str(word), to_str(doc)));
    }
    return words;
}

/// name, type, unit, doc, layer, dated, target, choices, range
py::list fields(const py::handle& kind_name) {
    const bln_kind kind = to_kind(kind_name);
    py::list all;
    for (std::size_t i = 0; i < bln_field_count(kind); ++i) {
        bln_field_info info{};
        info.size = sizeof info;
        call([&](bln_error** err) { return bln_field_at(kind, i, &info, err); });
        py::object range = py::none();
        if (info.low != 0 || info.high != 0) range = py::make_tuple(info.low, info.high);
        py::object target = py::none();
        if (info.target != 0) target = to_str(bln_kind_name(info.target));
        all.append(py::make_tuple(to_str(info.name), type_name(info.type), to_str(info.unit), to_str(info.doc),
                                  layer_name(info.layer), info.dated != 0, target, choices(kind, info), range));
    }
    return all;
}

}  // namespace

void bind_table(py::module_& m) {
    m.attr("header_version_number") = BLN_VERSION_NUMBER;
    m.attr("header_version_text") = BLN_VERSION_TEXT;
    m.attr("header_abi_number") = BLN_ABI_NUMBER;
    m.attr("format_version") = BLN_FORMAT_VERSION;
    m.def("version_number", &bln_version_number);
    m.def("version_text", [] { return to_str(bln_version_text()); });
    m.def("abi_number", &bln_abi_number);
    m.def("status_name", [](bln_status status) { return to_str(bln_status_name(status)); });
    m.def("instant_parse", [](const py::str& text) {
        const CText c(text, "instant");
        bln_instant at = 0;
        call([&](bln_error** err) { return bln_instant_parse(c.get(), &at, err); });
        return at;
    });
    m.def("instant_text", [](const py::object& at) {
        const bln_instant instant = to_instant(at, BLN_END_OF_TIME, "instant");
        return text_from([&](bln_text** out, bln_error** err) { return bln_instant_text(instant, out, err); });
    });
    m.def("instant_of", [](const py::object& at) { return to_instant(at, BLN_END_OF_TIME, "instant"); });
    m.def("datetime_of", &from_instant);
    m.def("kinds", &kinds);
    m.def("fields", &fields);
    m.def("schema", [] { return text_from([](bln_text** out, bln_error** err) { return bln_schema(out, err); }); });
    m.def("limits_default", [] {
        bln_limits limits{};
        limits.size = sizeof limits;
        call([&](bln_error** err) { return bln_limits_default(&limits, err); });
        return py::make_tuple(limits.max_depth, limits.max_bytes);
    });
}

}  // namespace binding
