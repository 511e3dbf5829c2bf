// Voltages of a phase test, from columns or CSV.
#include <cmath>

#include "plan/phase_test.hpp"
#include "site/csv.hpp"
#include "site/error_list.hpp"

namespace bln {
namespace {

constexpr std::size_t longest_name = 140;  // two ids and what joins them

const char* objection(std::string_view conductor, std::string_view reference) {
    if (conductor.empty()) return "the conductor has no name";
    if (reference.empty()) return "the reference has no name";
    if (conductor.size() > longest_name || reference.size() > longest_name) return "the name is longer than 140 bytes";
    if (conductor_of(conductor) != Conductor::none)
        return "a conductor cannot be named like a reference (A, B, C, N, G)";
    if (conductor == reference) return "a conductor measured against itself says nothing";
    return nullptr;
}

}  // namespace

std::vector<PhaseReading> phase_readings(std::span<const std::string_view> conductors,
                                         std::span<const std::string_view> references, const Column& volts) {
    std::vector<PhaseReading> out;
    ErrorList errors;
    for (std::size_t i = 0; i < conductors.size(); ++i) {
        if (const char* why = objection(conductors[i], references[i]); why != nullptr)
            errors.row(BLN_E_VALUE, why, i + 1, conductors[i]);
        if (!volts.has(i)) continue;
        const double v = volts.real(i);
        if (!std::isfinite(v))
            errors.row(BLN_E_NOT_FINITE, "volts is not a finite number", i + 1, conductors[i]);
        else if (v < 0)
            errors.row(BLN_E_VALUE, "volts: a magnitude cannot be negative", i + 1, conductors[i]);
        out.push_back({std::string(conductors[i]), std::string(references[i]), v});
    }
    errors.raise();
    return out;
}

std::vector<PhaseReading> phase_readings_csv(std::string_view text, std::uint64_t max_bytes) {
    CsvScanner csv(text, max_bytes);
    if (!csv.next()) throw Failure(ErrorItem{BLN_E_SYNTAX, "the text is empty: there is no header", {}, {}, 1, 1, 0});
    constexpr std::string_view names[] = {"conductor", "reference", "volts", "expected_volts", "note"};
    std::array<int, 5> at{-1, -1, -1, -1, -1};
    ErrorList errors;
    for (std::size_t i = 0; i < csv.size(); ++i) {
        std::size_t k = 0;
        while (k < at.size() && csv.cell(i) != names[k]) ++k;
        if (k == at.size()) {
            const bool unit = csv.cell(i) == "kilovolts" || csv.cell(i) == "millivolts";
            errors.add(csv.error(unit ? BLN_E_UNIT : BLN_E_FIELD,
                                 "there is no column \"" + std::string(csv.cell(i).substr(0, 80)) + "\"", i));
        } else if (at[k] >= 0) {
            errors.add(csv.error(BLN_E_DUPLICATE, "column " + std::string(names[k]) + " stands twice", i));
        } else {
            at[k] = static_cast<int>(i);
        }
    }
    for (std::size_t k = 0; k < 3; ++k)
        if (at[k] < 0) errors.add(csv.error(BLN_E_FIELD, "there is no column " + std::string(names[k]), csv.size()));
    errors.raise();
    const std::size_t width = csv.size();
    std::vector<PhaseReading> out;
    while (csv.next()) {
        if (csv.size() != width) {
            errors.add(csv.error(
                BLN_E_VALUE,
                "the record has " + std::to_string(csv.size()) + " cells, the header " + std::to_string(width), 0));
            continue;
        }
        const auto c = static_cast<std::size_t>(at[0]), r = static_cast<std::size_t>(at[1]),
                   v = static_cast<std::size_t>(at[2]);
        if (const char* why = objection(csv.cell(c), csv.cell(r)); why != nullptr)
            errors.add(csv.error(BLN_E_VALUE, why, c, csv.cell(c).substr(0, longest_name)));
        if (csv.cell(v).empty()) continue;
        double volts = 0;
        const bln_status status = read_real(csv.cell(v), volts);
        if (status != BLN_OK)
            errors.add(csv.error(
                status, "volts \"" + std::string(csv.cell(v).substr(0, 40)) + "\" is not a finite decimal number", v));
        else if (volts < 0)
            errors.add(csv.error(BLN_E_VALUE, "volts: a magnitude cannot be negative", v));
        else
            out.push_back({std::string(csv.cell(c)), std::string(csv.cell(r)), volts});
    }
    errors.raise();
    return out;
}

}  // namespace bln
