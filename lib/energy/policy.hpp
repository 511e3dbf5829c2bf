// Positions of the policy keys of this room.
#pragma once

#include <cstddef>

namespace bln::energy {

enum PolicyAt : std::size_t { tolerance_percent, follow_up_factor, suspicion_explained, suspicion_most, names };

}  // namespace bln::energy
