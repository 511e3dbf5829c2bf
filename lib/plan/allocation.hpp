// Which unit goes to which inputs of which device: provably the fewest devices, then the stated
// order of wishes, down to the placement that a person can follow with a finger along the panel.
#pragma once

#include <array>
#include <cstdint>
#include <string_view>
#include <vector>

namespace bln::plan {

/// What is placed as a whole: the channels of one circuit. Units come in the order in which a
/// person walks the panels.
struct Unit {
    std::string_view id;
    int channels = 1;  ///< 1 to 3
    int pool = 0;      ///< units of one pool may share a device (same service, same CT output)
    int block = -1;    ///< units of one block share a device (the circuits of one point); -1: its own
};

/// A kind of device that may be added.
struct ProfileChoice {
    std::string_view id;
    std::vector<int> groups;  ///< inputs of each connector; none empty
    std::vector<int> pools;   ///< pools it can serve
};

/// A device that is there already.
struct PlacedDevice {
    std::string_view id;
    std::vector<int> groups;
    int pool = 0;               ///< -1: none
    std::vector<int> used;      ///< inputs (from 1) that are taken
    std::vector<int> reserved;  ///< inputs that are to stay free
};

/// The installer's word: this unit goes here.
struct Pin {
    std::size_t unit = 0;
    std::size_t device = 0;
    std::vector<int> inputs;  ///< from 1, one per channel; none: anywhere on the device
};

/// What counts once the number of devices is least.
enum class Wish : std::uint8_t {
    fewest_inputs,  ///< the new devices have as few inputs as possible
    panel_order,    ///< the first inputs of the first device go to the first units
};

struct AllocationRules {
    bool across_groups = false;  ///< a unit may straddle connectors, where that saves a device
    int spare_per_device = 0;    ///< the last inputs of every new device that stay free
    double spare_percent = 0;    ///< share of all inputs of a pool that stays free, 0 to 100
    int most_new_devices = -1;   ///< in all; negative: any number
    std::array<Wish, 2> order{Wish::fewest_inputs, Wish::panel_order};
};

struct AllocationProblem {
    std::vector<Unit> units;
    std::vector<ProfileChoice> profiles;
    std::vector<PlacedDevice> devices;
    std::vector<Pin> pins;
    AllocationRules rules;
};

struct Placement {
    std::int32_t device = -1;  ///< position: first the devices given, then the new ones
    std::array<int, 3> inputs{};
};

struct NewDevice {
    std::size_t profile = 0;
    int pool = 0;
};

enum class ConstraintKind : std::uint8_t {
    room = 10,              ///< a unit that no profile and no device can take at all: at is the unit
    devices = 20,           ///< only the devices at hand: no profile may be added for what is left; at is a unit
    most_new_devices = 30,  ///< the limit on new devices
    spare_percent = 40,     ///< the share of inputs that stays free
    spare_per_device = 50,  ///< the last inputs of new devices that stay free
    whole_groups = 60,      ///< no unit straddles connectors
    whole_points = 70,      ///< the circuits of a point share a device
    reserved = 80,          ///< reserved inputs: at is the device
    pin = 90,               ///< at is the pin
};
struct Constraint {
    ConstraintKind kind = ConstraintKind::room;
    std::size_t at = 0;
    bool operator==(const Constraint&) const = default;
};

/// Either placements for all units, or a set of constraints that cannot be met together.
struct Allocation {
    bool found = false;
    /// The number of new devices is proven least, or the conflict proven to be one of the fewest
    /// members. False only where the search was ended by its limit of effort.
    bool proven = true;
    bool wishes_proven = true;          ///< the same of the wishes in their order
    std::vector<Placement> placements;  ///< one per unit
    std::vector<NewDevice> added;
    std::vector<Constraint> conflict;
};

/// Throws Failure(BLN_E_VALUE) for a problem that says nothing sensible: a unit of no or more
/// than three channels, an empty group, a repeated id. Impossible wishes are a result, not an error.
[[nodiscard]] Allocation allocate(const AllocationProblem& problem);

}  // namespace bln::plan
