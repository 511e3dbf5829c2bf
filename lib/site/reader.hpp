// A site file -> a record, in one walk and driven by the field table.
#pragma once

#include <memory>
#include <string_view>

#include "site/json_scan.hpp"
#include "site/model.hpp"

namespace bln {

/// Most errors that one reading lists.
inline constexpr std::size_t most_errors = 100;

/// Reads a whole site file. Throws Failure: what JsonScan throws ends the reading; BLN_E_FORMAT too;
/// BLN_E_TYPE, BLN_E_UNIT, BLN_E_FIELD and BLN_E_VALUE of single fields are collected.
/// The texts of the record lie beside the file's other text: clone() makes it compact.
[[nodiscard]] std::unique_ptr<Model> read_site(std::string_view json, const JsonLimits& limits = {});

}  // namespace bln
