// A schedule of panels, circuits, CTs, channels or points as CSV -> a record.
#pragma once

#include <cstdint>
#include <memory>
#include <string_view>

#include "plan/schedule_map.hpp"
#include "site/model.hpp"

namespace bln::plan {

/// Throws what CsvScanner throws; BLN_E_FIELD for a column of the map that the table lacks, and the reverse;
/// BLN_E_TYPE, BLN_E_UNIT, BLN_E_VALUE for cells: all, with line and column, up to the cap.
[[nodiscard]] std::unique_ptr<Model> read_schedule(const ScheduleMap& map, std::string_view csv,
                                                   std::uint64_t max_bytes);

}  // namespace bln::plan
