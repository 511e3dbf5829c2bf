#include "site/policy.hpp"

#include <cmath>
#include <string>

#include "power/failure.hpp"

namespace bln {

Policy::Policy(std::span<const PolicyKey> table) : table_(table) {
    values_.reserve(table.size());
    for (const PolicyKey& k : table) values_.push_back(k.initial);
}

int Policy::find(std::string_view key) const noexcept {
    for (std::size_t i = 0; i < table_.size(); ++i)
        if (table_[i].key == key) return static_cast<int>(i);
    return -1;
}

void Policy::set(std::string_view key, double value) {
    const int i = find(key);
    if (i < 0) throw Failure(BLN_E_NAME, "there is no policy key \"" + std::string(key) + "\"", std::string(key));
    const PolicyKey& row = table_[static_cast<std::size_t>(i)];
    if (!std::isfinite(value))
        throw Failure(BLN_E_NOT_FINITE, std::string(key) + " is not a finite number", std::string(key));
    if (value < row.low || value > row.high)
        throw Failure(BLN_E_VALUE,
                      std::string(key) + " = " + std::to_string(value) + " is outside " + std::to_string(row.low) +
                          " to " + std::to_string(row.high),
                      std::string(key));
    values_[static_cast<std::size_t>(i)] = value;
}

double Policy::get(std::string_view key) const {
    const int i = find(key);
    if (i < 0) throw Failure(BLN_E_NAME, "there is no policy key \"" + std::string(key) + "\"", std::string(key));
    return values_[static_cast<std::size_t>(i)];
}

}  // namespace bln
