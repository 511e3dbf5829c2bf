// Where a channel's CT may hang, and at which angle a healthy load then reads.
#pragma once

#include <array>
#include <complex>
#include <cstdint>
#include <string>
#include <vector>

#include "power/conductor.hpp"
#include "site/topology.hpp"
#include "site/view.hpp"

namespace bln::proof {

/// Nominal potentials of the conductors of a service, to neutral or to the star point; in units of the
/// voltage of a phase to neutral (three-wire delta: to the star point; high leg: of a low leg).
struct Nominal {
    std::array<std::complex<double>, conductor_count> potential{};
    std::complex<double> star;
    double unit_volts = 0;    ///< 0: not stated
    bool wye_angles = false;  ///< phases 120 degrees apart
};
[[nodiscard]] Nominal nominal_of(const as_of::service& service);

/// One place of the CT, with the offset between the angle that is read and that of the load.
struct Wiring {
    std::string words;         ///< "on phase B, reversed"
    double low = 0, high = 0;  ///< offset in degrees; high - low < 180
};

/// What is known of one channel.
struct ChannelWiring {
    bool known = false;
    const char* unknown = "";               ///< why not
    bool dead_reference = false;            ///< the reference is the grounded phase: 0 W is normal
    double reference_volts = 0;             ///< nominal; 0: not stated
    Conductor conductor = Conductor::none;  ///< where its CT belongs
    bool line_to_neutral = false;
    Load load = Load::unknown;
    std::int32_t circuit = -1;
    Wiring recorded;
    std::vector<Wiring> others;
};
[[nodiscard]] ChannelWiring wiring_of(const View& view, std::int32_t channel);

/// Terms of points that use each channel: first point, or -1.
[[nodiscard]] std::vector<std::int32_t> first_points(const View& view);

/// Whether @p angle lies in [low - margin, high + margin] on the circle.
[[nodiscard]] bool inside(double angle, double low, double high, double margin) noexcept;

}  // namespace bln::proof
