// All English texts of findings, joined from the rooms that make findings.
#pragma once

#include <array>
#include <span>
#include <string_view>

#include "site/finding.hpp"

namespace bln::capi {

/// The catalogues of the rooms, in the order in which they are written out.
[[nodiscard]] std::span<const std::span<const Message>> english() noexcept;
/// The English row of a code, or null.
[[nodiscard]] const Message* english(std::string_view code) noexcept;

}  // namespace bln::capi
