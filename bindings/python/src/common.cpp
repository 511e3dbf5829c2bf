#include "common.hpp"

#include <datetime.h>

#include <limits>

namespace binding {

namespace {

py::tuple item(bln_status status, const py::object& message, const py::object& subject, const py::object& pointer,
               std::uint64_t line, std::uint64_t column, std::uint64_t byte) {
    return py::make_tuple(status, message, subject, pointer, line, column, byte);
}

[[noreturn]] void raise_items(const py::list& items) {
    const py::object exception = py::module_::import("blondel.errors").attr("from_items")(items);
    PyErr_SetObject(reinterpret_cast<PyObject*>(Py_TYPE(exception.ptr())), exception.ptr());
    throw py::error_already_set();
}

/// Text of the library, with what is not UTF-8 shown instead of failing while a failure is reported.
py::object lenient(const char* text) {
    return py::reinterpret_steal<py::object>(
        PyUnicode_DecodeUTF8(text, static_cast<Py_ssize_t>(std::string_view(text).size()), "backslashreplace"));
}

constexpr std::int64_t micro = 1000000;

}  // namespace

void raise(bln_status status, bln_error* err) {
    py::list items;
    const std::size_t n = bln_error_count(err);
    for (std::size_t i = 0; i < n; ++i)
        items.append(item(bln_error_status(err, i), lenient(bln_error_message(err, i)),
                          lenient(bln_error_subject(err, i)), lenient(bln_error_pointer(err, i)),
                          bln_error_line(err, i), bln_error_column(err, i), bln_error_byte(err, i)));
    if (n == 0) items.append(item(status, to_str(bln_status_name(status)), py::str(), py::str(), 0, 0, 0));
    bln_error_free(err);
    raise_items(items);
}

void refuse(bln_status status, const std::string& message, const std::string& subject, const std::string& pointer) {
    py::list items;
    items.append(item(status, py::str(message), py::str(subject), py::str(pointer), 0, 0, 0));
    raise_items(items);
}

CText::CText(const py::handle& value, const char* what) {
    if (!py::isinstance<py::str>(value))
        refuse(BLN_E_TYPE, std::string(what) + " is a text, and " + Py_TYPE(value.ptr())->tp_name + " was given");
    Py_ssize_t n = 0;
    const char* utf8 = PyUnicode_AsUTF8AndSize(value.ptr(), &n);
    if (utf8 == nullptr) {
        PyErr_Clear();
        refuse(BLN_E_ENCODING, std::string(what) + " holds a surrogate that UTF-8 cannot write");
    }
    text_.assign(utf8, static_cast<std::size_t>(n));
    if (text_.find('\0') != std::string::npos) refuse(BLN_E_ENCODING, std::string(what) + " holds U+0000");
}

Bytes::Bytes(const py::object& source) : source_(source) {
    if (py::isinstance<py::str>(source)) {
        Py_ssize_t n = 0;
        data_ = PyUnicode_AsUTF8AndSize(source.ptr(), &n);
        if (data_ == nullptr) {
            PyErr_Clear();
            refuse(BLN_E_ENCODING, "the text holds a surrogate that UTF-8 cannot write");
        }
        size_ = static_cast<std::size_t>(n);
        return;
    }
    if (PyObject_GetBuffer(source.ptr(), &buffer_, PyBUF_SIMPLE) != 0) {
        PyErr_Clear();
        refuse(BLN_E_TYPE, std::string("a str or contiguous bytes are expected, and ") +
                               Py_TYPE(source.ptr())->tp_name + " was given");
    }
    held_ = true;
    data_ = static_cast<const char*>(buffer_.buf);
    size_ = static_cast<std::size_t>(buffer_.len);
}

Bytes::~Bytes() {
    if (held_) PyBuffer_Release(&buffer_);
}

std::int64_t to_int64(const py::handle& value, const char* what) {
    if (PyBool_Check(value.ptr()) || !PyIndex_Check(value.ptr()))
        refuse(BLN_E_TYPE, std::string(what) + " is an integer, and " + Py_TYPE(value.ptr())->tp_name + " was given");
    const auto integer = py::reinterpret_steal<py::object>(PyNumber_Index(value.ptr()));
    if (!integer) throw py::error_already_set();
    int overflow = 0;
    const long long n = PyLong_AsLongLongAndOverflow(integer.ptr(), &overflow);
    if (overflow != 0) refuse(BLN_E_OVERFLOW, std::string(what) + " does not fit 64 bits");
    if (n == -1 && PyErr_Occurred() != nullptr) throw py::error_already_set();
    return n;
}

std::pair<std::int64_t, std::int64_t> to_ratio(const py::handle& value, const char* what) {
    if (!PyBool_Check(value.ptr()) && PyIndex_Check(value.ptr())) return {to_int64(value, what), 1};
    if (PyBool_Check(value.ptr()) || PyFloat_Check(value.ptr()) || !py::hasattr(value, "numerator") ||
        !py::hasattr(value, "denominator"))
        refuse(BLN_E_TYPE,
               std::string(what) + " is an int or a Fraction, and " + Py_TYPE(value.ptr())->tp_name + " was given");
    return {to_int64(value.attr("numerator"), what), to_int64(value.attr("denominator"), what)};
}

py::object to_fraction(std::int64_t num, std::int64_t den) {
    return py::module_::import("fractions").attr("Fraction")(num, den);
}

bln_instant to_instant(const py::handle& value, bln_instant absent, const char* what) {
    if (value.is_none()) return absent;
    if (!PyBool_Check(value.ptr()) && PyIndex_Check(value.ptr())) return to_int64(value, what);
    if (PyDateTimeAPI == nullptr) PyDateTime_IMPORT;
    if (PyDateTimeAPI == nullptr) throw py::error_already_set();
    if (!PyDateTime_Check(value.ptr()))
        refuse(BLN_E_TYPE, std::string(what) + " is an aware datetime or an int of microseconds, and " +
                               Py_TYPE(value.ptr())->tp_name + " was given");
    if (value.attr("utcoffset")().is_none())
        refuse(BLN_E_VALUE, std::string(what) + " is a datetime without a time zone, which names no instant");
    const py::object datetime = py::module_::import("datetime");
    const py::object utc = datetime.attr("timezone").attr("utc");
    const py::object epoch = datetime.attr("datetime")(1970, 1, 1, py::arg("tzinfo") = utc);
    const py::object since = value - epoch;
    return since.attr("days").cast<std::int64_t>() * 86400 * micro +
           since.attr("seconds").cast<std::int64_t>() * micro + since.attr("microseconds").cast<std::int64_t>();
}

py::object from_instant(bln_instant at) {
    if (at == BLN_BEGIN_OF_TIME || at == BLN_END_OF_TIME) return py::none();
    constexpr std::int64_t low = -62135596800 * micro;   // 0001-01-01
    constexpr std::int64_t high = 253402300800 * micro;  // 10000-01-01
    if (at < low || at >= high) return py::int_(at);
    const py::object datetime = py::module_::import("datetime");
    const py::object utc = datetime.attr("timezone").attr("utc");
    const py::object epoch = datetime.attr("datetime")(1970, 1, 1, py::arg("tzinfo") = utc);
    return epoch + datetime.attr("timedelta")(py::arg("microseconds") = at);
}

std::int32_t Progress::trampoline(void* user, std::uint64_t done, std::uint64_t total) {
    auto& self = *static_cast<Progress*>(user);
    const py::gil_scoped_acquire locked;
    try {
        if (PyErr_CheckSignals() != 0) throw py::error_already_set();
        if (self.callable_.is_none()) return 0;
        return py::bool_(self.callable_(done, total)) ? 1 : 0;
    } catch (...) {
        self.failure_ = std::current_exception();
        return 1;
    }
}

bool find_field(bln_kind kind, const char* name, bln_field_info& info) {
    const std::size_t n = bln_field_count(kind);
    for (std::size_t i = 0; i < n; ++i) {
        info = {};
        info.size = sizeof info;
        if (bln_field_at(kind, i, &info, nullptr) == BLN_OK && std::string_view(info.name) == name) return true;
    }
    return false;
}

bln_kind to_kind(const py::handle& kind) {
    const CText name(kind, "kind");
    const std::size_t n = bln_kind_count();
    for (std::size_t i = 0; i < n; ++i) {
        const bln_kind k = bln_kind_at(i);
        const std::string_view collection = bln_kind_collection(k);
        if (name.get() == std::string_view(bln_kind_name(k)) || (!collection.empty() && collection == name.get()))
            return k;
    }
    refuse(BLN_E_NAME, std::string("no kind is called ") + name.get(), name.get());
}

}  // namespace binding
