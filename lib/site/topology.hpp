// From the record to conductors: which phases a service has, on which phase each pole of a
// circuit stands, and why that is not known where it is not.
#pragma once

#include <array>
#include <cstdint>
#include <string_view>

#include "power/conductor.hpp"
#include "power/supply.hpp"
#include "site/view.hpp"

namespace bln {

/// Why a topological fact is not known. `none`: it is known.
enum class Gap : std::uint8_t {
    none,
    panel_absent,      ///< the circuit names no panel
    panel_dangling,    ///< the panel it names does not exist
    service_absent,    ///< the panel names no service
    service_dangling,  ///< the service it names does not exist
    kind_absent,       ///< the kind of the service is not given
    poles_absent,      ///< neither spaces nor phases are given
    poles_count,       ///< more than three poles
    phases_length,     ///< `phases` and `spaces` give different numbers of poles
    space_beyond,      ///< the space is beyond the panel's last
    phase_not_served,  ///< the service has no such phase
};

/// Short slug of a gap, such as "panel-absent".
[[nodiscard]] std::string_view word_of(Gap gap) noexcept;

enum class Answer : std::uint8_t { no, yes, unknown };

/// Phase conductors of a service in the order A, B, C; none when the kind is unknown.
struct ServicePhases {
    std::array<Conductor, 3> phase{Conductor::none, Conductor::none, Conductor::none};
    std::uint8_t count = 0;

    [[nodiscard]] bool has(Conductor c) const noexcept {
        for (std::uint8_t i = 0; i < count; ++i)
            if (phase[i] == c) return true;
        return false;
    }
};
[[nodiscard]] ServicePhases service_phases(const as_of::service& service) noexcept;

/// Whether the service has a neutral conductor. False when its kind is unknown.
[[nodiscard]] bool has_neutral(const as_of::service& service) noexcept;
/// The high leg of a high-leg delta (absent: B); none for other kinds.
[[nodiscard]] Conductor high_leg(const as_of::service& service) noexcept;
/// The grounded phase of a corner-grounded delta (absent: B); none for other kinds.
[[nodiscard]] Conductor grounded_phase(const as_of::service& service) noexcept;
/// What is bonded at the service: N with G on grounded services; G with the grounded phase of a
/// corner-grounded delta, which has no N; G free on a delta without grounded conductor.
[[nodiscard]] Bonding bonding(const as_of::service& service) noexcept;

/// The service as the metering form sees it: conductors, bonds, nominal voltages.
[[nodiscard]] Supply supply_of(const as_of::service& service) noexcept;
/// Volts of one unit of its nominal voltages (nominal_voltages()): phase to neutral, of a high-leg delta a low leg to
/// neutral, of a delta phase to star point. 0 when no voltage is recorded.
[[nodiscard]] double unit_volts(const as_of::service& service) noexcept;

/// Position of a service in the view, or why there is none.
struct ServiceOf {
    std::int32_t at = -1;
    Gap gap = Gap::none;
    [[nodiscard]] bool known() const noexcept { return at >= 0; }
};
/// Service of the panel in which the circuit's breaker sits.
[[nodiscard]] ServiceOf service_of(const View& view, std::int32_t circuit) noexcept;
[[nodiscard]] ServiceOf service_of_panel(const View& view, std::int32_t panel) noexcept;

/// Phase of one pole, or why it is not known.
struct PolePhase {
    Conductor phase = Conductor::none;
    Gap gap = Gap::none;
    [[nodiscard]] bool known() const noexcept { return gap == Gap::none; }
};

/// Phase of the bus at a numbered space (from 1) of a panel, from numbering and bus pattern.
/// Two columns: row (p + 1) / 2, both sides alike, mirrored or not; one column: row p;
/// ways: every way holds one space per phase. The pattern repeats row by row.
[[nodiscard]] PolePhase space_phase(const View& view, std::int32_t panel, std::int64_t space) noexcept;

/// Poles of a circuit in order. `count` may be 0 (then `gap` says why).
struct PolePhases {
    std::array<PolePhase, 3> pole{};
    std::uint8_t count = 0;
    Gap gap = Gap::none;  ///< first reason for which anything is unknown

    [[nodiscard]] bool known() const noexcept { return gap == Gap::none; }
};
/// `phases` of the circuit where given (mains and feeders), otherwise from its spaces.
[[nodiscard]] PolePhases pole_phases(const View& view, std::int32_t circuit) noexcept;

/// Number of poles of a circuit: of its spaces, otherwise of its phases; 0 when neither is given.
[[nodiscard]] std::size_t pole_count(const as_of::circuit& circuit) noexcept;

/// Whether the circuit's neutral can carry load current: as given; where it is absent, yes for one
/// pole on a service with a neutral, no on a service without one, otherwise unknown.
[[nodiscard]] Answer neutral_of(const View& view, std::int32_t circuit) noexcept;

}  // namespace bln
