// Which conductors do a meter's voltage terminals stand on? Answers from voltages alone, with what they leave open.
#pragma once

#include <array>
#include <complex>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "power/supply.hpp"

namespace bln {

enum class Sequence : std::uint8_t { undetermined = 10, abc = 20, acb = 30 };

struct SequenceResult {
    Sequence sequence = Sequence::undetermined;
    double positive = 0, negative = 0;  ///< magnitudes of the symmetrical components of sequence ABC and ACB
};
/// From three phasors against one datum. Undetermined unless one component is at least twice the other: so large an
/// unbalance needs a look. BLN_E_NOT_FINITE; BLN_E_VALUE when all three are zero.
[[nodiscard]] SequenceResult phase_sequence(const std::array<std::complex<double>, 3>& volts);
/// From a capacitor on A and two equal resistors on B and C joined in a star that is not landed: the voltages across
/// the resistors. The larger stands on the phase that follows A. Undetermined when they are within a fifth of one
/// another. BLN_E_NOT_FINITE, BLN_E_RANGE (negative), BLN_E_VALUE (both zero).
[[nodiscard]] SequenceResult phase_sequence(double volts_b, double volts_c);

/// What can be the matter with the voltage terminals of a device.
// X(enumerator, number, "slug", "meaning", "the measurement that comes next")
// clang-format off
#define BLN_LANDINGS(X) \
    X(right, 10, "right", "every terminal stands on the conductor of its label", \
      "measure from each terminal to the panel conductor of the same label: about 0 V proves it") \
    X(swapped, 20, "swapped", "two phase terminals are exchanged: the sequence is reversed", \
      "measure from each terminal to the panel conductor of the same label: two of them read the voltage between phases") \
    X(rotated, 30, "rotated", "the phase terminals are moved round by one place: the sequence is kept", \
      "measure from each terminal to the panel conductor of the same label: all of them read the voltage between phases") \
    X(neutral_exchanged, 40, "neutral_exchanged", "the neutral terminal stands on a phase, and that phase's terminal on the neutral", \
      "measure from the neutral terminal to the neutral bar: 0 V where it is landed there, a phase voltage where it is not") \
    X(neutral_floating, 50, "neutral_floating", "the neutral terminal is not landed, or the neutral is open: its potential drifts with the burden", \
      "measure from the neutral terminal to the neutral bar with a low-impedance voltmeter; look at the neutral of the service, too") \
    X(lost, 60, "lost", "a phase terminal has no voltage: fuse, lead, or landed on the neutral", \
      "measure on both sides of the fuse of that terminal, to the neutral bar, with a low-impedance voltmeter") \
    X(tied, 70, "tied", "two phase terminals stand on the same conductor, or one is fed back from the other through a load", \
      "measure between the two terminals with a low-impedance voltmeter, then on both sides of their fuses") \
    X(other_service, 80, "other_service", "the voltages are those of another kind of service than the record states", \
      "read the nameplate of the transformer and measure all voltages at the service disconnect") \
    X(foreign, 90, "foreign", "the terminals take their voltages from another transformer, displaced by a multiple of 30 degrees", \
      "find the source of the terminals: it must be the one that feeds the circuits") \
    X(unexplained, 100, "unexplained", "no single mistake explains these voltages", \
      "measure again, all voltages within one minute, with one low-impedance voltmeter")
// clang-format on
#define BLN_LANDING_ENUM(name, number, slug, doc, next) name = number,
enum class Landing : std::uint8_t { BLN_LANDINGS(BLN_LANDING_ENUM) };
#undef BLN_LANDING_ENUM

struct LandingInfo {
    std::string_view slug, doc, next;
};
[[nodiscard]] const LandingInfo& info(Landing landing) noexcept;

/// Voltages of a device's terminals in volts; what was not measured is absent.
struct TerminalVoltages {
    std::array<std::optional<double>, 3> to_neutral;  ///< A-N, B-N, C-N
    std::array<std::optional<double>, 3> between;     ///< A-B, B-C, C-A
    /// Phasors of A, B, C against the device's neutral terminal, or against any one datum where it has none.
    std::optional<std::array<std::complex<double>, 3>> phasors;
};

/// One explanation that the voltages allow.
struct LandingGuess {
    Landing landing = Landing::unexplained;
    std::string terminals;  ///< such as "A=B B=A C=C N=N"; "-": on nothing
    double deviation = 0;   ///< greatest difference from what it foretells, per unit of the voltage between phases
};

/// All explanations within @p tolerance (per unit of the voltage between phases), those of fewest moved terminals
/// first. Magnitudes alone see neither sequence nor rotation, nor a neutral that floats under a balanced burden: then
/// several stand beside one another. Never empty.
/// @param volts_base magnitude of the first phase's nominal voltage in Supply's units
/// BLN_E_NOT_FINITE, BLN_E_RANGE (negative magnitude or tolerance), BLN_E_ABSENT (no measurement, or nominal voltages
/// are not known), BLN_E_VALUE (a terminal that the service does not have)
[[nodiscard]] std::vector<LandingGuess> recognise_landing(const Supply& supply, double volts_base,
                                                          const TerminalVoltages& measured, double tolerance);

/// One explanation of nine voltages between three unknown conductors and three known ones of a four-wire or three-wire
/// three-phase service.
struct CrossGuess {
    Landing landing = Landing::unexplained;
    std::string terminals;  ///< such as "A=B B=C C=A"
    int displaced = 0;      ///< degrees by which the unknown leads the known source: a multiple of 30
    bool reversed = false;  ///< the unknown source has the other sequence
    double deviation = 0;   ///< greatest difference, per unit of the voltage between phases
};
/// @p volts[t][c]: from terminal t to known conductor c. @p acb: sequence of the known source. The mirror image of
/// every answer, with both sequences exchanged and the displacement negated, gives the same voltages: magnitudes do not
/// see the sequence.
[[nodiscard]] std::vector<CrossGuess> recognise_cross(double volts_ln, bool acb,
                                                      const std::array<std::array<double, 3>, 3>& volts,
                                                      double tolerance);

}  // namespace bln
