#include "rules/check.hpp"

#include <algorithm>
#include <utility>
#include <vector>

#include "rules/context.hpp"
#include "rules/policy.hpp"
#include "rules/rule.hpp"
#include "rules/verdicts.hpp"
#include "rules/waivers.hpp"

namespace bln {

Report check(const View& view, const Policy& policy, const Progress& progress) {
    const std::span<const rules::Rule> all = rules::catalogue();
    const rules::Context context(view, policy);
    context.diagnose_all(progress);
    rules::Verdicts verdicts(view);
    for (const rules::Rule& rule : all) {
        verdicts.begin(rule);
        rule.run(context, verdicts);
        progress.at(view.point.size(), view.point.size());
    }
    Report out;
    out.findings = std::move(verdicts.findings());
    out.coverage = std::move(verdicts.coverage());
    if (policy[rules::notes] >= 0.5) {
        std::vector<rules::Lack> lacks = verdicts.lacking();
        std::sort(lacks.begin(), lacks.end());
        const auto examples = static_cast<std::size_t>(policy[rules::examples]);
        for (std::size_t i = 0, next = 0; i < lacks.size(); i = next) {
            while (next < lacks.size() && lacks[next].kind == lacks[i].kind && lacks[next].field == lacks[i].field)
                ++next;
            out.findings.push_back(rules::not_checked_note(view, {lacks.data() + i, next - i}, examples));
        }
    }
    rules::waive(view, out.findings);
    rules::sort_findings(view, out.findings);
    return out;
}

}  // namespace bln
