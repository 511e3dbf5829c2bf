#include "columns.hpp"

#include <bit>

namespace binding {

namespace {

/// BLN_TYPE_... of a PEP 3118 format, or 0. Only the machine's own byte order can be read in place.
std::int32_t type_of(const char* format, Py_ssize_t size) {
    std::string_view f = format == nullptr ? "B" : format;
    if (!f.empty() && (f[0] == '@' || f[0] == '=' || (f[0] == '<' && std::endian::native == std::endian::little)))
        f.remove_prefix(1);
    if (f == "B") return BLN_TYPE_U8;
    if (f == "f") return BLN_TYPE_F32;
    if (f == "d") return BLN_TYPE_F64;
    if (f == "h" || f == "i" || f == "l" || f == "q") {
        if (size == 2) return BLN_TYPE_I16;
        if (size == 4) return BLN_TYPE_I32;
        if (size == 8) return BLN_TYPE_I64;
    }
    return 0;
}

std::string described(const Py_buffer& buffer) {
    return std::string("items of format ") + (buffer.format == nullptr ? "B" : buffer.format) + " and " +
           std::to_string(buffer.itemsize) + " bytes";
}

constexpr const char* accepted = "; a column has one dimension of u8, i16, i32, i64, f32 or f64 in native byte order";

std::int32_t checked_type(const Py_buffer& buffer, const char* name) {
    if (buffer.ndim != 1)
        refuse(BLN_E_TYPE, std::string(name) + " has " + std::to_string(buffer.ndim) + " dimensions" + accepted);
    const std::int32_t type = type_of(buffer.format, buffer.itemsize);
    if (type == 0) refuse(BLN_E_TYPE, std::string(name) + " has " + described(buffer) + accepted);
    return type;
}

/// The object itself, or the array over the memory that its __array_interface__ names.
py::object with_buffer(const py::object& source, const char* name) {
    if (PyObject_CheckBuffer(source.ptr()) != 0) return source;
    if (py::hasattr(source, "__array_interface__")) return py::module_::import("numpy").attr("asarray")(source);
    refuse(BLN_E_TYPE, std::string(name) + " is a " + Py_TYPE(source.ptr())->tp_name +
                           ", which has no buffer; make an array of it first");
}

}  // namespace

Column::Column(const py::object& source, const char* name) {
    if (source.is_none()) return;
    py::object data = source, validity = py::none();
    if (py::isinstance<py::tuple>(source)) {
        const py::tuple pair = source;
        if (pair.size() != 2)
            refuse(BLN_E_TYPE, std::string(name) + " is neither a column nor a column with its validity");
        data = pair[0];
        validity = pair[1];
    }
    source_ = with_buffer(data, name);
    if (PyObject_GetBuffer(source_.ptr(), &buffer_, PyBUF_RECORDS_RO) != 0) {
        const py::error_already_set failure;
        refuse(BLN_E_TYPE, std::string(name) + ": " + py::str(failure.value()).cast<std::string>());
    }
    held_ = true;
    try {
        column_.type = checked_type(buffer_, name);
        size_ = static_cast<std::size_t>(buffer_.shape[0]);
        column_.data = buffer_.buf;
        column_.stride = buffer_.strides[0];
        // An empty column is present all the same; the library tells absent columns by a null pointer.
        static const std::int64_t nothing = 0;
        if (size_ == 0) {
            column_.data = &nothing;
            column_.stride = buffer_.itemsize;
        }
        take_validity(validity, name);
    } catch (...) {
        PyBuffer_Release(&buffer_);
        if (validity_held_) PyBuffer_Release(&validity_);
        throw;
    }
}

void Column::take_validity(const py::object& validity, const char* name) {
    if (validity.is_none()) return;
    const std::string what = std::string("validity of ") + name;
    const py::object mask = with_buffer(validity, what.c_str());
    if (PyObject_GetBuffer(mask.ptr(), &validity_, PyBUF_RECORDS_RO) != 0) throw py::error_already_set();
    validity_held_ = true;
    const std::string_view format = validity_.format == nullptr ? "B" : validity_.format;
    if (validity_.ndim != 1 || (format != "?" && format != "B"))
        refuse(BLN_E_TYPE, what + " has " + described(validity_) +
                               "; it is one bool an item, or a bitmap of bytes, least significant bit first");
    const auto n = static_cast<std::size_t>(validity_.shape[0]);
    const auto* bytes = static_cast<const std::uint8_t*>(validity_.buf);
    if (format == "B") {
        if (validity_.strides[0] != 1 || n < (size_ + 7) / 8)
            refuse(BLN_E_RANGE, what + " is shorter than the column, or not contiguous");
        column_.validity = bytes;
        return;
    }
    if (n != size_)
        refuse(BLN_E_RANGE, what + " has " + std::to_string(n) + " items, and the column " + std::to_string(size_));
    bits_.assign((size_ + 7) / 8 + 1, 0);
    for (std::size_t i = 0; i < size_; ++i)
        if (bytes[static_cast<Py_ssize_t>(i) * validity_.strides[0]] != 0)
            bits_[i / 8] = static_cast<std::uint8_t>(bits_[i / 8] | 1U << (i % 8));
    column_.validity = bits_.data();
}

Column::~Column() {
    if (held_) PyBuffer_Release(&buffer_);
    if (validity_held_) PyBuffer_Release(&validity_);
}

OutColumn::OutColumn(const py::object& target, const py::object& validity) {
    if (PyObject_GetBuffer(target.ptr(), &buffer_, PyBUF_RECORDS) != 0) {
        const py::error_already_set failure;
        refuse(BLN_E_TYPE, "into: " + py::str(failure.value()).cast<std::string>());
    }
    held_ = true;
    try {
        column_.type = checked_type(buffer_, "into");
        column_.data = buffer_.buf;
        column_.stride = buffer_.strides[0];
        size_ = static_cast<std::size_t>(buffer_.shape[0]);
        if (!validity.is_none()) {
            if (PyObject_GetBuffer(validity.ptr(), &validity_, PyBUF_WRITABLE) != 0) throw py::error_already_set();
            validity_held_ = true;
            if (static_cast<std::size_t>(validity_.len) < (size_ + 7) / 8)
                refuse(BLN_E_RANGE, "the bitmap is shorter than the column");
            column_.validity = static_cast<std::uint8_t*>(validity_.buf);
        }
    } catch (...) {
        PyBuffer_Release(&buffer_);
        if (validity_held_) PyBuffer_Release(&validity_);
        throw;
    }
}

OutColumn::~OutColumn() {
    if (held_) PyBuffer_Release(&buffer_);
    if (validity_held_) PyBuffer_Release(&validity_);
}

}  // namespace binding
