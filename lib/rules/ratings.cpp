// Are the CTs large enough, small enough and good enough for the circuits that they measure?
#include <algorithm>
#include <cmath>

#include "power/accuracy.hpp"
#include "power/failure.hpp"
#include "power/uncertainty.hpp"
#include "rules/context.hpp"
#include "rules/policy.hpp"
#include "rules/rules.hpp"
#include "rules/verdicts.hpp"

namespace bln::rules {
namespace {

constexpr std::string_view practice = "common practice, no source";

/// A CT beside the circuit that it measures. With n turns a CT behaves like one of 1/n of its rating.
struct Fit {
    const as_of::ct* ct;
    const as_of::ct_type* type;
    const as_of::circuit* circuit;
    double rating;   ///< primary amperes that make its rated output, turns and parallel conductors included
    double breaker;  ///< amperes
};

const AccuracyClass* class_of(AccuracyOf of, std::string_view name) noexcept {
    for (const AccuracyClass& c : accuracy_classes)
        if (c.of == of && c.name == name) return &c;
    return nullptr;
}

/// What a CT round part of the parallel conductors of a pole carries of the breaker's current.
double part_enclosed(const as_of::ct& ct, const as_of::circuit& circuit) {
    if (!ct.conductors || !circuit.conductors || *ct.conductors >= *circuit.conductors) return 1;
    return static_cast<double>(*ct.conductors) / static_cast<double>(*circuit.conductors);
}

/// Calls @p say for each circuit whose conductors run through a CT, and tells what is missing.
template <class Say>
void each_fit(const Context& c, Verdicts& out, Say say) {
    const View& v = c.view;
    for (const std::uint32_t i : out.over(Kind::ct)) {
        const as_of::ct& ct = v.ct[i];
        const as_of::ct_type* type = type_of(v, ct);
        if (type == nullptr) {
            if (!ct.type.given() && !ct.passes.empty()) out.lacks(Kind::ct, i, field_of::ct::type);
            continue;
        }
        if (!type->primary_amps) {
            out.lacks(Kind::ct_type, static_cast<std::size_t>(ct.type.at), field_of::ct_type::primary_amps);
            continue;
        }
        const as_of::circuit* worst = nullptr;
        double turns = 0;
        for (const Pass& p : ct.passes) {
            if (!p.circuit.resolved() || p.turns.is_zero()) continue;
            const auto at = static_cast<std::size_t>(p.circuit.at);
            if (!v.circuit[at].breaker_amps) {
                out.lacks(Kind::circuit, at, field_of::circuit::breaker_amps);
                continue;
            }
            const double n = std::abs(p.turns.real());
            if (worst != nullptr && *v.circuit[at].breaker_amps * n <= *worst->breaker_amps * turns) continue;
            worst = &v.circuit[at];
            turns = n;
        }
        if (worst == nullptr) continue;
        say(i, Fit{&ct, type, worst, static_cast<double>(*type->primary_amps) / turns,
                   *worst->breaker_amps * part_enclosed(ct, *worst)});
    }
}

Finding& about(Finding& f, const Fit& x) {
    f.about(Kind::ct, x.ct->id).about(Kind::circuit, x.circuit->id);
    f.number("rating", x.rating, "A").number("breaker", x.breaker, "A");
    return f.at(pointer_to(Kind::ct, x.ct->id, "type"));
}

/// Lowest current at which the class of a type promises something, in percent of its rating; 0: not known.
double lowest_percent(const as_of::ct_type& type) noexcept {
    const AccuracyClass* c = class_of(AccuracyOf::current_transformer, type.accuracy_class);
    return c == nullptr ? 0 : c->points.front().percent;
}

}  // namespace

void ct_smaller_than_breaker(const Context& c, Verdicts& out) {
    each_fit(c, out, [&](std::uint32_t, const Fit& x) {
        if (x.rating >= x.breaker * (1 - 1e-9)) return out.right();
        Finding& f = about(out.wrong(), x);
        f.source = practice;
    });
}

// Where the class is known, the least current that must be measured decides; see the next rule.
void ct_too_large(const Context& c, Verdicts& out) {
    each_fit(c, out, [&](std::uint32_t, const Fit& x) {
        if (lowest_percent(*x.type) > 0) return;
        if (x.rating <= x.breaker * c.policy[ct_oversize]) return out.right();
        Finding& f = about(out.wrong(), x);
        f.number("limit", c.policy[ct_oversize], "").source = practice;
    });
}

void least_current_not_measured(const Context& c, Verdicts& out) {
    each_fit(c, out, [&](std::uint32_t, const Fit& x) {
        const double percent = lowest_percent(*x.type);
        if (percent == 0) {
            if (x.type->accuracy_class.empty())
                out.lacks(Kind::ct_type, static_cast<std::size_t>(x.ct->type.at), field_of::ct_type::accuracy_class);
            return;
        }
        const double least = x.breaker * c.policy[least_percent] / 100;
        const double promised = x.rating * percent / 100;
        if (promised <= least * (1 + 1e-9)) return out.right();
        Finding& f = about(out.wrong(), x);
        f.word("class", x.type->accuracy_class).number("measured", promised, "A").number("limit", least, "A");
        f.source = "4 CCR 4027.5 UR.1.2: loads from 5 % of the capacity on are measured accurately";
    });
}

void class_unknown(const Context& c, Verdicts& out) {
    const auto look = [&](Kind kind, std::string_view id, std::string_view name, AccuracyOf of) {
        if (name.empty()) return;
        if (class_of(of, name) != nullptr) return out.right();
        out.wrong().about(kind, id).word("class", name).at(pointer_to(kind, id, "accuracy_class"));
    };
    for (const std::uint32_t i : out.over(Kind::ct_type)) {
        const auto& t = c.view.ct_type[i];
        look(Kind::ct_type, t.id, t.accuracy_class, AccuracyOf::current_transformer);
    }
    for (const std::uint32_t i : out.over(Kind::profile)) {
        const auto& p = c.view.profile[i];
        look(Kind::profile, p.id, p.accuracy_class, AccuracyOf::active_meter);
    }
}

// Classes 3 and 5 promise nothing of the phase displacement, hence nothing of the energy of inductive loads.
void class_not_for_billing(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t i : out.over(Kind::ct)) {
        const as_of::ct_type* type = type_of(v, v.ct[i]);
        if (type == nullptr) continue;
        const AccuracyClass* its = class_of(AccuracyOf::current_transformer, type->accuracy_class);
        if (its == nullptr) continue;
        std::string_view point;
        for (const Wired& w : c.ct_channels[i])
            for (const Use& u : c.channel_uses[w.channel])
                if (point.empty() && c.bills(u.point)) point = v.point[u.point].id;
        if (point.empty()) continue;
        if (its->form != LimitForm::ratio) {
            out.right();
            continue;
        }
        Finding& f = out.wrong();
        f.about(Kind::ct, v.ct[i].id).about(Kind::point, point).word("class", type->accuracy_class);
        f.source = its->standard;
        f.at(pointer_to(Kind::ct_type, type->id, "accuracy_class"));
    }
}

// Limits of CT and meter together, at the rated current of the CT, the worse of power factor 1 and 0.8 lagging.
void accuracy_not_met(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t p : out.over(Kind::point)) {
        if (!v.point[p].accuracy_percent) continue;
        double worst = 0;
        bool known = true;
        bool memory = false;
        for (const std::uint32_t i : c.channels_of(p)) {
            const as_of::channel& x = v.channel[i];
            const as_of::profile* profile = profile_of(v, x);
            if (profile != nullptr && profile->accuracy_class.empty())
                out.lacks(Kind::profile, static_cast<std::size_t>(profile - v.profile.data()),
                          field_of::profile::accuracy_class);
            for (const Term& t : x.cts) {
                const as_of::ct_type* type =
                    t.ref.resolved() ? type_of(v, v.ct[static_cast<std::size_t>(t.ref.at)]) : nullptr;
                if (type != nullptr && type->accuracy_class.empty())
                    out.lacks(Kind::ct_type, static_cast<std::size_t>(type - v.ct_type.data()),
                              field_of::ct_type::accuracy_class);
                if (type == nullptr || profile == nullptr || type->accuracy_class.empty() ||
                    profile->accuracy_class.empty()) {
                    known = false;
                    continue;
                }
                try {
                    for (const double angle : {0.0, 36.86989764584402}) {  // acos 1 and acos 0.8
                        const double radians = angle * 3.141592653589793 / 180;
                        const std::complex<double> load = std::polar(1.0, radians);
                        const AccuracyLimits ct =
                            accuracy_limits(AccuracyOf::current_transformer, type->accuracy_class, 100, angle);
                        const AccuracyLimits meter =
                            accuracy_limits(AccuracyOf::active_meter, profile->accuracy_class, 100, angle);
                        const PowerUncertainty u = power_uncertainty(load, &ct, &meter);
                        worst = std::max(worst, u.watts_limit / load.real() * 100);
                        memory = memory || u.from_memory;
                    }
                } catch (const Failure&) {  // the class says nothing there, or is none of the table
                    known = false;
                }
            }
        }
        if (!known || worst == 0) {
            out.skip();
            continue;
        }
        if (worst <= *v.point[p].accuracy_percent * (1 + 1e-9)) {
            out.right();
            continue;
        }
        Finding& f = out.wrong();
        f.about(Kind::point, v.point[p].id);
        f.number("measured", worst, "%").number("limit", *v.point[p].accuracy_percent, "%");
        f.source = memory ? "limits of the classes, some of them from memory" : "limits of the classes";
        f.at(pointer_to(Kind::point, v.point[p].id, "accuracy_percent"));
    }
}

namespace {

/// Says where the elements of one owner differ in @p what.
template <class What>
std::vector<std::string> different(const View& v, std::span<const std::uint32_t> cts, What what) {
    std::vector<std::string> out;
    for (const std::uint32_t i : cts) {
        const as_of::ct_type* type = type_of(v, v.ct[i]);
        if (type == nullptr) continue;
        std::string word = what(*type);
        if (!word.empty() && std::find(out.begin(), out.end(), word) == out.end()) out.push_back(std::move(word));
    }
    return out;
}

}  // namespace

// Solid and split cores err differently in angle; a point adds what they see.
void mixed_cores(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t p : out.over(Kind::point)) {
        std::vector<std::uint32_t> cts;
        for (const std::uint32_t i : c.channels_of(p))
            for (const Term& t : v.channel[i].cts)
                if (t.ref.resolved()) cts.push_back(static_cast<std::uint32_t>(t.ref.at));
        const auto cores = different(v, cts, [](const as_of::ct_type& t) {
            return t.core == Core::unknown ? std::string() : std::string(word_of(t.core));
        });
        if (cores.empty()) continue;
        if (cores.size() == 1) {
            out.right();
            continue;
        }
        Finding& f = out.wrong();
        f.about(Kind::point, v.point[p].id).word("cores", listed(cores)).source = practice;
        f.at(pointer_to(Kind::point, v.point[p].id, "elements"));
    }
}

void mixed_ratings(const Context& c, Verdicts& out) {
    const View& v = c.view;
    for (const std::uint32_t i : out.over(Kind::circuit)) {
        std::vector<std::uint32_t> cts;
        for (const Through& t : c.circuit_cts[i]) cts.push_back(t.ct);
        const auto ratings = different(v, cts, [](const as_of::ct_type& t) {
            return t.primary_amps ? std::to_string(*t.primary_amps) + " A" : std::string();
        });
        if (ratings.empty()) continue;
        if (ratings.size() == 1) {
            out.right();
            continue;
        }
        Finding& f = out.wrong();
        f.about(Kind::circuit, v.circuit[i].id).word("ratings", listed(ratings)).source = practice;
        f.at(pointer_to(Kind::circuit, v.circuit[i].id));
    }
}

}  // namespace bln::rules
