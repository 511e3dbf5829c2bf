// Live readings of channels, as they came: one row for each channel and instant.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "site/column.hpp"
#include "site/value.hpp"

namespace bln {

enum class Measured : std::uint8_t { volts, amps, watts, vars, volt_amps, power_factor, angle_deg };
inline constexpr std::size_t measured_count = 7;
[[nodiscard]] std::string_view word_of(Measured m) noexcept;

enum class AngleConvention : std::int32_t { none = 0, v_minus_i = 10, i_minus_v = 20 };
enum class PowerFactorConvention : std::int32_t {
    none = 0,
    magnitude = 10,
    sign_of_watts = 20,
    lag_positive = 30,
    lead_positive = 40
};

struct Reading {
    std::uint32_t channel = 0;  ///< position in Readings::channels()
    std::uint8_t given = 0;     ///< bit m: Measured m is there
    Instant at = 0;
    std::array<double, measured_count> value{};  ///< the angle is that of the voltage minus that of the current

    [[nodiscard]] bool has(Measured m) const noexcept { return (given >> static_cast<unsigned>(m) & 1U) != 0; }
    [[nodiscard]] std::optional<double> of(Measured m) const noexcept {
        return has(m) ? std::optional<double>(value[static_cast<std::size_t>(m)]) : std::nullopt;
    }
    void set(Measured m, double v) noexcept {
        value[static_cast<std::size_t>(m)] = v;
        given = static_cast<std::uint8_t>(given | 1U << static_cast<unsigned>(m));
    }
};

class Readings {
public:
    [[nodiscard]] std::span<const std::string> channels() const noexcept { return channels_; }
    [[nodiscard]] std::span<const Reading> rows() const noexcept { return rows_; }
    [[nodiscard]] PowerFactorConvention power_factor() const noexcept { return power_factor_; }

private:
    friend class ReadingsBuilder;
    std::vector<std::string> channels_;
    std::vector<Reading> rows_;
    PowerFactorConvention power_factor_ = PowerFactorConvention::none;
};

struct ReadingColumns {
    AngleConvention angle = AngleConvention::none;
    PowerFactorConvention power_factor = PowerFactorConvention::none;
    Column at;
    std::array<Column, measured_count> column;
};

/// Throws BLN_E_CONVENTION, BLN_E_TYPE, BLN_E_NOT_FINITE, BLN_E_VALUE.
[[nodiscard]] Readings readings_from_columns(std::span<const std::string_view> channels, const ReadingColumns& columns);
/// Throws what CsvScanner throws, BLN_E_CONVENTION, BLN_E_FIELD, BLN_E_UNIT, BLN_E_DUPLICATE, BLN_E_NOT_FINITE,
/// BLN_E_VALUE.
[[nodiscard]] Readings readings_from_csv(std::string_view csv, std::uint64_t max_bytes);

}  // namespace bln
