// Arrangements of metering elements that the trade knows by name.
#pragma once

#include <span>
#include <string_view>

#include "power/form.hpp"

namespace bln {

struct Arrangement {
    std::string_view name;
    std::string_view doc;
    std::size_t least_phases, most_phases;             ///< phase conductors of the load for which it is meant
    void (*add)(Form&, std::span<const std::size_t>);  ///< conductors of the load's phases, in order
};

[[nodiscard]] std::span<const Arrangement> arrangements() noexcept;

/// Adds the elements of a named arrangement round the first load of @p form. BLN_E_NAME for no such name,
/// BLN_E_VALUE when the load has too few or too many phase conductors, or the service lacks a terminal
/// that the arrangement refers to.
void add_arrangement(Form& form, std::string_view name);

}  // namespace bln
