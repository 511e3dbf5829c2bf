// From a record and a request to the problem that allocate() solves.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "plan/allocation.hpp"
#include "plan/request.hpp"
#include "plan/wiring.hpp"
#include "site/error_list.hpp"
#include "site/view.hpp"

namespace bln::plan {

/// One circuit to be placed.
struct CircuitToPlace {
    std::int32_t circuit = -1;
    std::int32_t point = -1;  ///< -1: a new point
    std::vector<Element> elements;
    std::vector<std::int32_t> cts;  ///< by element: a CT that hangs there unused, or -1
};

/// Devices that serve one another's circuits: same service, same CT output, same panel where that was asked for.
struct PoolKey {
    std::int32_t service = -1;
    Output output = Output::unknown;
    std::int32_t panel = -1;
    auto operator<=>(const PoolKey&) const = default;
};

struct SiteProblem {
    AllocationProblem problem;
    std::vector<CircuitToPlace> circuits;  ///< by unit
    std::vector<PoolKey> pools;
    std::vector<std::int32_t> profiles;  ///< by ProfileChoice
    std::vector<std::int32_t> devices;   ///< by PlacedDevice
    std::vector<std::int32_t> ct_types;  ///< that may be hung
    /// Channels of a device that no point uses and no CT is wired to: (device, input) -> channel.
    std::map<std::pair<std::int32_t, int>, std::int32_t> spare_channels;
};

/// Connectors of a profile; empty where the record does not say.
[[nodiscard]] std::vector<int> groups_of(const as_of::profile& profile);

/// Throws as make_plan() does.
[[nodiscard]] SiteProblem site_problem(const View& view, const Request& request);

/// The circuits of the request, in the order in which a person walks the panels.
[[nodiscard]] std::vector<CircuitToPlace> circuits_to_place(const View& view, const Request& request,
                                                            ErrorList& errors);

}  // namespace bln::plan
