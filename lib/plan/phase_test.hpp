// The voltmeter phase test: on which phase does a conductor stand, from voltages between it and known references?
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "site/column.hpp"
#include "site/finding.hpp"
#include "site/policy.hpp"
#include "site/topology.hpp"

namespace bln {

/// One voltage. `reference` is A, B, C, N or G (a terminal known to stand on that conductor) or another conductor.
struct PhaseReading {
    std::string conductor, reference;
    double volts = 0;
};

/// BLN_E_NOT_FINITE, BLN_E_VALUE (negative, empty or overlong name, a conductor against itself or named as a
/// reference), all listed.
[[nodiscard]] std::vector<PhaseReading> phase_readings(std::span<const std::string_view> conductors,
                                                       std::span<const std::string_view> references,
                                                       const Column& volts);
/// Columns conductor, reference, volts; expected_volts and note are read over. A row without volts is one not measured.
/// 2xx statuses with place, and as above.
[[nodiscard]] std::vector<PhaseReading> phase_readings_csv(std::string_view csv, std::uint64_t max_bytes);

enum class PhaseVerdict : std::uint8_t { impossible = 10, ambiguous = 20, not_tested = 30, likely = 35, proven = 40 };

// X(enumerator, number, "slug", "what it is", "what comes next")
// clang-format off
#define BLN_PHASE_CAUSES(X) \
    X(none, 0, "none", "", "") \
    X(dead, 10, "dead", "about 0 V to every reference: the conductor is not energized, or a probe is off", \
      "prove the voltmeter on a known live part, look at the breaker, and measure again; zero volts does not prove a conductor dead") \
    X(zero_alone, 20, "zero_alone", "about 0 V, and nothing that shows the probe to touch: an open probe reads the same", \
      "measure to another phase reference: a live conductor reads the full voltage there") \
    X(tied, 30, "tied", "about 0 V to two references of different phases: the references are tied together, or one is fed back through a load", \
      "measure between the two references with a low-impedance voltmeter, then on both sides of their fuses") \
    X(floating, 40, "floating", "part of the voltage to every reference: an open conductor that a high-impedance voltmeter charges", \
      "measure again with a low-impedance voltmeter or a loaded tester") \
    X(displaced, 50, "displaced", "a source of the same voltage, displaced by a multiple of 30 degrees: another transformer", \
      "find the source of the conductor; it cannot be metered against these references") \
    X(third_phase, 60, "third_phase", "the phase of the wye that this service does not have", \
      "look where the conductor comes from: it is not of this service") \
    X(other_system, 70, "other_system", "a source of another nominal voltage", \
      "find the source of the conductor; it cannot be metered against these references") \
    X(contradiction, 80, "contradiction", "the readings contradict one another", \
      "measure the named voltages again, within one minute, with one low-impedance voltmeter") \
    X(unexplained, 90, "unexplained", "no conductor of the service reads so", \
      "measure again, to all references within one minute; a slow beat means a source of its own, such as a generator")
// clang-format on
#define BLN_PHASE_CAUSE_ENUM(name, number, slug, what, next) name = number,
enum class PhaseCause : std::uint8_t { BLN_PHASE_CAUSES(BLN_PHASE_CAUSE_ENUM) };
#undef BLN_PHASE_CAUSE_ENUM
struct PhaseCauseInfo {
    std::string_view slug, what, next;
};
[[nodiscard]] const PhaseCauseInfo& info(PhaseCause cause) noexcept;

struct PhaseRow {
    std::string conductor;  ///< as it was named
    std::string circuit, panel;
    int pole = 0;
    std::int64_t space = 0;
    PhaseVerdict verdict = PhaseVerdict::not_tested;
    Conductor phase = Conductor::none;  ///< of proven and likely; N: it is the neutral
    std::string candidates;             ///< conductors that the readings allow, such as "AB"
    Conductor recorded = Conductor::none;
    PhaseCause cause = PhaseCause::none;
    std::string detail;                ///< readings in conflict, or what was found: "62 V to A, 170 V to B"
    std::string next, next_reference;  ///< the measurement that comes next, and its reference where it is one
    std::uint32_t readings = 0;
    double drop_volts = 0;  ///< read to its own phase
};

enum class PanelVerdict : std::uint8_t { mixed = 10, rotated = 15, undecided = 20, not_tested = 30, as_recorded = 40 };
struct PhasePanel {
    std::string panel;
    PanelVerdict verdict = PanelVerdict::not_tested;
    std::string recorded, measured;  ///< bus from the first row on, such as "ABC"; measured "": not decided
    int offset = 0;                  ///< rows by which the pattern is moved on: 0, 1, 2
    bool reversed = false;           ///< the pattern runs the other way
    std::uint32_t tested = 0, agree = 0;
    std::string next;
    std::vector<std::size_t> outliers;  ///< rows that do not follow the measured pattern
};

struct PhaseTest {
    std::string service;
    std::vector<PhaseRow> rows;  ///< in the order in which conductors are first named
    std::vector<PhasePanel> panels;
    Report report;
};

/// @p service id, or empty where the record has one only. BLN_E_NO_ENTITY, BLN_E_ABSENT (kind or voltage of the
/// service, or no service named where there are several). Readings, however wrong, are findings.
[[nodiscard]] PhaseTest phase_test(const View& view, std::string_view service, std::span<const PhaseReading> readings,
                                   const Policy& policy);

/// For people, with cautions.
[[nodiscard]] std::string phase_test_text(const PhaseTest& test);
/// A sheet to fill in: every pole of the panel against every reference of its service, with the voltage that the record
/// foretells. BLN_E_NO_ENTITY, BLN_E_ABSENT as above.
[[nodiscard]] std::string phase_sheet_csv(const View& view, std::string_view panel);

[[nodiscard]] std::span<const Message> phase_test_messages() noexcept;
[[nodiscard]] std::span<const PolicyKey> phase_test_policy() noexcept;

}  // namespace bln
