// All wirings of a point that may be meant by the same record, and which of them no reading can tell apart.
//
// A hypothesis is one placement for each element and one map of the device's voltage leads. It is kept as one
// number: map + maps * (placement of element 0 + placements of element 0 * (placement of element 1 + ...)). What an
// element reads depends on its own placement and on the map alone, so all numbers stand in tables by (map, element,
// placement), contiguous, and hypotheses only point into them.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "power/fault.hpp"
#include "power/form.hpp"
#include "power/weber.hpp"

namespace bln {

/// Where the CT of one element hangs.
struct Placement {
    static constexpr std::int8_t none = -1, recorded = -2;
    std::int8_t on = recorded;  ///< conductor; `recorded`: its whole row as recorded; `none`: dead
    std::int8_t also = none;    ///< second conductor in the window
    std::int8_t sign = 1;       ///< against the record
    std::int8_t also_sign = 1;  ///< sense of the second conductor against the first
    std::uint8_t ratio = 0;     ///< position in the options' list of ratios
};

struct HypothesisOptions {
    bool reversed = true;                       ///< either direction
    bool neutral = false;                       ///< CTs round neutral or ground as well
    bool two_conductors = false;                ///< windows with two conductors
    bool dead = false;                          ///< elements without current
    bool each_once = false;                     ///< no two CTs round the same conductor
    bool lead_orders = false;                   ///< the three phase leads of the device in any order
    bool lead_missing = false;                  ///< one phase lead without voltage
    bool common_floating = false;               ///< the N lead landed on nothing
    std::vector<Rational> ratios{Rational(1)};  ///< true over configured ratio
};

/// What is looked at.
enum class Sees : std::uint8_t {
    each,   ///< P and Q of every element
    total,  ///< P and Q of the weighted sum
    shape,  ///< P and Q of every element, the load's size and angle being unknown; with Over::balanced alone
};
/// Over which states of the supply and load.
enum class Over : std::uint8_t {
    any,       ///< every voltage and current that the topology allows
    nominal,   ///< nominal voltages of the fundamental, every current
    balanced,  ///< nominal voltages, a load of equal impedances of any angle
};
struct Classes {
    std::vector<std::uint32_t> of;  ///< class of each hypothesis, numbered in order of first appearance
    std::uint32_t count = 0;
};

class Hypotheses {
public:
    static constexpr std::uint64_t most = std::uint64_t{1} << 20;

    /// BLN_E_VALUE (no ratio, one not above 0, or the service lacks a lead that an option speaks of), BLN_E_SIZE (more
    /// than `most`).
    Hypotheses(const Form& form, const HypothesisOptions& options);

    [[nodiscard]] std::size_t size() const noexcept { return codes_.size(); }
    [[nodiscard]] const Form& form() const noexcept { return form_; }
    [[nodiscard]] std::size_t elements() const noexcept { return first_.size() - 1; }
    /// Ratios that placements point into.
    [[nodiscard]] std::span<const Rational> ratios() const noexcept { return options_.ratios; }
    [[nodiscard]] std::span<const std::uint32_t> codes() const noexcept { return codes_; }
    /// Position of the hypothesis that all is as recorded.
    [[nodiscard]] std::size_t recorded() const noexcept { return 0; }

    [[nodiscard]] std::size_t map_of(std::size_t h) const noexcept { return codes_[h] % maps_.size(); }
    [[nodiscard]] std::size_t position_of(std::size_t h, std::size_t e) const noexcept;
    [[nodiscard]] std::span<const Placement> placements(std::size_t e) const noexcept {
        return std::span(placements_).subspan(first_[e], first_[e + 1] - first_[e]);
    }
    [[nodiscard]] const Placement& placement_of(std::size_t h, std::size_t e) const noexcept {
        return placements_[first_[e] + position_of(h, e)];
    }
    /// Voltages that multiply the conjugate currents, by conductor: element e, without its weight, reads
    /// sum over k of z(k) I(k)*. In units of the first phase's nominal voltage; empty when a voltage is not known.
    [[nodiscard]] std::span<const Complex> reads(std::size_t h, std::size_t e) const noexcept;
    /// The form of a hypothesis.
    [[nodiscard]] Form form_of(std::size_t h) const;
    /// "as recorded"; "element 2 on C, reversed; voltage leads A and B exchanged".
    [[nodiscard]] std::string words(std::size_t h) const;

    /// BLN_E_ABSENT when nominal voltages that matter are not known; BLN_E_VALUE for `shape` over anything but
    /// `balanced`.
    [[nodiscard]] Classes classes(Sees sees, Over over) const;

private:
    [[nodiscard]] std::vector<Rational> amps_of(std::size_t e, const Placement& p) const;
    void place(std::size_t e);
    void list_maps();
    void enumerate();
    void tabulate();
    [[nodiscard]] std::size_t row(std::size_t map, std::size_t e, std::size_t p) const noexcept {
        return map * placements_.size() + first_[e] + p;
    }

    Form form_;  ///< as recorded, with room for a floating common
    HypothesisOptions options_;
    std::vector<Placement> placements_;
    std::vector<std::size_t> first_;  ///< by element; the end at last
    std::vector<std::vector<Fault>> maps_;
    std::vector<Form> mapped_;
    std::vector<std::uint32_t> codes_;
    std::vector<Complex> reads_;  ///< by (map, element, placement), conductors contiguous
    std::vector<char> readable_;  ///< by (map, element, placement)
};

}  // namespace bln
