// Readings before and during the steps of a plan, from columns or CSV.
#include <cmath>

#include "plan/trace.hpp"
#include "site/csv.hpp"
#include "site/error_list.hpp"
#include "site/model.hpp"

namespace bln {
namespace {

constexpr const char* not_an_id = "the channel is not an id: 1 to 64 of A-Z a-z 0-9 . _ -";

std::string step_objection(double step, std::uint32_t steps) {
    if (step >= 1 && step <= steps && step == std::floor(step)) return {};
    return "step: the plan has steps 1 to " + std::to_string(steps);
}

}  // namespace

std::vector<TraceReading> trace_readings(std::span<const std::string_view> channels, const Column& step,
                                         const Column& before, const Column& off, const Column& noise,
                                         std::uint32_t steps) {
    std::vector<TraceReading> out;
    ErrorList errors;
    for (std::size_t i = 0; i < channels.size(); ++i) {
        if (!valid_id(channels[i])) errors.row(BLN_E_VALUE, not_an_id, i + 1, channels[i]);
        if (!step.has(i)) {
            errors.row(BLN_E_VALUE, "the row names no step", i + 1, channels[i]);
            continue;
        }
        if (!before.has(i) || !off.has(i)) continue;
        TraceReading r;
        const double s = step.real(i);
        if (const std::string why = step_objection(s, steps); !why.empty()) {
            errors.row(BLN_E_VALUE, why, i + 1, channels[i]);
            continue;
        }
        r.channel = channels[i];
        r.step = static_cast<std::uint32_t>(s);
        const auto take = [&](const Column& from, double& to) {
            if (!from.has(i)) return;
            to = from.real(i);
            if (!std::isfinite(to))
                errors.row(BLN_E_NOT_FINITE, std::string(from.name()) + " is not a finite number", i + 1, channels[i]);
            else if (to < 0)
                errors.row(BLN_E_VALUE, std::string(from.name()) + ": a magnitude cannot be negative", i + 1,
                           channels[i]);
        };
        take(before, r.before);
        take(off, r.off);
        take(noise, r.noise);
        out.push_back(std::move(r));
    }
    errors.raise();
    return out;
}

std::vector<TraceReading> trace_readings_csv(std::string_view text, std::uint64_t max_bytes, std::uint32_t steps) {
    CsvScanner csv(text, max_bytes);
    if (!csv.next()) throw Failure(ErrorItem{BLN_E_SYNTAX, "the text is empty: there is no header", {}, {}, 1, 1, 0});
    constexpr std::string_view names[] = {"channel", "step", "before_amps", "off_amps", "noise_amps", "note"};
    std::array<int, 6> at{-1, -1, -1, -1, -1, -1};
    ErrorList errors;
    for (std::size_t i = 0; i < csv.size(); ++i) {
        std::size_t k = 0;
        while (k < at.size() && csv.cell(i) != names[k]) ++k;
        if (k == at.size()) {
            const bool unit = csv.cell(i) == "before_watts" || csv.cell(i) == "off_watts" ||
                              csv.cell(i) == "before_milliamps" || csv.cell(i) == "off_milliamps";
            errors.add(csv.error(unit ? BLN_E_UNIT : BLN_E_FIELD,
                                 "there is no column \"" + std::string(csv.cell(i).substr(0, 80)) + "\"", i));
        } else if (at[k] >= 0) {
            errors.add(csv.error(BLN_E_DUPLICATE, "column " + std::string(names[k]) + " stands twice", i));
        } else {
            at[k] = static_cast<int>(i);
        }
    }
    for (std::size_t k = 0; k < 4; ++k)
        if (at[k] < 0) errors.add(csv.error(BLN_E_FIELD, "there is no column " + std::string(names[k]), csv.size()));
    errors.raise();
    const std::size_t width = csv.size();
    std::vector<TraceReading> out;
    while (csv.next()) {
        if (csv.size() != width) {
            errors.add(csv.error(
                BLN_E_VALUE,
                "the record has " + std::to_string(csv.size()) + " cells, the header " + std::to_string(width), 0));
            continue;
        }
        TraceReading r;
        const auto cell = [&](std::size_t k) { return static_cast<std::size_t>(at[k]); };
        r.channel = csv.cell(cell(0));
        if (!valid_id(r.channel)) errors.add(csv.error(BLN_E_VALUE, not_an_id, cell(0)));
        double values[4] = {0, 0, 0, 0};
        bool read = true;
        for (std::size_t k = 1; k < 5; ++k) {
            if (at[k] < 0) continue;
            const std::string_view word = csv.cell(cell(k));
            if (word.empty() && k > 1) {
                read = read && k == 4;
                continue;
            }
            const bln_status status = read_real(word, values[k - 1]);
            if (status != BLN_OK)
                errors.add(csv.error(status,
                                     std::string(names[k]) + " \"" + std::string(word.substr(0, 40)) +
                                         "\" is not a finite decimal number",
                                     cell(k)));
            else if (values[k - 1] < 0)
                errors.add(csv.error(BLN_E_VALUE, std::string(names[k]) + ": a magnitude cannot be negative", cell(k)));
        }
        if (const std::string why = step_objection(values[0], steps); !why.empty()) {
            errors.add(csv.error(BLN_E_VALUE, why, cell(1)));
            continue;
        }
        if (!read) continue;
        r.step = static_cast<std::uint32_t>(values[0]);
        r.before = values[1];
        r.off = values[2];
        r.noise = values[3];
        out.push_back(std::move(r));
    }
    errors.raise();
    return out;
}

}  // namespace bln
