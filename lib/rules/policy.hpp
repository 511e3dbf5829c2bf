// Positions of the policy keys of this room.
#pragma once

#include <cstddef>

namespace bln::rules {

enum PolicyAt : std::size_t { notes, examples, nominal_is_error };

}  // namespace bln::rules
