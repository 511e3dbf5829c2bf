#include "power/quantity.hpp"

namespace bln {

namespace {
constexpr QuantityInfo rows[] = {
#define BLN_X(name, number, unit, scope, doc) {#name, number, unit, Scope::scope, doc},
    BLN_QUANTITIES(BLN_X)
#undef BLN_X
};
}  // namespace

const QuantityInfo& quantity_at(std::size_t i) noexcept { return rows[i]; }
const QuantityInfo& info(Quantity q) noexcept { return rows[static_cast<std::size_t>(q)]; }

std::size_t quantity_by_number(std::int32_t number) noexcept {
    for (std::size_t i = 0; i < quantity_count; ++i)
        if (rows[i].number == number) return i;
    return quantity_count;
}
std::size_t quantity_by_name(std::string_view name) noexcept {
    for (std::size_t i = 0; i < quantity_count; ++i)
        if (rows[i].name == name) return i;
    return quantity_count;
}

}  // namespace bln
