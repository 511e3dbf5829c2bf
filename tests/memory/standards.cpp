// Functions over limits and over checking while editing that may need memory.
#include "scenario.hpp"

namespace {

bln_status try_limit_at(Fixture&, bln_error** e) {
    bln_limit out{};
    out.size = sizeof out;
    return bln_limit_at(0, &out, e);
}

bln_status try_limit_find(Fixture&, bln_error** e) {
    bln_limit out{};
    out.size = sizeof out;
    return bln_limit_find("iec-60038/230-400/ln", &out, e);
}

bln_status try_copper(Fixture&, bln_error** e) {
    double out = 0;
    return bln_copper_resistance(2.5, 20, &out, e);
}

bln_status try_gauge(Fixture&, bln_error** e) {
    double out = 0;
    return bln_gauge_area("12", &out, e);
}

bln_status try_recheck_new(Fixture& f, bln_error** e) {
    return made<bln_recheck>(f, bln_recheck_free, [&](auto out) {
        return bln_recheck_new(f.draft, BLN_END_OF_TIME, BLN_END_OF_TIME, nullptr, nullptr, nullptr, out, e);
    });
}

bln_status try_recheck_update(Fixture& f, bln_error** e) {
    bln_report *appeared = nullptr, *gone = nullptr, *changed = nullptr;
    const bln_status status = bln_recheck_update(f.recheck, f.draft, nullptr, nullptr, &appeared, &gone, &changed, e);
    const bool all = appeared != nullptr && gone != nullptr && changed != nullptr;
    const bool none = appeared == nullptr && gone == nullptr && changed == nullptr;
    f.outputs_right = f.outputs_right && (status == BLN_OK ? all : none);
    bln_report_free(appeared);
    bln_report_free(gone);
    bln_report_free(changed);
    return status;
}

bln_status try_recheck_report(Fixture& f, bln_error** e) {
    return made<bln_report>(f, bln_report_free, [&](auto out) { return bln_recheck_report(f.recheck, out, e); });
}

bln_status try_compare(Fixture& f, bln_error** e) {
    bln_report *appeared = nullptr, *gone = nullptr, *changed = nullptr;
    const bln_status status = bln_report_compare(f.report, f.report, &appeared, &gone, &changed, e);
    const bool all = appeared != nullptr && gone != nullptr && changed != nullptr;
    f.outputs_right = f.outputs_right && (status == BLN_OK) == all;
    bln_report_free(appeared);
    bln_report_free(gone);
    bln_report_free(changed);
    return status;
}

const Scenario rows[] = {
    {"bln_limit_at", try_limit_at},
    {"bln_limit_find", try_limit_find},
    {"bln_copper_resistance", try_copper},
    {"bln_gauge_area", try_gauge},
    {"bln_recheck_new", try_recheck_new},
    {"bln_recheck_update", try_recheck_update},
    {"bln_recheck_report", try_recheck_report},
    {"bln_report_compare", try_compare},
};

}  // namespace

std::span<const Scenario> standard_scenarios() { return rows; }
