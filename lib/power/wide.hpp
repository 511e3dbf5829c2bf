// 128-bit integers for sums and products of 64-bit ones.
#pragma once

namespace bln {

__extension__ typedef __int128 Wide;            // NOLINT(modernize-use-using): the attribute needs typedef
__extension__ typedef unsigned __int128 UWide;  // NOLINT(modernize-use-using)

}  // namespace bln
