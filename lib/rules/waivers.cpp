#include "rules/waivers.hpp"

#include <string>
#include <string_view>
#include <unordered_map>

#include "rules/context.hpp"
#include "rules/rules.hpp"
#include "rules/verdicts.hpp"

namespace bln::rules {
namespace {

/// "code|kind:id,...|discriminator", and the code is that of a rule.
bool names_a_rule(std::string_view identity) {
    const std::size_t bar = identity.find('|');
    if (bar == std::string_view::npos || identity.find('|', bar + 1) == std::string_view::npos) return false;
    for (const Rule& rule : catalogue())
        if (rule.code == identity.substr(0, bar)) return true;
    return false;
}

}  // namespace

void waive(const View& view, std::vector<Finding>& findings) {
    std::unordered_map<std::string_view, const as_of::waiver*> accepted;
    for (const as_of::waiver& w : view.waiver)
        if (!w.finding.empty() && !w.reason.empty()) accepted.emplace(w.finding, &w);
    if (accepted.empty()) return;
    for (Finding& f : findings) {
        if (f.severity == Severity::note) continue;
        const auto at = accepted.find(f.identity());
        if (at == accepted.end()) continue;
        f.waiver = at->second->id;
        f.reason = at->second->reason;
    }
}

// A waiver without a reason waives nothing, and neither does one that names no rule.
void waiver_incomplete(const Context& c, Verdicts& out) {
    for (const std::uint32_t i : out.over(Kind::waiver)) {
        const as_of::waiver& w = c.view.waiver[i];
        std::string_view field;
        std::string_view why;
        if (w.finding.empty()) {
            field = "finding";
            why = "it does not say which finding is accepted";
        } else if (!names_a_rule(w.finding)) {
            field = "finding";
            why = "no rule has this code, or it is not written as code|kind:id|discriminator";
        } else if (w.reason.empty()) {
            field = "reason";
            why = "it gives no reason";
        }
        if (field.empty()) {
            out.right();
            continue;
        }
        out.wrong().about(Kind::waiver, w.id).word("why", why).at(pointer_to(Kind::waiver, w.id, field));
    }
}

}  // namespace bln::rules
