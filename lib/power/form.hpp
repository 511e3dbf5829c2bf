// The metering form: what a set of metering elements registers, against what the load takes.
//
// Conductors carry currents i into the load, with sum 0 in every load. Terminals are the
// potentials v that elements can refer to: the conductors of the supply, and the floating
// commons of devices. Truth is the sum of v(k) i(k) over the conductors; element e registers
// w (a'v)(b'i). Both are bilinear, so "registered = true at every instant, for any waveform" is
// an identity of matrices over the allowed voltages and currents. That is Blondel's theorem
// (1893) as an exact test, in ratios, without tolerance; see docs/theory/form.md.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>

#include "power/matrix.hpp"
#include "power/supply.hpp"

namespace bln {

/// Terminals 0 to 4 are the conductors A, B, C, N, G; 5 to 7 are floating commons: points of unknown
/// potential that elements share.
inline constexpr std::size_t terminal_count = 8;
inline constexpr std::size_t first_floating = conductor_count;
using VoltageRow = std::array<Rational, terminal_count>;

/// Row of v(plus) - v(minus).
[[nodiscard]] VoltageRow voltage_between(std::size_t plus, std::size_t minus);
/// Row of one phase against the star point of three equal impedances on A, B, C: 2/3, -1/3, -1/3.
[[nodiscard]] VoltageRow voltage_to_star(Conductor phase);

struct LoadConductor {
    Conductor on = Conductor::none;  ///< at whose potential it stands
    std::uint32_t load = 0;          ///< number of the load it belongs to
};

struct Element {
    VoltageRow volts;
    Rational weight;
};

/// Rows: potentials of the supply against `reference`. Columns: independent currents.
/// Entry: coefficient of V(row) I*(column).
struct Residual {
    Matrix d;
    std::array<std::uint8_t, terminal_count> row_terminal{};  ///< terminal that names the row
    std::uint8_t reference = 0;                               ///< terminal against which voltages count
    Small<std::uint32_t, 8> column_conductor;                 ///< conductor that names the column
    Small<std::uint32_t, 4> eliminated;                       ///< by load: the conductor given by the others
};

class Form {
public:
    Form() = default;
    explicit Form(const Supply& supply) : supply_(supply) {}

    /// Begins a load: conductors whose currents sum to zero. Not @p counted: its currents may reach an
    /// element, but its energy is not the point's.
    std::size_t add_load(bool counted = true);
    /// Adds a conductor to the last load. Before any element. BLN_E_VALUE when the supply has none such,
    /// BLN_E_STATE without a load or after an element.
    std::size_t add_conductor(Conductor on);
    /// A new floating common; its terminal. BLN_E_RANGE when there are three already.
    std::size_t add_floating();
    /// BLN_E_VALUE when @p volts does not sum to zero or uses a terminal that is not there;
    /// BLN_E_ARGUMENT when @p amps has another size than conductors().
    void add_element(const VoltageRow& volts, std::span<const Rational> amps, const Rational& weight);

    [[nodiscard]] const Supply& supply() const noexcept { return supply_; }
    [[nodiscard]] std::span<const LoadConductor> conductors() const noexcept { return conductors_.span(); }
    [[nodiscard]] std::size_t loads() const noexcept { return counted_.size(); }
    [[nodiscard]] bool counted(std::size_t load) const noexcept { return counted_[load] != 0; }
    [[nodiscard]] std::span<const Element> elements() const noexcept { return elements_.span(); }
    [[nodiscard]] std::span<const Rational> amps(std::size_t element) const noexcept {
        return amps_.span().subspan(element * conductors_.size(), conductors_.size());
    }
    [[nodiscard]] std::size_t floating() const noexcept { return floating_; }
    [[nodiscard]] bool has_terminal(std::size_t terminal) const noexcept;

    /// Registered = true for every voltage and current that the topology allows.
    [[nodiscard]] bool exact() const;
    /// Fewest elements that can be exact: rank of the true form.
    [[nodiscard]] std::size_t fewest_elements() const;
    /// Registered minus true in reduced coordinates; the coordinates in which it has fewest terms.
    [[nodiscard]] Residual residual() const;

    /// Coordinates: a reference terminal and one dependent conductor per load.
    struct Frame {
        std::array<std::int8_t, terminal_count> row{};            ///< row of a terminal, -1: none or reference
        std::array<std::uint8_t, terminal_count> row_terminal{};  ///< terminal that names a row
        std::size_t rows = 0;
        std::uint8_t reference = 0;
        Small<std::uint32_t, 4> eliminated;
        Small<std::int32_t, 8> column;  ///< column of a conductor, -1: eliminated
        std::size_t columns = 0;
    };
    [[nodiscard]] Frame frame() const;
    [[nodiscard]] Frame frame(std::uint8_t reference, std::span<const std::uint32_t> eliminated) const;
    /// N_V' Id N_I: the true form.
    [[nodiscard]] Matrix truth(const Frame& frame) const;
    /// Adds factor N_V' a b' N_I of one element to @p to.
    void add_registered(const Frame& frame, std::size_t element, const Rational& factor, Matrix& to) const;

private:
    [[nodiscard]] std::uint8_t natural_reference() const noexcept;
    [[nodiscard]] Matrix difference(const Frame& frame) const;

    Supply supply_;
    Small<LoadConductor, 8> conductors_;
    Small<std::uint8_t, 4> counted_;
    Small<Element, 4> elements_;
    Small<Rational, 32> amps_;
    std::size_t floating_ = 0;
};

}  // namespace bln
