#include "capi/messages.hpp"

#include "energy/energy.hpp"
#include "plan/phase_test.hpp"
#include "plan/trace.hpp"
#include "proof/live.hpp"
#include "proof/prove.hpp"
#include "rules/check.hpp"

namespace bln::capi {

std::span<const std::span<const Message>> english() noexcept {
    static const std::array rooms{rules_messages(),  live_messages(),       proof_messages(),
                                  energy_messages(), phase_test_messages(), trace_messages()};
    return rooms;
}

const Message* english(std::string_view code) noexcept {
    for (const std::span<const Message> room : english())
        for (const Message& m : room)
            if (m.code == code) return &m;
    return nullptr;
}

}  // namespace bln::capi
