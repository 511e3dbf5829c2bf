// Allocation of circuits to inputs of devices.
#include "capi/plan.hpp"

#include "capi/sized.hpp"

using namespace bln;
using namespace bln::capi;

namespace {

const plan::Plan& core(const bln_plan* p) { return required(p, "plan").core; }

// Words of choices are literals; "unknown" stands where the record has none.
const char* literal(std::string_view word) noexcept { return word.data(); }

}  // namespace

extern "C" {

bln_status bln_plan_new(const bln_view* view, const char* request, size_t n, bln_plan** out,
                        bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        auto made = std::make_unique<bln_plan>();
        made->core = plan::make_plan(required(view, "view").view, required_bytes(request, n, "request"));
        return made;
    });
}

void bln_plan_free(bln_plan* plan) BLN_NOEXCEPT { delete plan; }

bln_status bln_plan_about(const bln_plan* plan, bln_plan_info* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const plan::Plan& p = core(plan);
        hand_out(out,
                 bln_plan_info{0, p.found ? 1 : 0, p.proven ? 1 : 0, p.wishes_proven ? 1 : 0, p.site_sha256.c_str(),
                               p.request_sha256.c_str()},
                 "out");
    });
}

size_t bln_plan_count(const bln_plan* plan) BLN_NOEXCEPT { return plan == nullptr ? 0 : plan->core.rows.size(); }

bln_status bln_plan_at(const bln_plan* plan, size_t i, bln_plan_row* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const plan::PlanRow& r = item_at(core(plan).rows, i, "row");
        hand_out(
            out,
            bln_plan_row{0, r.pole, r.input, r.connector, r.new_channel ? 1 : 0, r.new_ct ? 1 : 0, r.new_point ? 1 : 0,
                         0, r.point.c_str(), r.panel.c_str(), r.circuit.c_str(), literal(r.conductor), r.device.c_str(),
                         r.channel.c_str(), literal(word_of(r.reference)), r.ct.c_str(), r.ct_type.c_str()},
            "out");
    });
}

size_t bln_plan_devices(const bln_plan* plan) BLN_NOEXCEPT { return plan == nullptr ? 0 : plan->core.devices.size(); }

bln_status bln_plan_device_at(const bln_plan* plan, size_t i, bln_plan_device* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const plan::PlanDevice& d = item_at(core(plan).devices, i, "device");
        hand_out(out,
                 bln_plan_device{0, d.added ? 1 : 0, d.inputs, d.placed, d.free, 0, d.id.c_str(), d.profile.c_str(),
                                 d.service.c_str()},
                 "out");
    });
}

size_t bln_plan_conflicts(const bln_plan* plan) BLN_NOEXCEPT {
    return plan == nullptr ? 0 : plan->core.conflicts.size();
}

bln_status bln_plan_conflict_at(const bln_plan* plan, size_t i, bln_plan_conflict* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const plan::PlanConflict& c = item_at(core(plan).conflicts, i, "constraint");
        hand_out(out, bln_plan_conflict{0, static_cast<std::int32_t>(c.kind), c.subject.c_str(), c.words.c_str()},
                 "out");
    });
}

bln_status bln_plan_text(const bln_plan* plan, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return text_of(plan::plan_text(core(plan))); });
}

bln_status bln_plan_json(const bln_plan* plan, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return text_of(plan::plan_json(core(plan), BLN_VERSION_TEXT)); });
}

bln_status bln_plan_patch(const bln_plan* plan, bln_text** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return text_of(plan::plan_patch(core(plan))); });
}

bln_status bln_plan_draft(const bln_plan* plan, bln_draft** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        auto draft = std::make_unique<bln_draft>();
        draft->model = plan::planned_record(core(plan));
        return draft;
    });
}

}  // extern "C"
