// What the functions over quantities have in common.
#pragma once

#include <string>
#include <vector>

#include "capi/sized.hpp"
#include "power/quantity.hpp"

namespace bln::capi {

/// Positions of the quantities a caller asks for.
class Wanted {
public:
    Wanted(const bln_quantity* numbers, std::size_t count) {
        at_.reserve(count);
        for (std::size_t k = 0; k < count; ++k) {
            at_.push_back(quantity_by_number((&required(numbers, "wanted"))[k]));
            if (at_.back() == quantity_count)
                throw Failure(BLN_E_NAME, "there is no quantity " + std::to_string(numbers[k]));
        }
    }
    [[nodiscard]] std::size_t size() const noexcept { return at_.size(); }
    /// Throws BLN_E_ABSENT for what has no value, where nobody looks at reasons.
    void check(const Values& from, const std::string& place) const {
        for (const std::size_t q : at_)
            if (from.why[q] != Undefined::no)
                throw Failure(BLN_E_ABSENT,
                              std::string(quantity_at(q).name) + place + " has no value: " + words(from.why[q]));
    }
    void write(const Values& from, double* values, std::uint8_t* why) const noexcept {
        for (std::size_t k = 0; k < at_.size(); ++k) {
            values[k] = from.value[at_[k]];
            if (why != nullptr) why[k] = static_cast<std::uint8_t>(from.why[at_[k]]);
        }
    }
    [[nodiscard]] static const char* words(Undefined why) noexcept;

private:
    std::vector<std::size_t> at_;
};

/// 3 or 4. Throws BLN_E_RANGE.
void require_wires(std::int32_t wires);

}  // namespace bln::capi
