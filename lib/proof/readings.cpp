#include "proof/readings.hpp"

#include <cmath>
#include <unordered_map>

#include "site/csv.hpp"
#include "site/error_list.hpp"
#include "site/instant.hpp"
#include "site/model.hpp"

namespace bln {

std::string_view word_of(Measured m) noexcept {
    constexpr std::string_view words[] = {"volts", "amps", "watts", "vars", "volt_amps", "power_factor", "angle_deg"};
    return words[static_cast<std::size_t>(m)];
}

class ReadingsBuilder {
public:
    explicit ReadingsBuilder(PowerFactorConvention c) { out_.power_factor_ = c; }
    void add(std::string_view channel, Reading row) {
        const auto [found, fresh] =
            index_.emplace(std::string(channel), static_cast<std::uint32_t>(out_.channels_.size()));
        if (fresh) out_.channels_.emplace_back(channel);
        row.channel = found->second;
        out_.rows_.push_back(row);
    }
    Readings take() { return std::move(out_); }

private:
    Readings out_;
    std::unordered_map<std::string, std::uint32_t> index_;
};

namespace {

/// Why a number cannot be this quantity, or null.
const char* objection_to(Measured m, double v) noexcept {
    switch (m) {
        case Measured::volts:
        case Measured::amps:
        case Measured::volt_amps:
            return v < 0 ? "a magnitude cannot be negative" : nullptr;
        case Measured::power_factor:
            return std::abs(v) > 1 ? "a power factor cannot be beyond 1" : nullptr;
        default:
            return nullptr;
    }
}

double turned(double angle, AngleConvention c) noexcept {
    return std::remainder(c == AngleConvention::i_minus_v ? -angle : angle, 360.0);
}

constexpr const char* not_an_id = "the channel is not an id: 1 to 64 of A-Z a-z 0-9 . _ -";

struct Header {
    int channel = -1, at = -1;
    std::array<int, measured_count> column{-1, -1, -1, -1, -1, -1, -1};
    AngleConvention angle = AngleConvention::none;
    PowerFactorConvention power_factor = PowerFactorConvention::none;
};

/// A quantity that we know by another unit or spelling of it.
bool other_unit(std::string_view name) noexcept {
    for (const std::string_view stem :
         {"kilovolts", "millivolts", "milliamps", "kilowatts", "kilovars", "kilovolt_amps", "kw", "kvar", "kva",
          "angle_v_minus_i_rad", "angle_i_minus_v_rad"})
        if (name == stem) return true;
    return false;
}

Header read_header(const CsvScanner& csv) {
    using PF = PowerFactorConvention;
    constexpr std::pair<std::string_view, PF> factors[] = {{"power_factor_unsigned", PF::magnitude},
                                                           {"power_factor_sign_of_watts", PF::sign_of_watts},
                                                           {"power_factor_lag_positive", PF::lag_positive},
                                                           {"power_factor_lead_positive", PF::lead_positive}};
    ErrorList errors;
    Header h;
    for (std::size_t i = 0; i < csv.size(); ++i) {
        const std::string_view name = csv.cell(i);
        int* slot = nullptr;
        if (name == "channel") slot = &h.channel;
        if (name == "at") slot = &h.at;
        for (std::size_t m = 0; m < 5; ++m)
            if (name == word_of(static_cast<Measured>(m))) slot = &h.column[m];
        for (const auto& [word, convention] : factors)
            if (name == word) {
                slot = &h.column[static_cast<std::size_t>(Measured::power_factor)];
                h.power_factor = convention;
            }
        if (name == "angle_v_minus_i_deg" || name == "angle_i_minus_v_deg") {
            slot = &h.column[static_cast<std::size_t>(Measured::angle_deg)];
            h.angle = name == "angle_v_minus_i_deg" ? AngleConvention::v_minus_i : AngleConvention::i_minus_v;
        }
        if (slot != nullptr) {
            if (*slot >= 0)
                errors.add(csv.error(BLN_E_DUPLICATE, "column " + std::string(name) + " gives a quantity again", i));
            *slot = static_cast<int>(i);
        } else if (name == "angle" || name == "angle_deg") {
            errors.add(csv.error(
                BLN_E_CONVENTION,
                "column " + std::string(name) + " does not say what it is: angle_v_minus_i_deg or angle_i_minus_v_deg",
                i));
        } else if (name == "power_factor" || name == "pf") {
            errors.add(csv.error(BLN_E_CONVENTION,
                                 "column " + std::string(name) +
                                     " does not say what its sign is: power_factor_lag_positive, "
                                     "power_factor_lead_positive, power_factor_sign_of_watts or power_factor_unsigned",
                                 i));
        } else {
            errors.add(csv.error(other_unit(name) ? BLN_E_UNIT : BLN_E_FIELD,
                                 "there is no column \"" + std::string(name.substr(0, 80)) + "\"" +
                                     (other_unit(name) ? "; the same quantity is read in another unit" : ""),
                                 i));
        }
    }
    if (h.channel < 0) errors.add(csv.error(BLN_E_FIELD, "there is no column channel", csv.size()));
    errors.raise();
    return h;
}

}  // namespace

Readings readings_from_columns(std::span<const std::string_view> channels, const ReadingColumns& c) {
    using enum Measured;
    const auto given = [&](Measured m) -> const Column& { return c.column[static_cast<std::size_t>(m)]; };
    if (given(angle_deg).given() && c.angle == AngleConvention::none)
        throw Failure(BLN_E_CONVENTION, "angles come without their convention");
    if (given(power_factor).given() && c.power_factor == PowerFactorConvention::none)
        throw Failure(BLN_E_CONVENTION, "power factors come without their convention");
    (void)c.at.instants();
    ReadingsBuilder builder(c.power_factor);
    ErrorList errors;
    for (std::size_t i = 0; i < channels.size(); ++i) {
        Reading row;
        if (!valid_id(channels[i])) errors.row(BLN_E_VALUE, not_an_id, i + 1, channels[i]);
        if (c.at.given() && !c.at.has(i)) errors.row(BLN_E_VALUE, "the row has no time", i + 1, channels[i]);
        if (c.at.has(i)) row.at = c.at.integer(i);
        for (std::size_t k = 0; k < measured_count; ++k) {
            if (!c.column[k].has(i)) continue;
            const auto m = static_cast<Measured>(k);
            const double v = c.column[k].real(i);
            if (!std::isfinite(v)) {
                errors.row(BLN_E_NOT_FINITE, std::string(word_of(m)) + " is not a finite number", i + 1, channels[i]);
                continue;
            }
            if (const char* why = objection_to(m, v); why != nullptr)
                errors.row(BLN_E_VALUE, std::string(word_of(m)) + ": " + why, i + 1, channels[i]);
            if (m == power_factor && c.power_factor == PowerFactorConvention::magnitude && v < 0)
                errors.row(BLN_E_VALUE, "power_factor: a magnitude cannot be negative", i + 1, channels[i]);
            row.set(m, m == angle_deg ? turned(v, c.angle) : v);
        }
        builder.add(channels[i], row);
    }
    errors.raise();
    return builder.take();
}

Readings readings_from_csv(std::string_view text, std::uint64_t max_bytes) {
    CsvScanner csv(text, max_bytes);
    if (!csv.next()) throw Failure(ErrorItem{BLN_E_SYNTAX, "the text is empty: there is no header", {}, {}, 1, 1, 0});
    const Header h = read_header(csv);
    const std::size_t width = csv.size();
    ReadingsBuilder builder(h.power_factor);
    ErrorList errors;
    while (csv.next()) {
        if (csv.size() != width) {
            errors.add(csv.error(
                BLN_E_VALUE,
                "the record has " + std::to_string(csv.size()) + " cells, the header " + std::to_string(width), 0));
            continue;
        }
        const auto channel_at = static_cast<std::size_t>(h.channel);
        const std::string_view id = csv.cell(channel_at);
        Reading row;
        if (!valid_id(id)) errors.add(csv.error(BLN_E_VALUE, not_an_id, channel_at));
        if (h.at >= 0) {
            const auto at = static_cast<std::size_t>(h.at);
            if (const std::string_view why = read_instant(csv.cell(at), row.at); !why.empty())
                errors.add(csv.error(BLN_E_VALUE, std::string(why), at, id));
        }
        for (std::size_t k = 0; k < measured_count; ++k) {
            if (h.column[k] < 0) continue;
            const auto at = static_cast<std::size_t>(h.column[k]);
            const std::string_view cell = csv.cell(at);
            if (cell.empty()) continue;
            const auto m = static_cast<Measured>(k);
            double v = 0;
            const bln_status status = read_real(cell, v);
            const char* why = status == BLN_E_NOT_FINITE ? "not a finite number"
                              : status != BLN_OK         ? "not a decimal number"
                                                         : objection_to(m, v);
            if (why == nullptr && m == Measured::power_factor && h.power_factor == PowerFactorConvention::magnitude &&
                v < 0)
                why = "a magnitude cannot be negative";
            if (why != nullptr) {
                errors.add(csv.error(status == BLN_OK ? BLN_E_VALUE : status,
                                     std::string(word_of(m)) + " \"" + std::string(cell.substr(0, 40)) + "\": " + why,
                                     at, id));
                continue;
            }
            row.set(m, m == Measured::angle_deg ? turned(v, h.angle) : v);
        }
        builder.add(id, row);
    }
    errors.raise();
    return builder.take();
}

}  // namespace bln
