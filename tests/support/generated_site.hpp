// A site of any size that is correct by construction, built through the public header alone.
#pragma once

#include <cstddef>
#include <cstdint>

#include "blondel/blondel.h"

namespace support {

/// Makes a draft with @p points billing points of one, two and three poles over all seven kinds of
/// service, with panels, CTs, devices, channels, premises, one main and one roll-up a service. The
/// same numbers give the same site. Ends the program with a message when a call fails. The caller
/// frees the draft.
bln_draft* generated_draft(std::size_t points, std::uint32_t seed = 1);

/// The same, frozen.
bln_site* generated_site(std::size_t points, std::uint32_t seed = 1);

}  // namespace support
