// A check that follows the edits of a draft, and the comparison of two reports.
#include "rules/recheck.hpp"

#include <array>
#include <memory>
#include <utility>

#include "capi/handles.hpp"
#include "rules/check.hpp"

using namespace bln;
using namespace bln::capi;

struct bln_recheck {
    bln_recheck(std::shared_ptr<const Model> model, Instant valid, Instant known, Policy policy,
                const Progress& progress)
        : check(std::move(model), valid, known, std::move(policy), progress) {}
    Recheck check;
};

namespace {

/// The three reports, made before anything happens: what was found must not be lost for want of memory.
class Three {
public:
    Three(bln_report** appeared, bln_report** gone, bln_report** changed) : to_{appeared, gone, changed} {
        for (bln_report** const to : to_)
            if (to != nullptr) *to = nullptr;
        for (std::unique_ptr<bln_report>& r : made_) r = std::make_unique<bln_report>();
    }
    void hand_out(FindingChanges&& changes) noexcept {
        made_[0]->report.findings = std::move(changes.appeared);
        made_[1]->report.findings = std::move(changes.gone);
        made_[2]->report.findings = std::move(changes.changed);
        for (std::size_t i = 0; i < made_.size(); ++i) {
            made_[i]->report.sort();
            if (to_[i] != nullptr) *to_[i] = made_[i].release();
        }
    }

private:
    std::array<bln_report**, 3> to_;
    std::array<std::unique_ptr<bln_report>, 3> made_;
};

}  // namespace

extern "C" {

bln_status bln_recheck_new(const bln_draft* draft, bln_instant valid, bln_instant known, const bln_policy* policy,
                           bln_progress progress, void* user, bln_recheck** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const bln_draft& d = required(draft, "draft");
        if (policy != nullptr && policy->domain != BLN_POLICY_CHECK)
            throw Failure(BLN_E_ARGUMENT, "the policy belongs to another domain than BLN_POLICY_CHECK");
        return std::make_unique<bln_recheck>(d.model, valid, known,
                                             policy == nullptr ? Policy(rules_policy()) : policy->values,
                                             Progress(progress, user));
    });
}

bln_status bln_recheck_update(bln_recheck* recheck, const bln_draft* draft, bln_progress progress, void* user,
                              bln_report** appeared, bln_report** gone, bln_report** changed,
                              bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        Three reports(appeared, gone, changed);
        Recheck& check = required(recheck, "recheck").check;
        FindingChanges changes;
        (void)check.update(required(draft, "draft").model, changes, Progress(progress, user));
        reports.hand_out(std::move(changes));
    });
}

bln_status bln_recheck_report(const bln_recheck* recheck, bln_report** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        auto made = std::make_unique<bln_report>();
        made->report = required(recheck, "recheck").check.report();
        return made;
    });
}

uint64_t bln_recheck_reached(const bln_recheck* recheck) BLN_NOEXCEPT {
    return recheck == nullptr ? 0 : recheck->check.last_reached();
}

void bln_recheck_free(bln_recheck* recheck) BLN_NOEXCEPT { delete recheck; }

bln_status bln_report_compare(const bln_report* before, const bln_report* after, bln_report** appeared,
                              bln_report** gone, bln_report** changed, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        Three reports(appeared, gone, changed);
        const auto& old = required(before, "before").report.findings;
        reports.hand_out(compare(old, required(after, "after").report.findings));
    });
}

}  // extern "C"
