// Limits of standards with their sources, and the resistance of conductors.
#include "capi/lookup.hpp"
#include "power/conductor_resistance.hpp"
#include "power/limits_table.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

void hand(const LimitRow& row, bln_limit* out) {
    // Literals, so NUL-terminated.
    hand_out(out,
             bln_limit{0, row.from_memory ? 1 : 0, row.low, row.high, row.key.data(), row.quantity.data(),
                       row.condition.data(), row.unit.data(), row.standard.data(), row.source.data()},
             "out");
}

}  // namespace

extern "C" {

size_t bln_limit_count(void) BLN_NOEXCEPT { return limit_rows.size(); }

bln_status bln_limit_at(size_t i, bln_limit* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] { hand(item_at(limit_rows, i, "limit"), out); });
}

bln_status bln_limit_find(const char* key, bln_limit* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const std::string_view wanted = required_text(key, "key");
        for (const LimitRow& row : limit_rows)
            if (row.key == wanted) return hand(row, out);
        throw Failure(BLN_E_NAME, "there is no limit \"" + std::string(wanted) + "\"", std::string(wanted));
    });
}

bln_status bln_copper_resistance(double mm2, double celsius, double* ohms_per_m, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        double& out = required(ohms_per_m, "ohms_per_m");
        out = copper_ohms_per_m(mm2, celsius);
    });
}

bln_status bln_gauge_area(const char* gauge, double* mm2, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        double& out = required(mm2, "mm2");
        out = gauge_mm2(required_text(gauge, "gauge"));
    });
}

}  // extern "C"
