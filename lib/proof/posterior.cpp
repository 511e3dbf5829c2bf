#include "proof/posterior.hpp"

#include <algorithm>
#include <cmath>

#include "proof/proof_policy.hpp"

namespace bln::infer {
namespace {

/// Whether an explanation has another conductor, direction or voltage reference than the record: what a verdict speaks
/// of. Of ratios and of a dead element the probability decides alone.
bool moves(const Explained& x) { return x.tuple != 0 || x.map != 0; }

/// What an explanation makes every element read, as numbers: equal numbers, equal readings.
using Reading = std::array<std::int64_t, 4 * most_elements>;

Reading reading_of(const Shape& shape, const Explained& x) {
    Reading out{};
    for (std::size_t e = 0; e < shape.elements.size(); ++e) {
        const ElementClass& c = shape.elements[e].base[shape.class_of(x.tuple, e)];
        const bool dead = x.dead == static_cast<std::int8_t>(e);
        out[e * 4] = dead ? -2 : c.variable >= 0 ? c.variable : 16 + static_cast<std::int64_t>(c.on);
        if (dead) continue;
        // Exact to steps of a thousandth: nominal voltages differ by far more.
        const double size = std::exp(c.log_turns) * std::abs(shape.elements[e].reference);
        out[e * 4 + 1] = std::llround(1000 * size * std::cos(c.turn));
        out[e * 4 + 2] = std::llround(1000 * size * std::sin(c.turn));
        out[e * 4 + 3] = x.scaled == static_cast<std::int8_t>(e) ? 1 + x.ratio : 0;
    }
    return out;
}

/// Whether it is not the record, and yet reads so whatever the load: the total of the point is the same (legs of split
/// phase exchanged and both reversed), or one CT is on another circuit's conductor that looks like its own. Angles say
/// nothing about it, so it neither speaks against the record nor is a class.
bool unseen(const Shape& shape, const Shape& recorded, const Explained& x) {
    if (x.dead >= 0 || x.scaled >= 0 || x.elsewhere >= 0 || (x.map == 0 && x.tuple == 0)) return false;
    std::array<std::array<double, 2>, most_variables> difference{};
    for (std::size_t e = 0; e < shape.elements.size(); ++e) {
        if (shape.elements[e].grounded || recorded.elements[e].grounded) continue;
        const ElementClass& now = shape.elements[e].base[shape.class_of(x.tuple, e)];
        const ElementClass& then = recorded.elements[e].base[0];
        if (now.variable < 0 || then.variable < 0) return shape.elements.size() == 1 && now.shift == then.shift;
        const auto add = [&](const ShapeElement& element, const ElementClass& c, double sign) {
            const double size = sign * std::exp(c.log_turns) * std::abs(element.reference);
            difference[static_cast<std::size_t>(c.variable)][0] += size * std::cos(c.turn);
            difference[static_cast<std::size_t>(c.variable)][1] += size * std::sin(c.turn);
        };
        add(shape.elements[e], now, 1);
        add(recorded.elements[e], then, -1);
    }
    return std::all_of(difference.begin(), difference.end(),
                       [](const auto& d) { return std::abs(d[0]) < 1e-3 && std::abs(d[1]) < 1e-3; });
}

}  // namespace

double Candidates::total() const noexcept {
    double sum = anything;
    for (const Explained& x : all) sum = log_sum(sum, x.log_likelihood + x.log_prior);
    return sum;
}

Candidates candidates_of(const Case& in, const Likelihood& l, std::int8_t map) {
    const Policy& policy = in.laws.policy;
    const Shape& shape = in.shape;
    Candidates out;
    std::vector<Explained>& all = out.all;
    std::vector<std::size_t> idle;
    for (std::size_t e = 0; e < in.sights.size(); ++e)
        if (!in.sights[e].loaded && in.sights[e].read && !shape.elements[e].grounded) idle.push_back(e);
    double pole_idle = 0;
    for (const std::size_t e : idle) pole_idle += l.idle[e];

    // What the tests say of a tuple; an element that is said to be dead or scaled counts its own way.
    const auto tests = [&](std::size_t t, const Explained& x) {
        if (in.tests == nullptr) return 0.0;
        double sum = 0;
        for (std::size_t e = 0; e < in.sights.size(); ++e) {
            const auto at = static_cast<std::int8_t>(e);
            sum += in.tests->base[e][shape.class_of(t, e)];
            sum += x.dead == at     ? in.tests->dead[e]
                   : x.scaled == at ? in.tests->ratio[e][static_cast<std::size_t>(x.ratio)]
                                    : in.tests->plain[e];
            if (x.elsewhere == at) sum += in.tests->elsewhere[e];
        }
        return sum;
    };
    // What is far below the best changes no probability and is reported nowhere.
    double best = impossible;
    for (std::size_t t = 0; t < shape.tuples; ++t)
        if (l.tuple[t] > impossible) best = std::max(best, l.tuple[t] + tests(t, Explained{}));
    const double least = best - 30;
    for (std::size_t t = 0; t < shape.tuples; ++t) {
        if (l.tuple[t] <= impossible || (t > 0 && l.tuple[t] + tests(t, Explained{}) < least)) continue;
        Explained x;
        x.map = map;
        x.tuple = static_cast<std::uint32_t>(t);
        x.log_likelihood = l.tuple[t] + pole_idle + tests(t, x);
        x.log_prior = shape.log_prior[t];
        all.push_back(x);
        for (const std::size_t e : idle) {
            Explained d = x;
            d.dead = static_cast<std::int8_t>(e);
            d.log_likelihood = l.tuple[t] + pole_idle - l.idle[e] + tests(t, d);
            d.log_prior += std::log(shape.dead_prior);
            all.push_back(d);
        }
    }
    std::vector<Explained>& untold = out.untold;
    for (std::size_t e = 0; e < in.sights.size() && !l.tuple.empty() && l.tuple[0] > impossible; ++e) {
        if (!in.sights[e].loaded) continue;
        Explained x;
        x.map = map;
        x.elsewhere = static_cast<std::int8_t>(e);
        x.log_likelihood = l.tuple[0] + pole_idle + tests(0, x);
        x.log_prior = shape.log_prior[0] + std::log(policy[key::elsewhere] / static_cast<double>(in.sights.size()));
        // Without a test that switches something it reads as the record does: it says nothing about angles.
        if (in.tests != nullptr && in.tests->elsewhere[e] != 0) {
            all.push_back(x);
        }
    }
    // A ratio is a class of its own where the readings speak for it, not where they merely leave it open.
    const double extra = std::log(policy[key::extra_factor]);
    for (std::size_t i = 0; i < l.ratio.size(); ++i)
        for (std::size_t t = 0; t < l.ratio[i].size(); ++t) {
            if (l.ratio[i][t] <= impossible || l.ratio[i][t] + pole_idle < least - 30) continue;
            const auto e = i / 2, r = i % 2;
            if (r >= shape.elements[e].ratios.size()) continue;
            Explained x;
            x.map = map;
            x.tuple = static_cast<std::uint32_t>(t);
            x.scaled = static_cast<std::int8_t>(e);
            x.ratio = static_cast<std::int8_t>(r);
            x.log_likelihood = l.ratio[i][t] + pole_idle + tests(t, x);
            x.log_prior = shape.log_prior[t] + std::log(shape.ratio_prior);
            if (x.log_likelihood > l.tuple[t] + pole_idle + tests(t, Explained{}) + extra) {
                all.push_back(x);
            } else {
                untold.push_back(x);
            }
        }
    // One pole alone: only a clamp tells its ratio.
    if (in.tests != nullptr)
        for (std::size_t e = 0; e < in.sights.size(); ++e) {
            if (!in.sights[e].loaded || (l.ratio.size() > e * 2 && !l.ratio[e * 2].empty())) continue;
            for (std::size_t r = 0; r < shape.elements[e].ratios.size() && r < 2; ++r) {
                if (in.tests->ratio[e][r] <= in.tests->plain[e] + extra) continue;
                Explained x;
                x.map = map;
                x.scaled = static_cast<std::int8_t>(e);
                x.ratio = static_cast<std::int8_t>(r);
                x.log_likelihood = l.tuple[0] + pole_idle + tests(0, x);
                x.log_prior = shape.log_prior[0] + std::log(shape.ratio_prior);
                all.push_back(x);
            }
        }
    out.anything = l.anything + pole_idle + std::log(policy[key::unmodelled]);
    return out;
}

Posterior posterior_of(const Policy& policy, std::vector<Mapped>&& maps, bool in_tests) {
    double best = impossible, total = impossible, record_likelihood = impossible;
    for (Mapped& m : maps) {
        total = log_sum(total, m.candidates.anything + m.log_prior + m.log_others);
        for (auto* list : {&m.candidates.all, &m.candidates.untold})
            for (Explained& x : *list) {
                x.log_likelihood += m.log_others;
                x.log_prior += m.log_prior;
            }
        for (const Explained& x : m.candidates.all) {
            best = std::max(best, x.log_likelihood);
            total = log_sum(total, x.log_likelihood + x.log_prior);
            if (x.record()) record_likelihood = x.log_likelihood;
        }
    }
    Posterior out;
    const auto finish = [&](Explained& x) {
        x.probability = std::exp(x.log_likelihood + x.log_prior - total);
        x.likelihood_ratio = std::exp(std::min(0.0, x.log_likelihood - best));
    };
    // Only what explains the readings no better than the record does: then it is the record's own look.
    const auto is_hidden = [&](const Shape& shape, const Explained& x) {
        return !in_tests && x.log_likelihood <= record_likelihood + std::log(2.0) && unseen(shape, *maps[0].shape, x);
    };
    double rival = impossible;
    std::vector<Explained> all;
    for (Mapped& m : maps)
        for (Explained& x : m.candidates.all) {
            finish(x);
            if (x.record()) out.record = x.probability;
            if (moves(x) && !is_hidden(*m.shape, x)) rival = std::max(rival, x.log_likelihood);
            all.push_back(std::move(x));
        }
    out.rival = record_likelihood <= impossible ? 1e30 : std::exp(std::clamp(rival - record_likelihood, -60.0, 60.0));

    const double keep = 1 / policy[key::set_factor], list = 1 / policy[key::listed_factor];
    Explained other;
    other.anything = true;
    other.log_likelihood = impossible;
    for (const Mapped& m : maps)
        other.log_likelihood =
            std::max(other.log_likelihood, m.candidates.anything + m.log_others - std::log(policy[key::unmodelled]));
    other.log_prior = std::log(policy[key::unmodelled]);
    finish(other);
    if (other.log_likelihood > best + std::log(policy[key::set_factor])) out.reported.push_back(other);

    const auto more = [](const Explained& a, const Explained& b) { return a.probability > b.probability; };
    std::stable_sort(all.begin(), all.end(), more);
    for (Explained& x : all) {
        const bool hidden = is_hidden(*maps[static_cast<std::size_t>(x.map)].shape, x);
        const bool report = !hidden && (x.likelihood_ratio >= keep || x.probability > policy[key::wrong_probability]);
        if (!report && x.likelihood_ratio < list) continue;
        // Leads and CTs that make the point read the same are one class.
        const Shape& shape = *maps[static_cast<std::size_t>(x.map)].shape;
        Explained* twin = nullptr;
        if (maps.size() > 1 && x.elsewhere < 0) {
            const Reading now = reading_of(shape, x);
            for (Explained& y : out.reported)
                if (!y.anything && y.map != x.map && y.elsewhere < 0 &&
                    reading_of(*maps[static_cast<std::size_t>(y.map)].shape, y) == now)
                    twin = &y;
        }
        if (twin != nullptr) {
            twin->probability += x.probability;
            twin->alike.push_back(std::move(x));
        } else if (report) {
            out.reported.push_back(std::move(x));
        } else {
            out.listed.push_back(std::move(x));
        }
    }
    for (Explained& x : maps[0].candidates.untold) {
        finish(x);
        if (x.likelihood_ratio >= keep && x.tuple == 0) out.listed.push_back(x);
    }
    std::stable_sort(out.reported.begin(), out.reported.end(), more);
    out.record_first = !out.reported.empty() && out.reported[0].record();
    return out;
}

}  // namespace bln::infer
