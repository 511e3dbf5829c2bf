#include "site/uncertainty.hpp"

#include <cmath>
#include <map>
#include <numbers>
#include <string>
#include <vector>

#include "power/failure.hpp"
#include "site/finding.hpp"

namespace bln {
namespace {

[[noreturn]] void absent(const char* what, Kind kind, std::string_view id, std::string_view field) {
    throw Failure(BLN_E_ABSENT, what, std::string(id), pointer_to(kind, id, field));
}

std::size_t resolved(const Ref& ref, const char* what, Kind kind, std::string_view id, std::string_view field) {
    if (!ref.resolved()) absent(what, kind, id, field);
    return static_cast<std::size_t>(ref.at);
}

/// What stands behind one element.
struct Chain {
    std::size_t channel = 0, device = 0, ct_type = 0, profile = 0;
    double rated = 0;
};

Chain chain_of(const View& view, std::int32_t channel) {
    Chain out;
    out.channel = static_cast<std::size_t>(channel);
    const auto& ch = view.channel[out.channel];
    if (ch.cts.empty()) absent("the CT of the channel is not recorded", Kind::channel, ch.id, "cts");
    if (ch.cts.size() > 1)
        absent("the channel adds several CTs: how their errors combine depends on the share of each", Kind::channel,
               ch.id, "cts");
    const auto& ct = view.ct[resolved(ch.cts[0].ref, "the CT does not exist", Kind::channel, ch.id, "cts")];
    out.ct_type = resolved(ct.type, "the type of the CT is not recorded", Kind::ct, ct.id, "type");
    const auto& type = view.ct_type[out.ct_type];
    if (type.accuracy_class.empty())
        absent("the accuracy class of the CT type is not recorded", Kind::ct_type, type.id, "accuracy_class");
    if (!type.primary_amps)
        absent("the rated current of the CT type is not recorded", Kind::ct_type, type.id, "primary_amps");
    out.rated = static_cast<double>(*type.primary_amps);
    out.device = resolved(ch.device, "the device of the channel is not recorded", Kind::channel, ch.id, "device");
    const auto& device = view.device[out.device];
    out.profile =
        resolved(device.profile, "the profile of the device is not recorded", Kind::device, device.id, "profile");
    const auto& profile = view.profile[out.profile];
    if (profile.accuracy_class.empty())
        absent("the accuracy class of the device is not recorded", Kind::profile, profile.id, "accuracy_class");
    return out;
}

/// Limits of a class of the record; a failure names the entity that states the class.
AccuracyLimits limits_of(AccuracyOf of, std::string_view name, Kind kind, std::string_view id, double percent,
                         double angle) {
    try {
        return accuracy_limits(of, name, percent, angle);
    } catch (Failure& f) {
        f.items().front().subject = std::string(id);
        f.items().front().pointer = pointer_to(kind, id, "accuracy_class");
        throw;
    }
}

/// @p percent of the CT's rating.
PowerUncertainty element_uncertainty(const View& view, const Chain& c, std::complex<double> power, double percent) {
    const double angle = power == std::complex<double>{} ? 0 : std::arg(power) * 180 / std::numbers::pi;
    const auto& type = view.ct_type[c.ct_type];
    const auto& profile = view.profile[c.profile];
    const AccuracyLimits ct =
        limits_of(AccuracyOf::current_transformer, type.accuracy_class, Kind::ct_type, type.id, percent, angle);
    const AccuracyLimits meter =
        limits_of(AccuracyOf::active_meter, profile.accuracy_class, Kind::profile, profile.id, percent, angle);
    try {
        return power_uncertainty(power, &ct, &meter);
    } catch (Failure& f) {
        f.items().front().subject = std::string(type.id);
        f.items().front().pointer = pointer_to(Kind::ct_type, type.id, "accuracy_class");
        throw;
    }
}

std::span<const Term> elements_of(const View& view, std::size_t point) {
    const auto& p = view.point[point];
    if (p.elements.empty()) absent("the elements of the point are not recorded", Kind::point, p.id, "elements");
    for (const Term& t : p.elements)
        if (!t.ref.resolved()) absent("an element of the point does not exist", Kind::point, p.id, "elements");
    return p.elements;
}

/// Relative standard uncertainty of a point at one load of all its elements, and the group of its make.
struct Relative {
    double random = 0;
    std::uint32_t group = 0;
    bool from_memory = false;
};
Relative relative_of(const View& view, std::size_t point, const SumAssumption& load) {
    const double radians = load.angle_degrees * std::numbers::pi / 180;
    const std::complex<double> unit = std::polar(1.0, radians);
    if (std::abs(unit.real()) < 1e-9) throw Failure(BLN_E_RANGE, "a load of 90 degrees has no active energy");
    Relative out;
    for (const Term& t : elements_of(view, point)) {
        const Chain c = chain_of(view, t.ref.at);
        const PowerUncertainty u = element_uncertainty(view, c, unit, load.percent);
        out.from_memory = out.from_memory || u.from_memory;
        if (const double r = u.watts() / std::abs(unit.real()); r > out.random) {
            out.random = r;
            out.group = static_cast<std::uint32_t>(c.ct_type * view.profile.size() + c.profile);
        }
    }
    return out;
}

/// Coefficient of each point in a roll-up. Parts are taken in an order in which each comes after all that add it, so
/// that a part that is added along many ways is walked once.
std::map<std::size_t, double> expand(const View& view, std::size_t rollup) {
    const auto part = [&](const as_of::rollup& r, const Term& t) {
        return resolved(t.ref, "a part of the roll-up does not exist", Kind::rollup, r.id, "rollups");
    };
    std::vector<std::uint8_t> seen(view.rollup.size(), 0);
    std::vector<std::size_t> reached{rollup}, adders(view.rollup.size(), 0);
    seen[rollup] = 1;
    for (std::size_t i = 0; i < reached.size(); ++i)
        for (const Term& t : view.rollup[reached[i]].rollups) {
            const std::size_t to = part(view.rollup[reached[i]], t);
            ++adders[to];
            if (seen[to] == 0) reached.push_back(to);
            seen[to] = 1;
        }
    std::map<std::size_t, double> points;
    std::vector<double> times(view.rollup.size(), 0);
    times[rollup] = 1;
    std::vector<std::size_t> order;
    if (adders[rollup] == 0) order.push_back(rollup);
    for (std::size_t i = 0; i < order.size(); ++i) {
        const auto& r = view.rollup[order[i]];
        const double by = times[order[i]];
        for (const Term& t : r.points)
            points[resolved(t.ref, "a point of the roll-up does not exist", Kind::rollup, r.id, "points")] +=
                by * t.weight.real();
        for (const Term& t : r.rollups) {
            const std::size_t to = part(r, t);
            times[to] += by * t.weight.real();
            if (--adders[to] == 0) order.push_back(to);
        }
    }
    if (order.size() != reached.size())
        throw Failure(BLN_E_VALUE, "the roll-up adds itself", std::string(view.rollup[rollup].id));
    return points;
}

}  // namespace

PointUncertainty point_uncertainty(const View& view, std::int32_t point, std::span<const ElementLoad> loads) {
    const std::span<const Term> elements = elements_of(view, static_cast<std::size_t>(point));
    if (loads.size() != elements.size())
        throw Failure(BLN_E_ARGUMENT, "the point has " + std::to_string(elements.size()) + " elements, and there are " +
                                          std::to_string(loads.size()) + " loads");
    PointUncertainty out;
    double ct_watts = 0;
    std::map<std::size_t, double> devices;
    for (std::size_t e = 0; e < elements.size(); ++e) {
        const Chain c = chain_of(view, elements[e].ref.at);
        const std::complex<double> power{loads[e].watts, loads[e].vars};
        out.power += power;
        // A CT without current adds nothing, whatever its class says of small currents.
        if (power == std::complex<double>{}) continue;
        const PowerUncertainty u = element_uncertainty(view, c, power, 100 * loads[e].amps / c.rated);
        ct_watts = std::hypot(ct_watts, u.watts_ct);
        devices[c.device] += u.watts_meter;
        out.watts_limit += u.watts_limit;
        out.from_memory = out.from_memory || u.from_memory;
    }
    out.watts = ct_watts;
    for (const auto& [device, watts] : devices) out.watts = std::hypot(out.watts, watts);
    return out;
}

SumUncertainty rollup_uncertainty(const View& view, std::int32_t rollup, const SumAssumption& load,
                                  std::span<const PointEnergy> energies) {
    if (!std::isfinite(load.percent) || !std::isfinite(load.angle_degrees) || !std::isfinite(load.shared_percent))
        throw Failure(BLN_E_NOT_FINITE, "the assumed load must be finite");
    if (load.shared_percent < 0) throw Failure(BLN_E_RANGE, "the shared uncertainty cannot be negative");
    std::map<std::string_view, double> energy;
    for (const PointEnergy& e : energies) {
        if (view.model().find(Kind::point, e.point) < 0)
            throw Failure(BLN_E_NO_ENTITY, "there is no such point", std::string(e.point));
        if (!energy.emplace(e.point, e.energy).second)
            throw Failure(BLN_E_VALUE, "the point has two energies", std::string(e.point));
    }
    SumUncertainty out;
    const auto term = [&](std::size_t point, double coefficient) {
        const auto found = energy.find(view.point[point].id);
        if (found == energy.end())
            throw Failure(BLN_E_ABSENT, "there is no energy of the point", std::string(view.point[point].id));
        const Relative r = relative_of(view, point, load);
        out.from_memory = out.from_memory || r.from_memory;
        const double size = std::abs(found->second);
        return UncertainTerm{coefficient, found->second, size * r.random, size * load.shared_percent / 100, r.group};
    };
    const auto at = static_cast<std::size_t>(rollup);
    std::vector<UncertainTerm> terms;
    for (const auto& [point, coefficient] : expand(view, at)) terms.push_back(term(point, coefficient));
    out.sum = combine(terms);
    if (const Ref& main = view.rollup[at].against; main.resolved()) {
        out.has_main = true;
        terms.push_back(term(static_cast<std::size_t>(main.at), -1));
        out.main = combine(std::span(terms).last(1));
        out.main.value = -out.main.value;
        out.difference = combine(terms);
    }
    return out;
}

}  // namespace bln
