// Limits that the user may set: one table per domain, one object that holds the values.
#pragma once

#include <span>
#include <string_view>
#include <vector>

namespace bln {

/// One key of a domain. Each room keeps its own table (for example rules/policy.cpp).
struct PolicyKey {
    std::string_view key;
    std::string_view unit;
    std::string_view doc;
    std::string_view source;
    double initial;
    double low, high;
};

/// Values for the keys of one table, in the order of the table.
class Policy {
public:
    explicit Policy(std::span<const PolicyKey> table);
    [[nodiscard]] std::span<const PolicyKey> table() const noexcept { return table_; }
    /// Value by position in the table: rooms keep an enum beside their table.
    [[nodiscard]] double operator[](std::size_t i) const noexcept { return values_[i]; }
    /// Position of a key, or -1.
    [[nodiscard]] int find(std::string_view key) const noexcept;
    /// Throws BLN_E_NAME, BLN_E_NOT_FINITE, BLN_E_VALUE.
    void set(std::string_view key, double value);
    [[nodiscard]] double get(std::string_view key) const;

private:
    std::span<const PolicyKey> table_;
    std::vector<double> values_;
};

}  // namespace bln
