// Draft: one `set` for every type of field; the field table says which C setter it is.
#include <cmath>
#include <vector>

#include "limits.hpp"

namespace binding {

namespace {

/// A bln_when and the texts that it borrows.
class When {
public:
    /// @p when: None, or (from, to, recorded_at, reason, evidence).
    explicit When(const py::object& when) {
        if (when.is_none()) return;
        const py::tuple parts = when;
        given_ = true;
        row_.size = sizeof row_;
        row_.from = to_instant(parts[0], BLN_BEGIN_OF_TIME, "from");
        row_.to = to_instant(parts[1], BLN_END_OF_TIME, "to");
        row_.recorded_at = to_instant(parts[2], BLN_BEGIN_OF_TIME, "recorded_at");
        if (!py::object(parts[3]).is_none()) reason_.emplace_back(parts[3], "reason");
        if (!py::object(parts[4]).is_none()) evidence_.emplace_back(parts[4], "evidence");
        if (!reason_.empty()) row_.reason = reason_.front().get();
        if (!evidence_.empty()) row_.evidence = evidence_.front().get();
    }
    [[nodiscard]] const bln_when* get() const noexcept { return given_ ? &row_ : nullptr; }

private:
    bool given_ = false;
    bln_when row_{};
    std::vector<CText> reason_, evidence_;
};

/// Who is set, for messages that the binding itself composes.
struct Target {
    bln_kind kind;
    const char* id;
    const char* field;

    [[noreturn]] void wrong_type(const char* expected, const py::handle& value) const {
        std::string pointer;
        for (const char* step : {bln_kind_collection(kind), id, field})
            if (*step != '\0') pointer.append(1, '/').append(step);
        refuse(BLN_E_TYPE,
               std::string(field)
                   .append(" is ")
                   .append(expected)
                   .append(", and ")
                   .append(Py_TYPE(value.ptr())->tp_name)
                   .append(" was given"),
               id, pointer);
    }
};

/// Items of any iterable but a text, which would fall into single letters.
py::list items_of(const Target& at, const py::handle& value, const char* expected) {
    if (py::isinstance<py::str>(value) || py::isinstance<py::bytes>(value)) at.wrong_type(expected, value);
    auto items = py::reinterpret_steal<py::object>(PySequence_List(value.ptr()));
    if (!items) {
        if (PyErr_ExceptionMatches(PyExc_TypeError) == 0) throw py::error_already_set();
        PyErr_Clear();
        at.wrong_type(expected, value);
    }
    return items;
}

void set_texts(bln_draft* draft, const Target& at, const py::handle& value, const When& when) {
    std::vector<CText> texts;
    for (const auto& item : items_of(at, value, "a list of texts")) texts.emplace_back(item, at.field);
    std::vector<const char*> pointers;
    for (const CText& text : texts) pointers.push_back(text.get());
    call([&](bln_error** err) {
        return bln_draft_set_texts(draft, at.kind, at.id, at.field, pointers.data(), pointers.size(), when.get(), err);
    });
}

void set_integers(bln_draft* draft, const Target& at, const py::handle& value, const When& when) {
    std::vector<std::int64_t> integers;
    for (const auto& item : items_of(at, value, "a list of integers")) integers.push_back(to_int64(item, at.field));
    call([&](bln_error** err) {
        return bln_draft_set_integers(draft, at.kind, at.id, at.field, integers.data(), integers.size(), when.get(),
                                      err);
    });
}

void set_terms(bln_draft* draft, const Target& at, const py::handle& value, const When& when) {
    if (!py::hasattr(value, "items")) at.wrong_type("a mapping of ids to ratios", value);
    std::vector<CText> keys;
    std::vector<std::int64_t> nums, dens;
    for (const auto& pair : py::list(value.attr("items")())) {
        const auto entry = py::reinterpret_borrow<py::tuple>(pair);
        keys.emplace_back(entry[0], at.field);
        const auto [num, den] = to_ratio(entry[1], at.field);
        nums.push_back(num);
        dens.push_back(den);
    }
    std::vector<const char*> pointers;
    for (const CText& key : keys) pointers.push_back(key.get());
    call([&](bln_error** err) {
        return bln_draft_set_terms(draft, at.kind, at.id, at.field, pointers.data(), nums.data(), dens.data(),
                                   pointers.size(), when.get(), err);
    });
}

void set(Draft& draft, const py::handle& kind_name, const py::handle& id, const py::handle& field,
         const py::object& value, const py::object& when_parts) {
    const bln_kind kind = to_kind(kind_name);
    const CText id_text(id, "id"), field_text(field, "field");
    const Target at{kind, id_text.get(), field_text.get()};
    const When when(when_parts);
    bln_field_info info{};
    bln_draft* d = draft.get();
    const auto integer = [&](std::int64_t n) {
        call([&](bln_error** err) { return bln_draft_set_integer(d, kind, at.id, at.field, n, when.get(), err); });
    };
    // An unknown field goes to any setter: the library says what is wrong with it.
    switch (find_field(kind, at.field, info) ? info.type : BLN_FIELD_TEXT) {
        case BLN_FIELD_BOOLEAN:
            if (!PyBool_Check(value.ptr())) at.wrong_type("a bool", value);
            return integer(value.is(py::bool_(true)) ? 1 : 0);
        case BLN_FIELD_INTEGER:
            if (PyBool_Check(value.ptr()) || !PyIndex_Check(value.ptr())) at.wrong_type("an integer", value);
            return integer(to_int64(value, at.field));
        case BLN_FIELD_INSTANT:
            if (value.is_none()) at.wrong_type("an instant", value);
            return integer(to_instant(value, 0, at.field));
        case BLN_FIELD_REAL: {
            if (PyBool_Check(value.ptr()) || !(PyFloat_Check(value.ptr()) || PyIndex_Check(value.ptr())))
                at.wrong_type("a number", value);
            const double number = PyFloat_AsDouble(value.ptr());
            if (number == -1.0 && PyErr_Occurred() != nullptr) throw py::error_already_set();
            call(
                [&](bln_error** err) { return bln_draft_set_real(d, kind, at.id, at.field, number, when.get(), err); });
            return;
        }
        case BLN_FIELD_RATIONAL: {
            const auto [num, den] = to_ratio(value, at.field);
            call([&, num = num, den = den](bln_error** err) {
                return bln_draft_set_ratio(d, kind, at.id, at.field, num, den, when.get(), err);
            });
            return;
        }
        case BLN_FIELD_INTEGERS:
            return set_integers(d, at, value, when);
        case BLN_FIELD_TEXTS:
        case BLN_FIELD_REFS:
            return set_texts(d, at, value, when);
        case BLN_FIELD_TERMS:
        case BLN_FIELD_PASSES:
            return set_terms(d, at, value, when);
        default: {
            if (info.size != 0 && !py::isinstance<py::str>(value)) at.wrong_type("a text", value);
            const CText text(py::isinstance<py::str>(value) ? value : py::object(py::str()), at.field);
            call([&](bln_error** err) {
                return bln_draft_set_text(d, kind, at.id, at.field, text.get(), when.get(), err);
            });
        }
    }
}

}  // namespace

void bind_draft(py::module_& m) {
    py::class_<Draft>(m, "Draft")
        .def(py::init([] {
            Draft draft;
            call([&](bln_error** err) { return bln_draft_new(draft.out(), err); });
            return draft;
        }))
        .def_static(
            "read",
            [](const py::object& json, const py::object& max_depth, const py::object& max_bytes) {
                const Bytes bytes(json);
                const bln_limits limits = to_limits(max_depth, max_bytes);
                Draft draft;
                call_unlocked([&](bln_error** err) {
                    return bln_draft_read(bytes.data(), bytes.size(), &limits, draft.out(), err);
                });
                return draft;
            },
            py::arg("json"), py::arg("max_depth") = py::none(), py::arg("max_bytes") = py::none())
        .def_static("of",
                    [](const Site& site) {
                        Draft draft;
                        call([&](bln_error** err) { return bln_draft_of(site.get(), draft.out(), err); });
                        return draft;
                    })
        .def("add",
             [](Draft& draft, const py::str& kind, const py::object& id) {
                 const bln_kind k = to_kind(kind);
                 const CText text(id, "id");
                 call([&](bln_error** err) { return bln_draft_add(draft.get(), k, text.get(), err); });
             })
        .def("remove",
             [](Draft& draft, const py::str& kind, const py::object& id) {
                 const bln_kind k = to_kind(kind);
                 const CText text(id, "id");
                 call([&](bln_error** err) { return bln_draft_remove(draft.get(), k, text.get(), err); });
             })
        .def("set", &set)
        .def("clear",
             [](Draft& draft, const py::str& kind, const py::object& id, const py::object& field) {
                 const bln_kind k = to_kind(kind);
                 const CText id_text(id, "id"), field_text(field, "field");
                 call([&](bln_error** err) {
                     return bln_draft_clear(draft.get(), k, id_text.get(), field_text.get(), err);
                 });
             })
        .def("set_ext",
             [](Draft& draft, const py::str& kind, const py::object& id, const py::object& json) {
                 const bln_kind k = to_kind(kind);
                 const CText id_text(id, "id");
                 const Bytes bytes(json);
                 call([&](bln_error** err) {
                     return bln_draft_set_ext(draft.get(), k, id_text.get(), bytes.data(), bytes.size(), err);
                 });
             })
        .def("patch",
             [](Draft& draft, const py::object& patch, const py::object& max_depth, const py::object& max_bytes) {
                 const Bytes bytes(patch);
                 const bln_limits limits = to_limits(max_depth, max_bytes);
                 // The GIL stays held: it is what keeps a second thread off this draft.
                 call([&](bln_error** err) {
                     return bln_draft_patch(draft.get(), bytes.data(), bytes.size(), &limits, err);
                 });
             })
        .def("freeze", [](const Draft& draft) {
            Site site;
            call([&](bln_error** err) { return bln_draft_freeze(draft.get(), site.out(), err); });
            return site;
        });
}

}  // namespace binding
