// The table of quantities, and a set of their values. What has no value says why.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace bln {

// BLN_X(name, number, unit, scope, doc). Scope: channel, three_phase, or both. Numbers are those of the C interface.
#define BLN_QUANTITIES(X)                                                                                            \
    X(frequency, 100, "Hz", channel, "frequency of the fundamental")                                                 \
    X(v_rms, 110, "V", channel, "RMS voltage, all orders")                                                           \
    X(i_rms, 112, "A", channel, "RMS current, all orders")                                                           \
    X(v1, 114, "V", channel, "RMS voltage of the fundamental")                                                       \
    X(i1, 116, "A", channel, "RMS current of the fundamental")                                                       \
    X(v_dc, 118, "V", channel, "mean voltage, signed")                                                               \
    X(i_dc, 120, "A", channel, "mean current, signed")                                                               \
    X(angle, 122, "deg", channel, "angle of the fundamental voltage minus that of the current, -180 to 180")         \
    X(p, 130, "W", both, "active power, all orders")                                                                 \
    X(q1, 132, "var", both, "reactive power of the fundamental, lagging positive")                                   \
    X(quadrant, 134, "", both, "quadrant of P and Q1, 1 to 4, as IEC 62053-23 counts them")                          \
    X(s, 140, "VA", channel, "apparent power, V times I")                                                            \
    X(n, 142, "var", channel, "non-active power of Fryze, sqrt(S^2 - P^2)")                                          \
    X(q_budeanu, 144, "var", channel, "reactive power of Budeanu, the sum of V I sin(phi) over the orders")          \
    X(d_budeanu, 146, "VA", channel, "distortion power of Budeanu, sqrt(S^2 - P^2 - QB^2)")                          \
    X(q_quarter, 148, "var", channel, "mean of current times the voltage of a quarter cycle before")                 \
    X(pf, 150, "", channel, "power factor P/S, with the sign of P")                                                  \
    X(pf1, 152, "", channel, "displacement power factor P1/S1, with the sign of P1")                                 \
    X(s1, 160, "VA", channel, "apparent power of the fundamental")                                                   \
    X(p1, 162, "W", both, "active power of the fundamental")                                                         \
    X(ph, 164, "W", both, "active power outside the fundamental, P - P1")                                            \
    X(sn, 166, "VA", channel, "non-fundamental apparent power, sqrt(S^2 - S1^2)")                                    \
    X(di, 168, "var", channel, "current distortion power, V1 times IH")                                              \
    X(dv, 170, "var", channel, "voltage distortion power, VH times I1")                                              \
    X(sh, 172, "VA", channel, "harmonic apparent power, VH times IH")                                                \
    X(dh, 174, "var", channel, "harmonic distortion power, sqrt(SH^2 - PH^2)")                                       \
    X(thd_v, 180, "", channel, "distortion of the voltage, VH over V1")                                              \
    X(thd_i, 182, "", channel, "distortion of the current, IH over I1")                                              \
    X(s_vector, 200, "VA", three_phase, "vector apparent power, sqrt(P^2 + Q1^2) of the sums")                       \
    X(s_arithmetic, 202, "VA", three_phase, "arithmetic apparent power, the sum of V I of the phases")               \
    X(s_effective, 204, "VA", three_phase, "effective apparent power, 3 Ve Ie")                                      \
    X(v_effective, 206, "V", three_phase, "effective voltage Ve")                                                    \
    X(i_effective, 208, "A", three_phase, "effective current Ie")                                                    \
    X(pf_vector, 210, "", three_phase, "P over the vector apparent power")                                           \
    X(pf_arithmetic, 212, "", three_phase, "P over the arithmetic apparent power")                                   \
    X(pf_effective, 214, "", three_phase, "P over the effective apparent power")                                     \
    X(s1_effective, 220, "VA", three_phase, "effective apparent power of the fundamental, 3 Ve1 Ie1")                \
    X(sn_effective, 222, "VA", three_phase, "non-fundamental effective apparent power, sqrt(Se^2 - Se1^2)")          \
    X(v_ab, 230, "V", three_phase, "RMS voltage between A and B")                                                    \
    X(v_bc, 232, "V", three_phase, "RMS voltage between B and C")                                                    \
    X(v_ca, 234, "V", three_phase, "RMS voltage between C and A")                                                    \
    X(i_neutral, 236, "A", three_phase, "RMS current returning in the neutral: that of the sum of the phases")       \
    X(v_zero, 240, "V", three_phase, "zero-sequence voltage of the fundamental")                                     \
    X(v_zero_deg, 241, "deg", three_phase, "its angle")                                                              \
    X(v_positive, 242, "V", three_phase, "positive-sequence voltage of the fundamental")                             \
    X(v_positive_deg, 243, "deg", three_phase, "its angle")                                                          \
    X(v_negative, 244, "V", three_phase, "negative-sequence voltage of the fundamental")                             \
    X(v_negative_deg, 245, "deg", three_phase, "its angle")                                                          \
    X(i_zero, 246, "A", three_phase, "zero-sequence current of the fundamental")                                     \
    X(i_zero_deg, 247, "deg", three_phase, "its angle")                                                              \
    X(i_positive, 248, "A", three_phase, "positive-sequence current of the fundamental")                             \
    X(i_positive_deg, 249, "deg", three_phase, "its angle")                                                          \
    X(i_negative, 250, "A", three_phase, "negative-sequence current of the fundamental")                             \
    X(i_negative_deg, 251, "deg", three_phase, "its angle")                                                          \
    X(unbalance_v, 260, "", three_phase, "voltage unbalance, negative over positive sequence")                       \
    X(unbalance_v_zero, 262, "", three_phase, "voltage unbalance, zero over positive sequence")                      \
    X(unbalance_i, 264, "", three_phase, "current unbalance, negative over positive sequence")                       \
    X(unbalance_line, 266, "", three_phase, "greatest deviation of a line voltage from their mean, over the mean")   \
    X(unbalance_lines, 268, "", three_phase, "negative over positive sequence, from the three line voltages alone")

/// Position of each quantity in Values.
enum class Quantity : std::uint8_t {
#define BLN_X(name, number, unit, scope, doc) name,
    BLN_QUANTITIES(BLN_X)
#undef BLN_X
        count_
};
constexpr std::size_t quantity_count = static_cast<std::size_t>(Quantity::count_);

/// Why a quantity has no value. Numbers are those of the C interface.
enum class Undefined : std::uint8_t {
    no = 0,                    ///< it is defined
    not_given = 1,             ///< what it needs was not given
    no_voltage = 2,            ///< the voltage is zero
    no_current = 3,            ///< the current is zero
    no_power = 4,              ///< P and Q1 are both zero
    no_fundamental = 5,        ///< the fundamental that it is referred to is zero
    no_positive_sequence = 6,  ///< the positive sequence that it is referred to is zero
    no_triangle = 7,           ///< three such line voltages do not close to a triangle
    not_stated = 8,            ///< not of this scope: of a channel, or of three phases
};

enum class Scope : std::uint8_t { channel = 1, three_phase = 2, both = 3 };

struct QuantityInfo {
    const char* name;
    std::int32_t number;
    const char* unit;
    Scope scope;
    const char* doc;
};
const QuantityInfo& info(Quantity q) noexcept;
const QuantityInfo& quantity_at(std::size_t i) noexcept;
/// Position by number or name; quantity_count for none.
std::size_t quantity_by_number(std::int32_t number) noexcept;
std::size_t quantity_by_name(std::string_view name) noexcept;

/// Values of all quantities. A quantity without a value is 0 with a reason, never a NaN.
struct Values {
    std::array<double, quantity_count> value{};
    std::array<Undefined, quantity_count> why;

    Values() noexcept { why.fill(Undefined::not_stated); }
    void set(Quantity q, double x) noexcept {
        value[static_cast<std::size_t>(q)] = x;
        why[static_cast<std::size_t>(q)] = Undefined::no;
    }
    void refuse(Quantity q, Undefined reason) noexcept {
        value[static_cast<std::size_t>(q)] = 0;
        why[static_cast<std::size_t>(q)] = reason;
    }
    /// x over y, or the reason when y is zero.
    void ratio(Quantity q, double x, double y, Undefined reason) noexcept {
        if (y > 0) {
            set(q, x / y);
        } else {
            refuse(q, reason);
        }
    }
    [[nodiscard]] double operator[](Quantity q) const noexcept { return value[static_cast<std::size_t>(q)]; }
    [[nodiscard]] Undefined reason(Quantity q) const noexcept { return why[static_cast<std::size_t>(q)]; }
};

}  // namespace bln
