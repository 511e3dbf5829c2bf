// Columns of numbers from any object with a buffer: type and stride are checked, nothing is copied.
#pragma once

#include <memory>
#include <vector>

#include "common.hpp"

namespace binding {

/// One input column. Holds the buffer for as long as the call runs, so that nobody resizes it.
class Column {
public:
    /// @p source: None, an object with a buffer, or (object, validity).
    Column(const py::object& source, const char* name);
    ~Column();
    Column(const Column&) = delete;
    Column& operator=(const Column&) = delete;
    [[nodiscard]] const bln_column& get() const noexcept { return column_; }
    [[nodiscard]] bool given() const noexcept { return held_; }
    [[nodiscard]] std::size_t size() const noexcept { return size_; }

private:
    void take_validity(const py::object& validity, const char* name);
    py::object source_;
    Py_buffer buffer_{}, validity_{};
    bool held_ = false, validity_held_ = false;
    std::size_t size_ = 0;
    bln_column column_{};
    std::vector<std::uint8_t> bits_;
};

/// One output column over memory of the caller.
class OutColumn {
public:
    OutColumn(const py::object& target, const py::object& validity);
    ~OutColumn();
    OutColumn(const OutColumn&) = delete;
    OutColumn& operator=(const OutColumn&) = delete;
    [[nodiscard]] const bln_out_column& get() const noexcept { return column_; }
    [[nodiscard]] std::size_t size() const noexcept { return size_; }

private:
    Py_buffer buffer_{}, validity_{};
    bool held_ = false, validity_held_ = false;
    std::size_t size_ = 0;
    bln_out_column column_{};
};

/// Ids as an array of C texts.
class Ids {
public:
    Ids(const py::iterable& ids, const char* what) {
        for (const auto& id : ids) texts_.emplace_back(id, what);
        for (const CText& text : texts_) pointers_.push_back(text.get());
    }
    [[nodiscard]] const char* const* data() const noexcept { return pointers_.data(); }
    [[nodiscard]] std::size_t size() const noexcept { return pointers_.size(); }

private:
    std::vector<CText> texts_;
    std::vector<const char*> pointers_;
};

}  // namespace binding
