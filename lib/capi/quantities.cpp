// Quantities of spectra and phasors, the table of quantities, registers.
#include "capi/quantities.hpp"

#include <cmath>
#include <numbers>

#include "power/registers.hpp"
#include "power/three_phase.hpp"
#include "site/column.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

constexpr std::size_t most_items = 100;

/// Collects what is wrong with rows, up to a cap.
class Rows {
public:
    void add(bln_status status, std::string message) {
        if (items_.size() < most_items) items_.push_back({status, std::move(message), {}, {}});
    }
    void raise() {
        if (!items_.empty()) throw Failure(std::move(items_));
    }

private:
    std::vector<ErrorItem> items_;
};

std::string row_name(const Column& c, std::size_t i) { return std::string(c.name()) + ", item " + std::to_string(i); }

/// A number that must be there and finite; absent columns are 0.
double number(const Column& c, std::size_t i) {
    if (!c.given()) return 0;
    if (!c.has(i)) throw Failure(BLN_E_ABSENT, row_name(c, i) + " is not there");
    const double x = c.real(i);
    if (!std::isfinite(x)) throw Failure(BLN_E_NOT_FINITE, row_name(c, i) + " is not finite");
    return x;
}

std::vector<Harmonic> harmonics(const bln_spectrum* from) {
    const bln_spectrum given = take(from, "spectrum");
    if (given.values != BLN_VALUES_RMS && given.values != BLN_VALUES_PEAK)
        throw Failure(BLN_E_RANGE, "the spectrum does not say whether its values are RMS or peak");
    const Column order(given.order, "order"), v_re(given.v_re, "v_re"), v_im(given.v_im, "v_im"),
        i_re(given.i_re, "i_re"), i_im(given.i_im, "i_im");
    for (const Column* c : {&order, &v_re, &i_re})
        if (!c->given()) throw Failure(BLN_E_ARGUMENT, "column " + std::string(c->name()) + " is absent");
    std::vector<Harmonic> out(given.count);
    for (std::size_t k = 0; k < given.count; ++k) {
        const double n = number(order, k);
        if (n != std::floor(n) || n < 0 || n > 1e6)
            throw Failure(BLN_E_VALUE, row_name(order, k) + " is no whole number from 0 to 1000000");
        const double scale = given.values == BLN_VALUES_PEAK && n > 0 ? 1 / std::numbers::sqrt2 : 1;
        out[k].order = static_cast<int>(n);
        out[k].v = Phasor(number(v_re, k), number(v_im, k)) * scale;
        out[k].i = Phasor(number(i_re, k), number(i_im, k)) * scale;
    }
    return out;
}

void hand_over(const Wanted& wanted, const Values& found, double* values, std::uint8_t* why) {
    if (wanted.size() > 0) required(values, "values");
    if (why == nullptr) wanted.check(found, "");
    wanted.write(found, values, why);
}

/// A phasor of row @p i, or a line in @p bad.
Phasor phasor(const Column& a, const Column& b, bool polar, std::size_t i, Rows& bad) {
    for (const Column* c : {&a, &b}) {
        if (!c->has(i)) {
            bad.add(BLN_E_ABSENT, row_name(*c, i) + " is not there");
            return 0;
        }
        if (!std::isfinite(c->real(i))) {
            bad.add(BLN_E_NOT_FINITE, row_name(*c, i) + " is not finite");
            return 0;
        }
    }
    const double x = a.real(i), y = b.real(i);
    if (!polar) return {x, y};
    if (x < 0) {
        bad.add(BLN_E_VALUE, row_name(a, i) + " is a negative magnitude");
        return 0;
    }
    const double angle = y * std::numbers::pi / 180;
    return {x * std::cos(angle), x * std::sin(angle)};
}

}  // namespace

const char* Wanted::words(Undefined why) noexcept {
    switch (why) {
        case Undefined::no:
            return "it has one";
        case Undefined::not_given:
            return "what it needs was not given";
        case Undefined::no_voltage:
            return "the voltage is zero";
        case Undefined::no_current:
            return "the current is zero";
        case Undefined::no_power:
            return "P and Q1 are both zero";
        case Undefined::no_fundamental:
            return "the fundamental is zero";
        case Undefined::no_positive_sequence:
            return "the positive sequence is zero";
        case Undefined::no_triangle:
            return "no triangle has three such line voltages";
        case Undefined::not_stated:
            break;
    }
    return "it is not a quantity of this";
}

void bln::capi::require_wires(std::int32_t wires) {
    if (wires != 3 && wires != 4) throw Failure(BLN_E_RANGE, "wires is 3 or 4, not " + std::to_string(wires));
}

extern "C" {

size_t bln_quantity_count(void) BLN_NOEXCEPT { return quantity_count; }
bln_status bln_quantity_at(size_t i, bln_quantity_info* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        if (i >= quantity_count)
            throw Failure(BLN_E_RANGE,
                          "quantity " + std::to_string(i) + ": there are " + std::to_string(quantity_count));
        const QuantityInfo& row = quantity_at(i);
        hand_out(out, {0, row.number, row.name, row.unit, row.doc, static_cast<std::int32_t>(row.scope), 0}, "out");
    });
}

bln_status bln_quantities_of_spectrum(const bln_spectrum* spectrum, const bln_quantity* wanted, size_t count,
                                      double* values, uint8_t* why, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Wanted list(wanted, count);
        const std::vector<Harmonic> orders = harmonics(spectrum);
        hand_over(list, channel_quantities(sums_of(orders)), values, why);
    });
}

bln_status bln_quantities_of_three_spectra(const bln_spectrum* phases, int32_t wires, const bln_quantity* wanted,
                                           size_t count, double* values, uint8_t* why, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Wanted list(wanted, count);
        require_wires(wires);
        required(phases, "phases");
        std::array<std::vector<Harmonic>, 3> orders;
        ThreePhaseSums sums;
        sums.wires = static_cast<Wires>(wires);
        // Structs of an array stand as far apart as their caller's size says.
        const char* at = reinterpret_cast<const char*>(phases);
        for (std::size_t x = 0; x < 3; ++x) {
            orders[x] = harmonics(reinterpret_cast<const bln_spectrum*>(at + x * phases->size));
            sums.phase[x] = sums_of(orders[x]);
        }
        complete(sums);
        hand_over(list, three_phase_quantities(sums), values, why);
    });
}

bln_status bln_quantities_of_phasors(const bln_phasor_columns* columns, size_t rows, int32_t phases, int32_t wires,
                                     const bln_quantity* wanted, size_t count, double* values, uint8_t* why,
                                     bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Wanted list(wanted, count);
        const bln_phasor_columns given = take(columns, "columns");
        if (given.form != BLN_PHASORS_RECTANGULAR && given.form != BLN_PHASORS_POLAR)
            throw Failure(BLN_E_CONVENTION, "the columns do not say how their phasors are written");
        if (phases != 1 && phases != 3) throw Failure(BLN_E_RANGE, "phases is 1 or 3, not " + std::to_string(phases));
        if (phases == 3) require_wires(wires);
        if (phases == 1 && wires != 0) throw Failure(BLN_E_RANGE, "one phase has no number of wires: pass 0");
        if (rows > 0 && list.size() > 0) required(values, "values");
        const bool polar = given.form == BLN_PHASORS_POLAR;
        const auto n = static_cast<std::size_t>(phases);
        static constexpr const char* const names[2][6] = {{"v[0]", "v[1]", "v[2]", "v[3]", "v[4]", "v[5]"},
                                                          {"i[0]", "i[1]", "i[2]", "i[3]", "i[4]", "i[5]"}};
        std::array<Column, 6> v, i;
        for (std::size_t c = 0; c < 6; ++c) {
            v[c] = Column(given.v[c], names[0][c]);
            i[c] = Column(given.i[c], names[1][c]);
            for (const Column* one : {&v[c], &i[c]})
                if (one->given() != (c < 2 * n))
                    throw Failure(BLN_E_ARGUMENT, "column " + std::string(one->name()) +
                                                      (one->given() ? " belongs to no phase" : " is absent"));
        }
        Rows bad;
        const auto of_row = [&](std::size_t row) {
            std::array<Harmonic, 3> one;
            ThreePhaseSums sums;
            for (std::size_t x = 0; x < n; ++x) {
                one[x] = {1, phasor(v[2 * x], v[2 * x + 1], polar, row, bad),
                          phasor(i[2 * x], i[2 * x + 1], polar, row, bad)};
                sums.phase[x] = sums_of({&one[x], 1});
            }
            if (n == 1) return channel_quantities(sums.phase[0]);
            sums.wires = static_cast<Wires>(wires);
            complete(sums);
            return three_phase_quantities(sums);
        };
        // Once to know that all is well, once to write: nothing is kept for a row.
        for (std::size_t row = 0; row < rows; ++row) {
            const Values found = of_row(row);
            if (why == nullptr) list.check(found, " of row " + std::to_string(row));
        }
        bad.raise();
        for (std::size_t row = 0; row < rows; ++row)
            list.write(of_row(row), values + row * count, why == nullptr ? nullptr : why + row * count);
    });
}

bln_status bln_unbalance_of_lines(double v_ab, double v_bc, double v_ca, double* deviation, double* sequence,
                                  bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        for (const double v : {v_ab, v_bc, v_ca}) {
            if (!std::isfinite(v)) throw Failure(BLN_E_NOT_FINITE, "a line voltage is not finite");
            if (v < 0) throw Failure(BLN_E_VALUE, "a line voltage is negative");
        }
        if (v_ab + v_bc + v_ca <= 0) throw Failure(BLN_E_ABSENT, "the line voltages are zero");
        const double ratio = line_sequence_ratio(v_ab, v_bc, v_ca);
        if (sequence != nullptr && ratio < 0) throw Failure(BLN_E_ABSENT, "no triangle has three such line voltages");
        if (deviation != nullptr) *deviation = line_deviation(v_ab, v_bc, v_ca);
        if (sequence != nullptr) *sequence = ratio;
    });
}

bln_status bln_import_export(const bln_column* watts, size_t elements, size_t rows, double hours, int32_t policy,
                             int32_t* right, double* import_wh, double* export_wh, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        required(import_wh, "import_wh");
        required(export_wh, "export_wh");
        if (policy != BLN_REGISTER_NET_THEN_SPLIT && policy != BLN_REGISTER_CLAMP_EACH &&
            policy != BLN_REGISTER_ABSOLUTE)
            throw Failure(BLN_E_NAME, "there is no register policy " + std::to_string(policy));
        if (!std::isfinite(hours) || hours <= 0) throw Failure(BLN_E_RANGE, "the duration of a row is not above 0");
        std::vector<Column> columns;
        for (std::size_t e = 0; e < elements; ++e) {
            columns.emplace_back((&required(watts, "watts"))[e], "watts");
            if (!columns.back().given())
                throw Failure(BLN_E_ARGUMENT, "the column of element " + std::to_string(e) + " is absent");
        }
        Registers registers{static_cast<RegisterPolicy>(policy)};
        for (std::size_t row = 0; row < rows; ++row) {
            registers.begin();
            for (std::size_t e = 0; e < elements; ++e) {
                const Column& c = columns[e];
                const bool there = c.has(row);
                if (!there || !std::isfinite(c.real(row)))
                    throw Failure(there ? BLN_E_NOT_FINITE : BLN_E_ABSENT,
                                  "element " + std::to_string(e) + ", row " + std::to_string(row) +
                                      (there ? " is not finite" : " is not there"));
                registers.element(c.real(row));
            }
            registers.end(hours);
        }
        if (!std::isfinite(registers.import_wh()) || !std::isfinite(registers.export_wh()))
            throw Failure(BLN_E_OVERFLOW, "the energy is beyond a double");
        if (right != nullptr) *right = policy == BLN_REGISTER_NET_THEN_SPLIT ? 1 : 0;
        *import_wh = registers.import_wh();
        *export_wh = registers.export_wh();
    });
}

}  // extern "C"
