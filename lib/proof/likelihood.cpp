#include "proof/likelihood.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "proof/proof_policy.hpp"

namespace bln::infer {

double log_sum(double a, double b) noexcept {
    if (a < b) std::swap(a, b);
    return b <= impossible ? a : a + std::log1p(std::exp(b - a));
}

Laws::Laws(const Policy& p) : policy(p) {
    for (std::size_t k = 0; k < all_kinds; ++k)
        kinds.push_back(kind_of(p, k + 1 == all_kinds ? Load::unknown : static_cast<Load>(k), p[key::one_degrees]));
    // Currents from a hundredth of the rating to all of it are alike.
    log_range = -std::log(std::log(100.0));
}

const LoadKind& Laws::kind(Load load) const noexcept { return kinds[kind_at(load)]; }

Agreement Laws::agreement(const LoadKind& kind, bool alone) const noexcept {
    Agreement out;
    if (alone)
        out.share = {0, 0, 1};
    else
        out.share = {kind.one, kind.similar, kind.separate};
    out.log_amps = {policy[key::one_percent] / 100, policy[key::similar_percent] / 100, policy[key::separate_factor]};
    out.log_change = {0.03, 0.15, 0.5};
    return out;
}

Likelihood likelihood_of(const Case& in) {
    Likelihood out;
    const Shape& shape = in.shape;
    out.tuple.assign(shape.tuples, impossible);
    std::size_t loaded = 0;
    for (const Sight& s : in.sights) {
        if (!s.loaded) continue;
        for (const Observation& o : s.seen) {
            if (!o.loaded || o.angles == 0) continue;
            out.anything -= std::log(2 * std::numbers::pi);
        }
        bool sized = true;
        for (const Observation& o : s.seen) sized = sized && (o.sized || !o.loaded);
        if (sized) out.anything += in.laws.log_range;
        ++loaded;
    }
    const LoadKind& kind = in.laws.kind(in.load);
    out.idle.assign(in.sights.size(), 0);
    const bool together = shape.poles > 1 && loaded > 0;
    for (std::size_t e = 0; e < in.sights.size(); ++e) {
        if (!together || in.sights[e].loaded) continue;
        const Agreement a = in.laws.agreement(kind, false);
        const double one = in.laws.policy[key::pole_idle_one], separate = in.laws.policy[key::pole_idle];
        // Where two poles carry one current, none of them can be idle alone; of three without neutral, hardly one.
        const bool shared = shape.variables.size() == 2 && shape.variables[0].others == 0;
        const double apart = shared ? 1e-6 : shape.triple ? std::min(separate, 0.02) : separate;
        out.idle[e] = std::log(a.share[0] * std::min(one, apart) + (a.share[1] + a.share[2]) * apart);
    }
    if (loaded == 0) return out;
    bool exact = true;
    for (const Sight& s : in.sights)
        for (const Observation& o : s.seen) exact = exact && (!o.loaded || (o.exact && o.sized));
    const bool closes = shape.poles == 3 && shape.elements.size() == 3 && exact && loaded == 3;
    if (closes && shape.triple)
        triple(in, 1, out);
    else if (closes && shape.neutral == Answer::unknown) {
        poles(in, 0.5, out);
        triple(in, 0.5, out);
    } else
        poles(in, 1, out);
    return out;
}

}  // namespace bln::infer
