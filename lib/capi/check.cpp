// Rules over the record.
#include "rules/check.hpp"

#include "capi/handles.hpp"

using namespace bln;
using namespace bln::capi;

extern "C" {

bln_status bln_check(const bln_view* view, const bln_policy* policy, bln_progress progress, void* user,
                     bln_report** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] {
        const View& v = *required(view, "view").view;
        if (policy != nullptr && policy->domain != BLN_POLICY_CHECK)
            throw Failure(BLN_E_ARGUMENT, "the policy belongs to another domain than BLN_POLICY_CHECK");
        auto made = std::make_unique<bln_report>();
        const Progress steps(progress, user);
        made->report = policy == nullptr ? check(v, Policy(rules_policy()), steps) : check(v, policy->values, steps);
        made->model = v.shared_model();
        return made;
    });
}

}  // extern "C"
