// What to beware of at a panel: by service, by output of the CTs, and everywhere.
#pragma once

#include <string>
#include <vector>

#include "plan/sheet.hpp"

namespace bln::plan {

[[nodiscard]] std::vector<std::string> general_cautions();
/// Of the CT outputs and of the service that the panel's rows meet.
[[nodiscard]] std::vector<std::string> panel_cautions(const View& view, const SheetPanel& panel);

}  // namespace bln::plan
