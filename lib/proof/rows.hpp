// Rows of readings against the channels of the record: which count, and which contradict themselves.
#pragma once

#include <cstddef>
#include <vector>

#include "proof/readings.hpp"
#include "site/finding.hpp"
#include "site/view.hpp"

namespace bln::proof {

struct SortedRows {
    std::vector<std::vector<std::size_t>> of_channel;  ///< rows that count, by channel of the record, in time order
    std::vector<bool> spoiled;                         ///< channels with rows that contradict one another
    std::vector<bool> contradicts;                     ///< rows whose quantities contradict one another
    std::size_t unknown = 0;                           ///< rows of channels that the record lacks
};

/// Says what is wrong with the rows themselves. Rows of one instant that say something else count for nothing;
/// @p percent: how far active may exceed apparent power.
[[nodiscard]] SortedRows sort_rows(const View& view, const Readings& readings, double percent, Report& report);

}  // namespace bln::proof
