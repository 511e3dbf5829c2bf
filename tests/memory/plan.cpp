// Functions over plans that may need memory.
#include <cstdint>
#include <string>

#include "scenario.hpp"

namespace {

// Made before any request for memory is refused.
const std::string impossible_request = R"({"circuits": ["lift"], "reserved": {"D": [5]},
        "pins": {"lift": {"device": "D", "inputs": [5, 6, 7]}}})";
const std::string sheet_options = R"({"title": "All", "spare_percent": 10})";
const std::string schedule_map = R"({"delimiter": ";", "decimal": ",", "ids": {"circuit": "{Panel}-{Space}"},
        "columns": {"Panel": "panel.id", "Space": "circuit.spaces", "Amps": "circuit.breaker_amps", "Who": "circuit.name"}})";
const std::string schedule_csv = "Panel;Space;Amps;Who\r\nP;11;20,5;\"Shop; left\"\r\nP;12;16;Shop, right\r\n";

template <class T>
T sized() {
    T row{};
    row.size = sizeof row;
    return row;
}

bln_status try_new(Fixture& f, bln_error** e) {
    return made<bln_plan>(f, bln_plan_free, [&](bln_plan** out) {
        return bln_plan_new(f.view, plan_request.data(), plan_request.size(), out, e);
    });
}
bln_status try_about(Fixture& f, bln_error** e) {
    auto row = sized<bln_plan_info>();
    return bln_plan_about(f.plan, &row, e);
}
bln_status try_at(Fixture& f, bln_error** e) {
    auto row = sized<bln_plan_row>();
    return bln_plan_at(f.plan, 0, &row, e);
}
bln_status try_device_at(Fixture& f, bln_error** e) {
    auto row = sized<bln_plan_device>();
    return bln_plan_device_at(f.plan, 0, &row, e);
}
/// The conflict itself is made with every request for memory refused, too.
bln_status try_conflict_at(Fixture& f, bln_error** e) {
    bln_plan* plan = nullptr;
    bln_status status = bln_plan_new(f.view, impossible_request.data(), impossible_request.size(), &plan, e);
    if (status != BLN_OK) return status;
    auto row = sized<bln_plan_conflict>();
    status = bln_plan_conflict_at(plan, 0, &row, e);
    bln_plan_free(plan);
    return status;
}
bln_status try_text(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_plan_text(f.plan, out, e); });
}
bln_status try_json(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_plan_json(f.plan, out, e); });
}
bln_status try_patch(Fixture& f, bln_error** e) {
    return made_text(f, [&](bln_text** out) { return bln_plan_patch(f.plan, out, e); });
}
bln_status try_draft(Fixture& f, bln_error** e) {
    return made<bln_draft>(f, bln_draft_free, [&](bln_draft** out) { return bln_plan_draft(f.plan, out, e); });
}

bln_status sheet(Fixture& f, std::int32_t form, bln_error** e) {
    return made_text(f, [&](bln_text** out) {
        return bln_plan_sheet(f.view, sheet_options.data(), sheet_options.size(), form, out, e);
    });
}
bln_status try_sheet_json(Fixture& f, bln_error** e) { return sheet(f, BLN_SHEET_JSON, e); }
bln_status try_sheet_text(Fixture& f, bln_error** e) { return sheet(f, BLN_SHEET_TEXT, e); }
bln_status try_sheet_csv(Fixture& f, bln_error** e) { return sheet(f, BLN_SHEET_CSV, e); }
bln_status try_schedule(Fixture& f, bln_error** e) {
    return made<bln_draft>(f, bln_draft_free, [&](bln_draft** out) {
        return bln_schedule_read_csv(schedule_map.data(), schedule_map.size(), schedule_csv.data(), schedule_csv.size(),
                                     nullptr, out, e);
    });
}
bln_status try_merge(Fixture& f, bln_error** e) {
    bln_draft *from = nullptr, *into = nullptr;
    bln_status status = bln_draft_of(f.site, &from, e);
    if (status == BLN_OK) status = bln_draft_new(&into, e);
    if (status == BLN_OK) status = bln_draft_merge(into, from, BLN_MERGE_REFUSE, e);
    bln_draft_free(into);
    bln_draft_free(from);
    return status;
}

const Scenario rows[] = {
    {"bln_plan_new", try_new},
    {"bln_plan_about", try_about},
    {"bln_plan_at", try_at},
    {"bln_plan_device_at", try_device_at},
    {"bln_plan_conflict_at", try_conflict_at},
    {"bln_plan_text", try_text},
    {"bln_plan_json", try_json},
    {"bln_plan_patch", try_patch},
    {"bln_plan_draft", try_draft},
    {"bln_plan_sheet", try_sheet_json},
    {"bln_plan_sheet", try_sheet_text},
    {"bln_plan_sheet", try_sheet_csv},
    {"bln_schedule_read_csv", try_schedule},
    {"bln_draft_merge", try_merge},
};

}  // namespace

std::span<const Scenario> plan_scenarios() { return rows; }
