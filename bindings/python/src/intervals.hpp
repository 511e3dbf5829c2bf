// What the sources of intervals share.
#pragma once

#include <string>

#include "columns.hpp"
#include "limits.hpp"

namespace binding {

inline void free_reader(bln_interval_reader* r) { bln_interval_reader_free(r); }
using Reader = Handle<bln_interval_reader, free_reader>;

/// (stamp, duration, wh_per_count, read_from) as the package hands them over.
bln_interval_rule rule_of(const py::tuple& words);
/// BLN_QUANTITY_... of a word; refuses others.
std::int32_t quantity_number(const std::string& name);

/// From any object with __arrow_c_stream__ or __arrow_c_array__. Long form, or wide with @p quantity, each column
/// but the time a channel.
Intervals intervals_from_arrow(const py::object& source, const py::object& quantity, const py::dict& names,
                               const py::tuple& rule_words, const py::object& rule_of_registers);

}  // namespace binding
