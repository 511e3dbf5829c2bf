#include "proof/verdict.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "proof/proof_policy.hpp"

namespace bln::infer {
namespace {

/// The worse, the greater: what a point of several loads is.
int rank(PointVerdict v) noexcept {
    switch (v) {
        case PointVerdict::wrong:
            return 5;
        case PointVerdict::open:
            return 4;
        case PointVerdict::not_judged:
            return 3;
        case PointVerdict::not_loaded:
            return 2;
        case PointVerdict::likely:
            return 1;
        case PointVerdict::proven:
            return 0;
    }
    return 3;
}

bool sound(PointVerdict v) noexcept { return v != PointVerdict::not_judged && v != PointVerdict::not_loaded; }

}  // namespace

bool judgeable(Group& g) {
    g.verdict = PointVerdict::not_judged;
    if (!g.shape->why.empty()) {
        g.why = g.shape->why;
        return false;
    }
    bool read = false, telling = false, loaded = false;
    for (std::size_t e = 0; e < g.sights.size(); ++e) {
        const Sight& s = g.sights[e];
        if (s.dead_voltage) {
            g.why = fmt::format("the voltage of {} reads {:.4g} V: its reference is lost", g.channels[e], s.volts);
            return false;
        }
        if (s.contradicted && !s.read) {
            g.why = fmt::format("the readings of {} contradict themselves", g.channels[e]);
            return false;
        }
        if (!s.read && !g.shape->elements[e].grounded) {
            g.why = fmt::format("{} has no reading", g.channels[e]);
            return false;
        }
        read = read || s.read;
        telling = telling || s.telling;
        loaded = loaded || s.loaded;
    }
    if (!read) {
        g.why = "there is no reading";
        return false;
    }
    bool large = false;
    for (const Sight& s : g.sights)
        for (const Observation& o : s.seen) large = large || o.loaded;
    if (!telling && large) {
        g.why = "no reading says anything about the angle";
        return false;
    }
    if (!loaded) {
        g.verdict = PointVerdict::not_loaded;
        g.why = "too little load to say anything; a reading of zero does not prove a conductor dead";
        return false;
    }
    return true;
}

void judge(const Policy& policy, Group& g) {
    const Posterior& p = g.posterior;
    const bool in_set =
        std::any_of(p.reported.begin(), p.reported.end(), [](const Explained& x) { return x.record(); });
    std::string idle;
    bool contradicted = false;
    for (std::size_t e = 0; e < g.sights.size(); ++e) {
        contradicted = contradicted || g.sights[e].contradicted;
        if (!g.sights[e].loaded && !g.shape->elements[e].grounded) idle += (idle.empty() ? "" : ", ") + g.channels[e];
    }
    if (p.reported.empty() || p.reported[0].anything) {
        g.verdict = PointVerdict::open;
        g.why = "nothing that is looked for explains the readings well";
        return;
    }
    if (p.record_first && p.record >= policy[key::proven_probability] && p.rival * policy[key::proven_factor] <= 1)
        g.verdict = PointVerdict::proven;
    else if (p.record_first && p.record >= policy[key::likely_probability])
        g.verdict = PointVerdict::likely;
    else if (!in_set && p.record <= policy[key::wrong_probability])
        g.verdict = PointVerdict::wrong;
    else
        g.verdict = PointVerdict::open;
    const bool good = g.verdict == PointVerdict::proven || g.verdict == PointVerdict::likely;
    if (!idle.empty() && g.verdict != PointVerdict::wrong) {
        g.verdict = PointVerdict::open;
        g.why = "without load while the rest has load: " + idle;
    } else if (contradicted && good) {
        g.verdict = PointVerdict::open;
        g.why = "some rows contradict themselves and were set aside";
    } else if (g.verdict == PointVerdict::likely) {
        g.why = "another wiring would read the same with an unusual load";
    } else if (g.verdict == PointVerdict::open) {
        g.why = "more than one wiring explains the readings";
    }
}

void combine(const Policy& policy, std::span<const Group> groups, const Readings& readings, PointProof& out) {
    struct Joint {
        std::vector<const Explained*> each;
        double probability = 1, ratio = 1;
        bool record = true;
    };
    std::vector<Joint> all{Joint{}};
    constexpr std::size_t most = 64;
    out.verdict = groups.empty() ? PointVerdict::not_judged : PointVerdict::proven;
    out.record_probability = 1;
    bool any = false;
    for (const Group& g : groups) {
        if (rank(g.verdict) > rank(out.verdict)) out.verdict = g.verdict;
        for (std::size_t e = 0; e < g.sights.size(); ++e) {
            ++out.elements;
            out.loaded += g.sights[e].loaded ? 1 : 0;
        }
        std::vector<Joint> next;
        for (const Joint& j : all) {
            if (!sound(g.verdict)) {
                next.push_back(j);
                next.back().each.push_back(nullptr);
                continue;
            }
            for (const Explained& x : g.posterior.reported) {
                Joint k = j;
                k.each.push_back(&x);
                k.probability *= x.probability;
                k.ratio *= x.likelihood_ratio;
                k.record = k.record && x.record();
                next.push_back(std::move(k));
            }
        }
        if (sound(g.verdict)) {
            out.record_probability *= g.posterior.record;
            any = true;
        }
        std::stable_sort(next.begin(), next.end(),
                         [](const Joint& a, const Joint& b) { return a.probability > b.probability; });
        if (next.size() > most) next.resize(most);
        all = std::move(next);
        if (const std::string text = evidence_of(g, readings); !text.empty())
            out.evidence += (out.evidence.empty() ? "" : " ") + text;
        if (!g.why.empty())
            out.evidence += fmt::format(
                "{}{}{}.", out.evidence.empty() ? "" : " ",
                static_cast<char>(g.why[0] >= 'a' && g.why[0] <= 'z' ? g.why[0] - 32 : g.why[0]), g.why.substr(1));
        for (const Explained& x : g.posterior.listed) out.not_excluded.push_back(words_of(g, x));
    }
    if (!any) {
        out.record_probability = 0;
        return;
    }
    const double keep = 1 / policy[key::set_factor];
    for (const Joint& j : all) {
        if (j.ratio < keep && j.probability <= policy[key::wrong_probability] && !out.classes.empty()) {
            if (out.not_excluded.size() < most) {
                std::string words;
                for (std::size_t i = 0; i < groups.size(); ++i)
                    if (j.each[i] != nullptr && !j.each[i]->record())
                        words += (words.empty() ? "" : "; ") + words_of(groups[i], *j.each[i]);
                out.not_excluded.push_back(words);
            }
            continue;
        }
        ProofClass& c = out.classes.emplace_back();
        c.probability = j.probability;
        c.likelihood_ratio = j.ratio;
        c.is_record = j.record;
        std::vector<ProofMember> members{ProofMember{}};
        for (std::size_t i = 0; i < groups.size(); ++i) {
            if (j.each[i] == nullptr) continue;
            const std::vector<ProofMember> these = members_of(groups[i], *j.each[i]);
            std::vector<ProofMember> product;
            for (const ProofMember& a : members)
                for (const ProofMember& b : these) {
                    if (product.size() >= most_members) break;
                    ProofMember m = a;
                    if (b.words != "as recorded") m.words += (m.words.empty() ? "" : "; ") + b.words;
                    if (m.leads.empty()) m.leads = b.leads;
                    m.placements.insert(m.placements.end(), b.placements.begin(), b.placements.end());
                    product.push_back(std::move(m));
                }
            members = std::move(product);
        }
        for (ProofMember& m : members)
            if (m.words.empty()) m.words = "as recorded";
        c.members = std::move(members);
    }
    if (!out.classes.empty()) out.probability = out.classes[0].probability;
}

}  // namespace bln::infer
