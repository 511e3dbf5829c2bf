// One entity of a view, read anew from an edited record.
#pragma once

#include <cstdint>

#include "site/view.hpp"

namespace bln {

/// Reads the fields of one entity again from the record of @p view, into memory of @p arena, which has to live as long
/// as the view. Only for a view that nobody else reads: views are immutable for everybody else.
void refill(View& view, Kind kind, std::uint32_t at, Arena& arena);

}  // namespace bln
