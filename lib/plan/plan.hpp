// An allocation for a record: what was asked, what goes where, and what has to be written for it.
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "plan/allocation.hpp"
#include "plan/request.hpp"
#include "site/view.hpp"

namespace bln::plan {

/// One input of one device with what goes to it.
struct PlanRow {
    std::string point, circuit, panel, device, channel, ct, ct_type;
    int pole = 0;
    std::string_view conductor;  ///< A, B or C
    int input = 0, connector = 0;
    Reference reference = Reference::unknown;
    bool new_point = false, new_channel = false, new_ct = false;
};

/// One device that serves the request.
struct PlanDevice {
    std::string id, profile, service;
    bool added = false;
    int inputs = 0, placed = 0, free = 0;  ///< free: neither used before nor placed; reserved ones included
};

struct PlanConflict {
    ConstraintKind kind = ConstraintKind::room;
    std::string subject;  ///< circuit or device, or empty
    std::string words;
};

struct Plan {
    std::shared_ptr<const View> view;
    Request request;
    bool found = false, proven = true, wishes_proven = true;
    std::vector<PlanRow> rows;  ///< in the order of the panels
    std::vector<PlanDevice> devices;
    std::vector<PlanConflict> conflicts;
    std::string site_sha256, request_sha256;
};

/// Throws what Request::read() throws; BLN_E_NO_ENTITY for an id of the request that the record does not have,
/// BLN_E_VALUE for a wish that says nothing sensible (with its place in the request), BLN_E_ABSENT where the record
/// does not say what the arrangement of a circuit follows from (with its place in the record); all that apply.
[[nodiscard]] Plan make_plan(std::shared_ptr<const View> view, std::string_view request);

/// The record with the plan in it. Throws BLN_E_STATE when nothing was found, or when a field that changes has a
/// history and the request does not say from when the plan holds.
[[nodiscard]] std::unique_ptr<Model> planned_record(const Plan& plan);
/// JSON Patch from the record to that one; begins with tests of what the plan relies on.
[[nodiscard]] std::string plan_patch(const Plan& plan);

[[nodiscard]] std::string plan_json(const Plan& plan, std::string_view library_version);
[[nodiscard]] std::string plan_text(const Plan& plan);

[[nodiscard]] std::string_view word_of(ConstraintKind kind) noexcept;

}  // namespace bln::plan
