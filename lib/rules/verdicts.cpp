#include "rules/verdicts.hpp"

#include <algorithm>
#include <tuple>
#include <utility>

namespace bln::rules {

void Verdicts::begin(const Rule& rule) {
    rule_ = &rule;
    coverage_.push_back({rule.code, 0, 0, 0, 0});
}

Finding& Verdicts::add(Verdict verdict) {
    Finding& f = findings_.emplace_back();
    f.code = rule_->code;
    f.severity = rule_->severity;
    f.verdict = verdict;
    return f;
}

Finding& Verdicts::wrong() {
    ++coverage_.back().wrong;
    return add(Verdict::wrong);
}

Finding& Verdicts::undecided() {
    ++coverage_.back().undecided;
    return add(Verdict::undecided);
}

void Verdicts::lacks(Kind kind, std::size_t entity, std::size_t field) {
    ++coverage_.back().not_checked;
    lacking_.push_back({static_cast<std::uint32_t>(kind), static_cast<std::uint32_t>(field),
                        static_cast<std::uint32_t>(entity), static_cast<std::uint32_t>(rule_ - catalogue().data())});
}

Finding not_checked_note(const View& view, std::span<const Lack> of, std::size_t examples) {
    const Kind kind = static_cast<Kind>(of.front().kind);
    const FieldInfo& field = info(kind).fields[of.front().field];
    const auto& entities = view.model().entities(kind);
    Finding f;
    f.code = not_checked_code;
    f.severity = Severity::note;
    f.verdict = Verdict::not_checked;
    f.about(Kind::site, "");
    f.discriminator = std::string(info(kind).name) + "." + std::string(field.name);
    std::string named;
    std::size_t count = 0;
    std::vector<bool> waiting(catalogue().size(), false);
    for (std::size_t i = 0; i < of.size(); ++i) {
        waiting[of[i].rule] = true;
        if (i > 0 && of[i].entity == of[i - 1].entity) continue;
        if (count == 0) f.at(pointer_to(kind, entities[of[i].entity].id, field.name));
        if (count++ >= examples) continue;
        if (count > 1) named += ", ";
        named += entities[of[i].entity].id;
    }
    if (count > examples) named += ", ...";
    std::string rules;
    for (std::size_t r = 0; r < waiting.size(); ++r) {
        if (!waiting[r]) continue;
        if (!rules.empty()) rules += ", ";
        rules += catalogue()[r].code;
    }
    f.word("field", f.discriminator).word("meaning", field.doc);
    f.number("count", static_cast<double>(count), "").number("of", static_cast<double>(entities.size()), "");
    f.word("named", named).word("rules", rules);
    return f;
}

void sort_findings(const View& view, std::vector<Finding>& findings) {
    struct Key {
        int severity;
        std::size_t kind;
        std::int32_t at;
        std::size_t finding;
    };
    std::vector<Key> keys;
    keys.reserve(findings.size());
    for (std::size_t i = 0; i < findings.size(); ++i) {
        const Finding& f = findings[i];
        Key key{-static_cast<int>(f.severity), 0, 0, i};
        if (!f.subjects.empty() && f.subjects.front().kind != Kind::site) {
            key.kind = static_cast<std::size_t>(f.subjects.front().kind);
            key.at = view.model().find(f.subjects.front().kind, f.subjects.front().id);
        }
        keys.push_back(key);
    }
    std::sort(keys.begin(), keys.end(), [](const Key& a, const Key& b) {
        return std::tie(a.severity, a.kind, a.at, a.finding) < std::tie(b.severity, b.kind, b.at, b.finding);
    });
    std::vector<Finding> sorted;
    sorted.reserve(findings.size());
    for (const Key& key : keys) sorted.push_back(std::move(findings[key.finding]));
    findings = std::move(sorted);
}

}  // namespace bln::rules
