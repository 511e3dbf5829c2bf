#include "rules/recheck.hpp"

#include <algorithm>
#include <iterator>
#include <utility>

#include "rules/check.hpp"
#include "rules/policy.hpp"
#include "rules/reach.hpp"
#include "rules/waivers.hpp"
#include "site/refill.hpp"

namespace bln {
namespace {

using rules::Lack;

bool same_facts(const Finding& a, const Finding& b) {
    if (a.severity != b.severity || a.verdict != b.verdict || a.pointer != b.pointer || a.waiver != b.waiver ||
        a.reason != b.reason || a.facts.size() != b.facts.size())
        return false;
    for (std::size_t i = 0; i < a.facts.size(); ++i) {
        const Fact &x = a.facts[i], &y = b.facts[i];
        if (x.name != y.name || x.is_number != y.is_number || x.unit != y.unit || x.text != y.text ||
            !(x.value == y.value))
            return false;
    }
    return true;
}

/// Runs every rule over what @p some names; null: everything.
void run(const rules::Context& context, rules::Verdicts& verdicts) {
    for (const rules::Rule& rule : rules::catalogue()) {
        verdicts.begin(rule);
        rule.run(context, verdicts);
    }
}

/// Takes what @p gone says out of a list.
template <class T, class Gone>
void drop(rules::Lists<T>& lists, const Ref& key, Gone gone) {
    if (!key.resolved()) return;
    const auto old = lists[static_cast<std::size_t>(key.at)];
    std::vector<T> rest;
    rest.reserve(old.size());
    for (const T& x : old)
        if (!gone(x)) rest.push_back(x);
    lists.replace(static_cast<std::size_t>(key.at), std::move(rest));
}
/// Puts a value where the record's order has it.
template <class T, class After>
void put(rules::Lists<T>& lists, const Ref& key, const T& value, After after) {
    if (!key.resolved()) return;
    const auto old = lists[static_cast<std::size_t>(key.at)];
    std::vector<T> more(old.begin(), old.end());
    more.insert(std::find_if(more.begin(), more.end(), after), value);
    lists.replace(static_cast<std::size_t>(key.at), std::move(more));
}
void drop_index(rules::Lists<std::uint32_t>& lists, const Ref& key, std::uint32_t at) {
    drop(lists, key, [&](std::uint32_t x) { return x == at; });
}
void put_index(rules::Lists<std::uint32_t>& lists, const Ref& key, std::uint32_t at) {
    put(lists, key, at, [&](std::uint32_t x) { return x > at; });
}

}  // namespace

FindingChanges compare(const std::vector<Finding>& before, const std::vector<Finding>& after) {
    FindingChanges out;
    std::unordered_multimap<std::string, const Finding*> old;
    for (const Finding& f : before) old.emplace(f.identity(), &f);
    for (const Finding& f : after) {
        const auto at = old.find(f.identity());
        if (at == old.end()) {
            out.appeared.push_back(f);
            continue;
        }
        if (!same_facts(*at->second, f)) out.changed.push_back(f);
        old.erase(at);
    }
    for (const Finding& f : before) {
        const auto [first, last] = old.equal_range(f.identity());
        const auto at = std::find_if(first, last, [&](const auto& x) { return x.second == &f; });
        if (at != last) out.gone.push_back(f);
    }
    return out;
}

Recheck::Recheck(std::shared_ptr<const Model> model, Instant valid, Instant known, Policy policy,
                 const Progress& progress)
    : model_(std::move(model)), valid_(valid), known_(known), policy_(std::move(policy)) {
    whole(progress);
}

void Recheck::whole(const Progress& progress) {
    broken_ = true;
    context_.reset();
    findings_.clear();
    lacks_.clear();
    view_ = std::make_unique<View>(model_, valid_, known_);
    arena_ = std::make_unique<Arena>();
    context_ = std::make_unique<rules::Context>(*view_, policy_);
    context_->diagnose_all(progress);
    rules::Verdicts verdicts(*view_);
    run(*context_, verdicts);
    for (const Lack& l : verdicts.lacking()) ++lacks_[l];
    rules::waive(*view_, verdicts.findings());
    for (Finding& f : verdicts.findings()) store(std::move(f));
    coverage_ = std::move(verdicts.coverage());
    remember();
    reached_ = 0;
    for (std::size_t k = 0; k < kind_count; ++k) reached_ += model_->entities(static_cast<Kind>(k)).size();
    broken_ = false;
}

void Recheck::store(Finding f) {
    std::string identity = f.identity();
    findings_.emplace(std::move(identity), std::move(f));
}

// An edit puts other cells in the place of an entity's.
void Recheck::remember() {
    for (std::size_t k = 0; k < kind_count; ++k) {
        const auto& entities = model_->entities(static_cast<Kind>(k));
        seen_[k].resize(entities.size());
        for (std::size_t i = 0; i < entities.size(); ++i)
            seen_[k][i] = {entities[i].id.data(), entities[i].cells.data(), entities[i].cells.size()};
    }
}

bool Recheck::find_edits(std::vector<Edit>& out) const {
    for (std::size_t k = 0; k < kind_count; ++k) {
        const auto& entities = model_->entities(static_cast<Kind>(k));
        if (entities.size() != seen_[k].size()) return false;
        for (std::uint32_t i = 0; i < entities.size(); ++i) {
            if (entities[i].id.data() != seen_[k][i].id) return false;
            if (entities[i].cells.data() != seen_[k][i].cells) out.push_back({static_cast<Kind>(k), i});
        }
    }
    return true;
}

bool Recheck::update(std::shared_ptr<const Model> model, FindingChanges& changes, const Progress& progress) {
    changes = {};
    std::vector<Edit> edits;
    bool all = broken_ || model != model_;
    if (!all) all = !find_edits(edits);
    rules::Some some;
    if (!all) {
        rules::Reach reach(*context_);
        for (const Edit& e : edits) {
            const Entity& now = model_->entities(e.kind)[e.at];
            const rules::Seen& was = seen_[static_cast<std::size_t>(e.kind)][e.at];
            const std::span<const Cell> before(was.cells, was.count);
            const auto cell = [](std::span<const Cell> cells, std::size_t field) -> const Assignment* {
                for (const Cell& c : cells)
                    if (c.field == field) return c.assignments.data();
                return nullptr;
            };
            const KindInfo& kind = info(e.kind);
            for (std::size_t field = 0; field < kind.field_count; ++field) {
                if (cell(before, field) == cell(now.cells, field)) continue;
                reach.changed(e.kind, e.at, field);
                const Cell* c = now.find(field);
                const Assignment* a = c == nullptr ? nullptr : holding(*c, valid_, known_);
                if (a == nullptr) continue;
                const FieldInfo& row = kind.fields[field];
                const auto name = [&](std::string_view id) {
                    const std::int32_t at = model_->find(row.target, id);
                    if (at >= 0) reach.named(e.kind, row.target, static_cast<std::uint32_t>(at));
                };
                if (row.type == Type::ref) name(a->value.text);
                if (row.type == Type::refs)
                    for (const std::string_view id : a->value.texts) name(id);
                if (row.type == Type::terms)
                    for (const TermText& t : a->value.terms) name(t.key);
                if (row.type == Type::passes)
                    for (const TermText& t : a->value.terms) name(t.key.substr(0, t.key.find(':')));
                // Equal serial numbers stand anywhere: under the new one, too.
                if (row.name == "serial")
                    for (std::uint32_t i = 0; i < model_->entities(e.kind).size(); ++i) {
                        const Cell* other = model_->entities(e.kind)[i].find(field);
                        const Assignment* its = other == nullptr ? nullptr : holding(*other, valid_, known_);
                        if (its != nullptr && its->value.text == a->value.text) reach.named(e.kind, e.kind, i);
                    }
            }
        }
        all = reach.everything();
        if (!all) some = reach.finish();
    }
    broken_ = true;  // until it is finished
    if (all) {
        const Report before = report();
        model_ = std::move(model);
        whole(progress);
        changes = compare(before.findings, report().findings);
        return true;
    }
    if (!edits.empty()) follow(edits, some, changes);
    reached_ = 0;
    for (const auto& list : some) reached_ += list.size();
    broken_ = false;
    return false;
}

void Recheck::follow(const std::vector<Edit>& edits, const rules::Some& some, FindingChanges& changes) {
    rules::Verdicts before(*view_, &some, &seen_);  // the model holds the edits already
    run(*context_, before);
    rules::waive(*view_, before.findings());
    std::vector<Lack> old_lacks = before.lacking();
    std::sort(old_lacks.begin(), old_lacks.end());

    for (const Edit& e : edits) {
        detach(e);
        refill(*view_, e.kind, e.at, *arena_);
        attach(e);
        const Entity& now = model_->entities(e.kind)[e.at];
        seen_[static_cast<std::size_t>(e.kind)][e.at] = {now.id.data(), now.cells.data(), now.cells.size()};
    }
    for (const std::uint32_t p : some[static_cast<std::size_t>(Kind::point)]) context_->forget(p);

    rules::Verdicts after(*view_, &some);
    run(*context_, after);
    rules::waive(*view_, after.findings());
    std::vector<Lack> new_lacks = after.lacking();
    std::sort(new_lacks.begin(), new_lacks.end());

    // A fact that is no longer looked for in vain, or is from now on, changes the note about its field.
    std::vector<Lack> moved;
    std::set_symmetric_difference(old_lacks.begin(), old_lacks.end(), new_lacks.begin(), new_lacks.end(),
                                  std::back_inserter(moved));
    if (!moved.empty() && policy_[rules::notes] >= 0.5)
        for (Finding& f : notes_of(moved)) before.findings().push_back(std::move(f));
    for (const Lack& l : old_lacks) {
        const auto at = lacks_.find(l);
        if (--at->second == 0) lacks_.erase(at);
    }
    for (const Lack& l : new_lacks) ++lacks_[l];
    if (!moved.empty() && policy_[rules::notes] >= 0.5)
        for (Finding& f : notes_of(moved)) after.findings().push_back(std::move(f));

    changes = compare(before.findings(), after.findings());
    for (const Finding& f : before.findings()) {
        if (f.code == rules::not_checked_code) continue;
        const auto at = findings_.find(f.identity());
        if (at != findings_.end()) findings_.erase(at);
    }
    for (const Finding& f : after.findings())
        if (f.code != rules::not_checked_code) store(f);
    for (std::size_t r = 0; r < coverage_.size(); ++r) {
        const auto shift = [](std::uint64_t& to, std::uint64_t plus, std::uint64_t minus) { to = to + plus - minus; };
        const Coverage &plus = after.coverage()[r], &minus = before.coverage()[r];
        shift(coverage_[r].right, plus.right, minus.right);
        shift(coverage_[r].wrong, plus.wrong, minus.wrong);
        shift(coverage_[r].undecided, plus.undecided, minus.undecided);
        shift(coverage_[r].not_checked, plus.not_checked, minus.not_checked);
    }
    // Another waiver may accept what was found long ago.
    for (const Edit& e : edits) {
        if (e.kind != Kind::waiver) continue;
        for (auto& [identity, f] : findings_) {
            std::vector<Finding> one(1, f);
            one[0].waiver.clear();
            one[0].reason.clear();
            rules::waive(*view_, one);
            if (same_facts(one[0], f)) continue;
            f = std::move(one[0]);
            changes.changed.push_back(f);
        }
        break;
    }
}

/// The notes about the fields of @p of, as the lacks are now.
std::vector<Finding> Recheck::notes_of(const std::vector<Lack>& of) const {
    std::vector<Finding> out;
    std::vector<Lack> all;
    const auto examples = static_cast<std::size_t>(policy_[rules::examples]);
    for (std::size_t i = 0; i < of.size(); ++i) {
        if (i > 0 && of[i].kind == of[i - 1].kind && of[i].field == of[i - 1].field) continue;
        all.clear();
        for (auto at = lacks_.lower_bound(Lack{of[i].kind, of[i].field, 0, 0});
             at != lacks_.end() && at->first.kind == of[i].kind && at->first.field == of[i].field; ++at)
            all.push_back(at->first);
        if (!all.empty()) out.push_back(rules::not_checked_note(*view_, all, examples));
    }
    return out;
}

Report Recheck::report() const {
    Report out;
    out.coverage = coverage_;
    out.findings.reserve(findings_.size());
    for (const auto& [identity, f] : findings_) out.findings.push_back(f);
    // The order of one identity among others of the same place follows the catalogue, then the identity.
    std::vector<std::pair<std::size_t, std::string>> keys;
    keys.reserve(out.findings.size());
    for (const Finding& f : out.findings) {
        std::size_t at = 0;
        while (at < coverage_.size() && coverage_[at].code != f.code) ++at;
        keys.emplace_back(at, f.identity());
    }
    std::vector<std::size_t> order(out.findings.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return keys[a] < keys[b]; });
    std::vector<Finding> sorted;
    sorted.reserve(order.size());
    for (const std::size_t i : order) sorted.push_back(std::move(out.findings[i]));
    out.findings = std::move(sorted);
    if (policy_[rules::notes] >= 0.5) {
        std::vector<Lack> all;
        for (const auto& [lack, count] : lacks_) all.push_back(lack);
        for (Finding& f : notes_of(all)) out.findings.push_back(std::move(f));
    }
    rules::sort_findings(*view_, out.findings);
    return out;
}

void Recheck::detach(const Edit& e) {
    rules::Context& c = *context_;
    const View& v = *view_;
    switch (e.kind) {
        case Kind::channel:
            drop_index(c.device_channels, v.channel[e.at].device, e.at);
            for (const Term& t : v.channel[e.at].cts)
                drop(c.ct_channels, t.ref, [&](const rules::Wired& w) { return w.channel == e.at; });
            break;
        case Kind::ct:
            for (const Pass& p : v.ct[e.at].passes)
                drop(c.circuit_cts, p.circuit, [&](const rules::Through& t) { return t.ct == e.at; });
            break;
        case Kind::point:
            drop_index(c.premises_points, v.point[e.at].premises, e.at);
            for (const Ref& r : v.point[e.at].circuits) drop_index(c.circuit_points, r, e.at);
            for (const Term& t : v.point[e.at].elements)
                drop(c.channel_uses, t.ref, [&](const rules::Use& u) { return u.point == e.at; });
            break;
        case Kind::rollup:
            for (const Term& t : v.rollup[e.at].points) drop_index(c.point_rollups, t.ref, e.at);
            break;
        case Kind::circuit:
            drop_index(c.panel_circuits, v.circuit[e.at].panel, e.at);
            break;
        case Kind::panel:
            drop_index(c.circuit_panels, v.panel[e.at].fed_from, e.at);
            break;
        case Kind::device:
            drop_index(c.circuit_devices, v.device[e.at].supply, e.at);
            break;
        default:
            break;
    }
}

void Recheck::attach(const Edit& e) {
    rules::Context& c = *context_;
    const View& v = *view_;
    switch (e.kind) {
        case Kind::channel:
            put_index(c.device_channels, v.channel[e.at].device, e.at);
            for (const Term& t : v.channel[e.at].cts)
                put(c.ct_channels, t.ref, rules::Wired{e.at, t.weight},
                    [&](const rules::Wired& w) { return w.channel > e.at; });
            break;
        case Kind::ct:
            for (const Pass& p : v.ct[e.at].passes)
                put(c.circuit_cts, p.circuit, rules::Through{e.at, p.pole, p.turns},
                    [&](const rules::Through& t) { return t.ct > e.at; });
            break;
        case Kind::point:
            put_index(c.premises_points, v.point[e.at].premises, e.at);
            for (const Ref& r : v.point[e.at].circuits) put_index(c.circuit_points, r, e.at);
            for (const Term& t : v.point[e.at].elements)
                put(c.channel_uses, t.ref, rules::Use{e.at, t.weight},
                    [&](const rules::Use& u) { return u.point > e.at; });
            break;
        case Kind::rollup:
            for (const Term& t : v.rollup[e.at].points) put_index(c.point_rollups, t.ref, e.at);
            break;
        case Kind::circuit:
            put_index(c.panel_circuits, v.circuit[e.at].panel, e.at);
            c.feeders[e.at] = c.feeder_now(e.at);
            break;
        case Kind::panel:
            put_index(c.circuit_panels, v.panel[e.at].fed_from, e.at);
            for (const std::uint32_t i : c.panel_circuits[e.at]) c.feeders[i] = c.feeder_now(i);
            break;
        case Kind::device:
            put_index(c.circuit_devices, v.device[e.at].supply, e.at);
            break;
        default:
            break;
    }
}

}  // namespace bln
