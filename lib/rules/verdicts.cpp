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
    std::vector<Missing>& fields = missing_[static_cast<std::size_t>(kind)];
    if (fields.empty()) fields.resize(info(kind).field_count);
    Missing& m = fields[field];
    if (m.entities.empty()) m.entities.resize(view_.model().entities(kind).size());
    if (!m.entities[entity]) {
        m.entities[entity] = true;
        ++m.count;
    }
    if (m.rules.empty() || m.rules.back() != rule_->code) m.rules.push_back(rule_->code);
}

// A record that lacks one field in a thousand places is told so once, with the rules that wait for it.
void Verdicts::add_notes(std::size_t examples) {
    for (std::size_t k = 0; k < kind_count; ++k) {
        for (std::size_t field = 0; field < missing_[k].size(); ++field) {
            const Missing& m = missing_[k][field];
            if (m.count == 0) continue;
            const Kind kind = static_cast<Kind>(k);
            const auto& entities = view_.model().entities(kind);
            Finding f;
            f.code = not_checked_code;
            f.severity = Severity::note;
            f.verdict = Verdict::not_checked;
            f.about(Kind::site, "");
            f.discriminator = std::string(info(kind).name) + "." + std::string(info(kind).fields[field].name);
            std::string named;
            std::size_t shown = 0;
            for (std::size_t i = 0; i < entities.size() && shown < examples; ++i) {
                if (!m.entities[i]) continue;
                if (shown == 0) f.at(pointer_to(kind, entities[i].id, info(kind).fields[field].name));
                if (shown++ > 0) named += ", ";
                named += entities[i].id;
            }
            if (m.count > shown) named += ", ...";
            std::string rules;
            for (const std::string_view r : m.rules) {
                if (!rules.empty()) rules += ", ";
                rules += r;
            }
            f.word("field", f.discriminator).word("meaning", info(kind).fields[field].doc);
            f.number("count", static_cast<double>(m.count), "");
            f.number("of", static_cast<double>(entities.size()), "");
            f.word("named", named).word("rules", rules);
            findings_.push_back(std::move(f));
        }
    }
}

Report Verdicts::finish(bool notes, std::size_t examples) {
    if (notes) add_notes(examples);
    // Errors first, then in the order of the record; rules about the same entity in catalogue order.
    struct Key {
        int severity;
        std::size_t kind;
        std::int32_t at;
        std::size_t finding;
    };
    std::vector<Key> keys;
    keys.reserve(findings_.size());
    for (std::size_t i = 0; i < findings_.size(); ++i) {
        const Finding& f = findings_[i];
        Key key{-static_cast<int>(f.severity), 0, 0, i};
        if (!f.subjects.empty() && f.subjects.front().kind != Kind::site) {
            key.kind = static_cast<std::size_t>(f.subjects.front().kind);
            key.at = view_.model().find(f.subjects.front().kind, f.subjects.front().id);
        }
        keys.push_back(key);
    }
    std::sort(keys.begin(), keys.end(), [](const Key& a, const Key& b) {
        return std::tie(a.severity, a.kind, a.at, a.finding) < std::tie(b.severity, b.kind, b.at, b.finding);
    });
    Report out;
    out.findings.reserve(findings_.size());
    for (const Key& key : keys) out.findings.push_back(std::move(findings_[key.finding]));
    out.coverage = std::move(coverage_);
    return out;
}

}  // namespace bln::rules
