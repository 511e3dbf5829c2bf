// Progress and cancel for long calls.
#pragma once

#include <cstdint>

#include "power/failure.hpp"

namespace bln {

/// Tells the caller how far a long call is and ends the call when the caller asks for it.
class Progress {
public:
    Progress() noexcept = default;
    Progress(bln_progress call, void* user) noexcept : call_(call), user_(user) {}
    /// Throws Failure(BLN_E_CANCELLED) when the callback returns anything but 0.
    void at(std::uint64_t done, std::uint64_t total) const {
        if (call_ != nullptr && call_(user_, done, total) != 0)
            throw Failure(BLN_E_CANCELLED, "the progress callback asked to stop");
    }

private:
    bln_progress call_ = nullptr;
    void* user_ = nullptr;
};

}  // namespace bln
