#include "rules/check.hpp"

#include "rules/context.hpp"
#include "rules/policy.hpp"
#include "rules/rule.hpp"
#include "rules/verdicts.hpp"

namespace bln {

Report check(const View& view, const Policy& policy, const Progress& progress) {
    const std::span<const rules::Rule> all = rules::catalogue();
    progress.at(0, all.size());
    const rules::Context context(view, policy);
    rules::Verdicts verdicts(view);
    for (std::size_t i = 0; i < all.size(); ++i) {
        verdicts.begin(all[i]);
        all[i].run(context, verdicts);
        progress.at(i + 1, all.size());
    }
    return verdicts.finish(policy[rules::notes] >= 0.5, static_cast<std::size_t>(policy[rules::examples]));
}

}  // namespace bln
