#include "proof/work.hpp"

#include <algorithm>
#include <cmath>

#include "power/fault.hpp"
#include "proof/proof_policy.hpp"
#include "proof/wiring.hpp"

namespace bln::infer {
namespace {

/// Load that an element belongs to: the first whose conductors pass its CTs.
std::size_t home_of(const PointForm& form, std::size_t e) {
    const auto amps = form.form.amps(e);
    for (std::size_t k = 0; k < amps.size(); ++k)
        if (!amps[k].is_zero()) return form.form.conductors()[k].load;
    return 0;
}

struct LeadMap {
    std::vector<Fault> faults;
    const char* words;
    bool rotated;
};
const std::vector<LeadMap>& lead_maps() {
    static const auto exchanged = [](int x, int y) {
        return std::vector<Fault>{{FaultKind::volts_exchanged, every_element, x, y, Rational(1)}};
    };
    static const std::vector<LeadMap> maps{
        {{}, "", false},
        {exchanged(0, 1), "voltage leads A and B exchanged", false},
        {exchanged(1, 2), "voltage leads B and C exchanged", false},
        {exchanged(0, 2), "voltage leads A and C exchanged", false},
        {{{FaultKind::volts_rotated, every_element, -1, -1, Rational(1)}},
         "voltage leads A, B, C landed on B, C, A",
         true},
        {{{FaultKind::volts_rotated, every_element, -1, -1, Rational(-1)}},
         "voltage leads A, B, C landed on C, A, B",
         true},
    };
    return maps;
}

}  // namespace

const Shape& Bench::shape_of(const PointForm& form, const Form& leads, std::size_t load, const Group& g) {
    const Answer neutral = neutral_of(view, g.circuit);
    const std::uint32_t apart = tested(view, g.channel_at, tests);
    auto& cached = shapes_[shape_key(leads, form.service, load, g.elements, neutral) + std::to_string(apart)];
    if (cached == nullptr)
        cached = std::make_unique<Shape>(make_shape(leads, load, g.elements, neutral, policy, apart));
    return *cached;
}

Work Bench::prepare(std::size_t point) {
    Work w;
    w.point = point;
    w.form = point_form(view, static_cast<std::int32_t>(point));
    if (!w.form.built) return w;
    const as_of::service& service = view.service[static_cast<std::size_t>(w.form.service)];
    const double unit = proof::nominal_of(service).unit_volts;
    const ReadingContext in{view, readings, rows, policy};
    for (std::size_t load = 0; load < w.form.form.loads(); ++load) {
        Group g;
        for (std::size_t e = 0; e < w.form.form.elements().size(); ++e)
            if (home_of(w.form, e) == load) g.elements.push_back(e);
        if (g.elements.empty()) continue;
        g.circuit = w.form.circuit[load];
        g.load = view.circuit[static_cast<std::size_t>(g.circuit)].load;
        for (const std::size_t e : g.elements) {
            g.channel_at.push_back(w.form.channel[e]);
            g.channels.emplace_back(view.channel[static_cast<std::size_t>(w.form.channel[e])].id);
        }
        // Without a reading nothing is asked about its wiring.
        static const Shape unread = [] {
            Shape s;
            s.why = "there is no reading of its channels";
            return s;
        }();
        const bool read = std::any_of(g.channel_at.begin(), g.channel_at.end(), [&](std::int32_t c) {
            return !rows.of_channel[static_cast<std::size_t>(c)].empty() || rows.spoiled[static_cast<std::size_t>(c)];
        });
        g.shape = read ? &shape_of(w.form, w.form.form, load, g) : &unread;
        for (std::size_t i = 0; i < g.elements.size(); ++i) {
            const double volts = i < g.shape->elements.size() ? std::abs(g.shape->elements[i].reference) * unit : 0;
            g.sights.push_back(sight_of(in, g.channel_at[i], volts, g.load));
        }
        w.load.push_back(load);
        w.groups.push_back(std::move(g));
    }
    std::vector<Sight*> sights;
    for (Group& g : w.groups)
        for (Sight& s : g.sights) sights.push_back(&s);
    w.snapshots = number_snapshots(in, sights);
    return w;
}

void Bench::explain(One& one, std::int8_t map, const Form& leads, double log_prior) {
    Work& w = *one.work;
    Group& g = w.groups[one.group];
    const Shape& shape = map == 0 ? *g.shape : shape_of(w.form, leads, w.load[one.group], g);
    TestWeights weights;
    const as_of::service& service = view.service[static_cast<std::size_t>(w.form.service)];
    if (tested(view, g.channel_at, tests) != 0)
        weights = weigh({view, shape, g.channel_at, view.circuit[static_cast<std::size_t>(g.circuit)].id, service},
                        tests, policy);
    const Case in{shape, laws, g.load, g.sights, w.snapshots, weights.any ? &weights : nullptr};
    Mapped m;
    m.shape = &shape;
    m.log_prior = log_prior;
    if (shape.why.empty()) m.candidates = candidates_of(in, likelihood_of(in), map);
    one.evidence.push_back(m.candidates.total());
    one.maps.push_back(std::move(m));
    g.mapped.push_back(&shape);
}

void Bench::infer(std::vector<Work>& works, bool shared) {
    const double exchanged = policy[key::leads_exchanged], rotated = policy[key::leads_rotated];
    const double straight = std::log(std::max(1e-6, 1 - exchanged - rotated));
    std::vector<One> all;
    for (Work& w : works)
        for (std::size_t i = 0; i < w.groups.size(); ++i)
            if (judgeable(w.groups[i])) all.push_back({&w, i, {}, {}, false});
    bool doubt = false;
    for (One& one : all) {
        explain(one, 0, one.work->form.form, shared ? straight : 0);
        double record = impossible;
        for (const Explained& x : one.maps[0].candidates.all)
            if (x.record()) record = x.log_likelihood + x.log_prior;
        one.doubtful = record - one.evidence[0] < std::log(0.9);
        doubt = doubt || one.doubtful;
    }
    // Other landings of the leads are asked only where some load is not as recorded, and of few of the other loads:
    // each that is right speaks against them by a hundred to one and more.
    std::vector<One*> heard;
    std::size_t sound = 0;
    constexpr std::size_t most_sound = 6;
    for (One& one : all)
        if (one.doubtful || sound++ < most_sound) heard.push_back(&one);
    const auto possible = [](const One& one) {
        const Form& form = one.work->form.form;
        return form.has_terminal(0) && form.has_terminal(1) && form.has_terminal(2);
    };
    if (shared && doubt && std::all_of(heard.begin(), heard.end(), [&](const One* o) { return possible(*o); })) {
        for (std::size_t m = 1; m < lead_maps().size(); ++m)
            for (One* one : heard) {
                const LeadMap& map = lead_maps()[m];
                explain(*one, static_cast<std::int8_t>(m), with_faults(one->work->form.form, map.faults),
                        std::log(map.rotated ? rotated / 2 : exchanged / 3));
            }
        for (One* one : heard)
            for (std::size_t m = 1; m < one->maps.size(); ++m)
                for (const One* other : heard)
                    if (other != one) one->maps[m].log_others += other->evidence[m] - other->evidence[0];
    }
    for (One& one : all) {
        Group& g = one.work->groups[one.group];
        for (const LeadMap& m : lead_maps()) g.leads.emplace_back(m.words);
        // A map under which nothing can be said explains nothing.
        while (one.maps.size() > 1 && !one.maps.back().shape->why.empty()) one.maps.pop_back();
        g.posterior = posterior_of(policy, std::move(one.maps), tested(view, g.channel_at, tests) != 0);
        judge(policy, g);
    }
}

}  // namespace bln::infer
