// What the installer asks an allocation for: a JSON object, read with the place of every mistake.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "plan/allocation.hpp"
#include "site/view.hpp"

namespace bln::plan {

/// An id of the request with its place, so that errors about it can name it.
struct Named {
    std::string id;
    std::string pointer;
};

struct PinWish {
    Named circuit, device;
    std::vector<int> inputs;
};
struct Reservation {
    Named device;
    std::vector<int> inputs;
};

/// JSON keys have the names of the members.
struct Request {
    std::optional<std::vector<Named>> points;    ///< absent: with no circuits either, all without elements
    std::optional<std::vector<Named>> circuits;  ///< a point of its own for each that has none
    std::optional<std::vector<Named>> profiles;  ///< that may be added; absent: all of the record
    std::optional<std::vector<Named>> devices;   ///< that may be used; absent: all of the record
    std::optional<std::vector<Named>> ct_types;  ///< that may be hung; absent: all of the record
    std::vector<std::string> device_ids;         ///< of new devices, in order
    std::vector<PinWish> pins;                   ///< circuit -> {"device", "inputs"}
    std::vector<Reservation> reserved;           ///< device -> inputs
    AllocationRules rules;
    bool split_points = false;          ///< circuits of a point may be on several devices
    bool one_panel_per_device = false;  ///< a device serves circuits of one panel only
    bool fewest_elements = false;       ///< "elements": "fewest" instead of "per_pole"
    bool by_side = false;               ///< "walk": "by_side" instead of "by_number"
    Output output = Output::unknown;    ///< of CTs to be hung; absent: the only one that fits
    std::optional<Instant> from, recorded_at;
    std::string reason;
    std::string canonical;  ///< of the whole request (RFC 8785)

    /// Throws what parse_json() throws, and BLN_E_FIELD, BLN_E_TYPE, BLN_E_VALUE, BLN_E_RANGE.
    [[nodiscard]] static Request read(std::string_view json);
};

}  // namespace bln::plan
