// Install sheets, schedules as CSV, and drafts that come together.
#include "plan/sheet.hpp"

#include "capi/lookup.hpp"
#include "plan/schedule.hpp"
#include "site/merge.hpp"

using namespace bln;
using namespace bln::capi;

extern "C" {

bln_status bln_plan_sheet(const bln_view* view, const char* options, size_t n, int32_t form, bln_text** out,
                          bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const View& v = *required(view, "view").view;
        const plan::SheetOptions given = plan::SheetOptions::read(v, required_bytes(options, n, "options"));
        if (form != BLN_SHEET_JSON && form != BLN_SHEET_TEXT && form != BLN_SHEET_CSV)
            throw Failure(BLN_E_NAME, "there is no form of a sheet of number " + std::to_string(form));
        const plan::Sheet sheet = plan::make_sheet(v, given);
        if (form == BLN_SHEET_JSON) return text_of(plan::sheet_json(v, sheet, BLN_VERSION_TEXT));
        return text_of(form == BLN_SHEET_TEXT ? plan::sheet_text(v, sheet) : plan::sheet_csv(v, sheet));
    });
}

bln_status bln_schedule_read_csv(const char* map, size_t map_size, const char* csv, size_t n, const bln_limits* limits,
                                 bln_draft** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const std::string_view bytes = required_bytes(csv, n, "csv");
        const plan::ScheduleMap columns =
            plan::ScheduleMap::read(map == nullptr ? "{}" : std::string_view(map, map_size));
        auto draft = std::make_unique<bln_draft>();
        draft->model = plan::read_schedule(columns, bytes, most_bytes(limits));
        return draft;
    });
}

bln_status bln_draft_merge(bln_draft* into, const bln_draft* from, int32_t mode, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        if (mode != BLN_MERGE_REFUSE && mode != BLN_MERGE_REPLACE)
            throw Failure(BLN_E_NAME, "there is no mode of merging of number " + std::to_string(mode));
        bln_draft& target = required(into, "into");
        target.model = merged(*target.model, *required(from, "from").model, mode == BLN_MERGE_REPLACE);
    });
}

}  // extern "C"
