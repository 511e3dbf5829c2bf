#include "rules/check.hpp"

#include "rules/context.hpp"
#include "rules/policy.hpp"
#include "rules/rule.hpp"
#include "rules/verdicts.hpp"

namespace bln {

Report check(const View& view, const Policy& policy, const Progress& progress) {
    const std::span<const rules::Rule> all = rules::catalogue();
    const rules::Context context(view, policy, progress);
    rules::Verdicts verdicts(view);
    for (const rules::Rule& rule : all) {
        verdicts.begin(rule);
        rule.run(context, verdicts);
        progress.at(view.point.size(), view.point.size());
    }
    return verdicts.finish(policy[rules::notes] >= 0.5, static_cast<std::size_t>(policy[rules::examples]));
}

}  // namespace bln
