#include "proof/wiring.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace bln::proof {
namespace {

using Complex = std::complex<double>;
constexpr double degree = std::numbers::pi / 180;

Complex turn(double degrees) { return std::polar(1.0, degrees * degree); }
double angle_of(Complex z) { return std::arg(z) / degree; }

/// Conductor behind a terminal label of the device.
Conductor landed(const View& view, const as_of::device& device, Conductor label) {
    if (device.landed.empty() || !device.profile.resolved()) return label;
    const as_of::profile& profile = view.profile[static_cast<std::size_t>(device.profile.at)];
    for (std::size_t i = 0; i < profile.references.size() && i < device.landed.size(); ++i)
        if (profile.references[i] == word_of(label)) return conductor_of(device.landed[i]);
    return label;
}

/// The voltages that can drive the current of one conductor of a load.
std::vector<Complex> drives(const Nominal& u, const as_of::service& service, const PolePhases& poles, Answer neutral,
                            Conductor c) {
    const Complex v = u.potential[index_of(c)];
    const Complex to_neutral = v - (has_neutral(service) ? u.potential[index_of(Conductor::N)] : u.star);
    std::size_t own = 3;
    for (std::size_t i = 0; i < poles.count; ++i)
        if (poles.pole[i].phase == c) own = i;
    if (own == 3 || poles.count == 1) return {to_neutral};
    if (poles.count == 2) {
        const Complex between = v - u.potential[index_of(poles.pole[1 - own].phase)];
        if (neutral == Answer::no) return {between};
        return {between, to_neutral};
    }
    if (neutral == Answer::no || service.kind != ServiceKind::high_leg_delta) return {v - u.star};
    return {v - u.star, to_neutral};
}

/// Range of offsets between the angle read with @p reference and that of the load.
void offsets(Complex reference, const std::vector<Complex>& list, bool reversed, Wiring& out) {
    const double first = angle_of(reference / list.front()) + (reversed ? 180 : 0);
    double low = 0, high = 0;
    for (const Complex d : list) {
        const double more = std::remainder(angle_of(reference / d) + (reversed ? 180 : 0) - first, 360.0);
        low = std::min(low, more);
        high = std::max(high, more);
    }
    const double base = std::remainder(first, 360.0);
    out.low = base + low;
    out.high = base + high;
}

bool same_offsets(const Wiring& a, const Wiring& b) {
    return std::abs(std::remainder(a.low - b.low, 360.0)) < 1e-6 &&
           std::abs(std::remainder(a.high - b.high, 360.0)) < 1e-6;
}

/// The circuit whose conductor the CT holds; otherwise the circuit of the point that has the phase.
std::int32_t circuit_of(const View& view, std::int32_t channel, Conductor phase) {
    for (const Term& t : view.channel[static_cast<std::size_t>(channel)].cts)
        if (t.ref.resolved())
            for (const Pass& p : view.ct[static_cast<std::size_t>(t.ref.at)].passes)
                if (p.circuit.resolved()) return p.circuit.at;
    for (const as_of::point& point : view.point)
        for (const Term& t : point.elements) {
            if (t.ref.at != channel) continue;
            std::int32_t found = -1;
            for (const Ref& c : point.circuits) {
                if (!c.resolved()) continue;
                if (found < 0) found = c.at;
                const PolePhases poles = pole_phases(view, c.at);
                for (std::size_t i = 0; i < poles.count; ++i)
                    if (poles.pole[i].phase == phase) return c.at;
            }
            return found;
        }
    return -1;
}

}  // namespace

Nominal nominal_of(const as_of::service& s) {
    using enum Conductor;
    Nominal u;
    const double sense = s.rotation == Rotation::ACB ? 1 : -1;
    auto& v = u.potential;
    const auto set = [&](Conductor c, Complex z) { v[index_of(c)] = z; };
    switch (s.kind) {
        case ServiceKind::single_phase_two_wire:
            set(A, 1);
            break;
        case ServiceKind::single_phase_three_wire: {
            const ServicePhases legs = service_phases(s);
            set(legs.phase[0], 1);
            set(legs.phase[1], -1);
            break;
        }
        case ServiceKind::high_leg_delta: {
            // The winding between the two low legs is tapped in the middle; for a high leg B and ABC:
            // A = 1, B = -j sqrt(3), C = -1. The other high legs are the same, turned round.
            const auto high = index_of(bln::high_leg(s));
            v[(high + 2) % 3] = 1;
            v[high] = Complex(0, sense * std::numbers::sqrt3);
            v[(high + 1) % 3] = -1;
            break;
        }
        case ServiceKind::two_legs_of_wye:
        case ServiceKind::four_wire_wye:
        case ServiceKind::three_wire_delta:
        case ServiceKind::corner_grounded_delta:
            set(A, 1);
            set(B, turn(sense * 120));
            set(C, turn(-sense * 120));
            u.wye_angles = true;
            break;
        case ServiceKind::unknown:
            break;
    }
    if (service_phases(s).count == 3) u.star = (v[0] + v[1] + v[2]) / 3.0;
    if (const Conductor corner = grounded_phase(s); corner != none) set(G, v[index_of(corner)]);
    u.unit_volts = unit_volts(s);
    return u;
}

bool inside(double angle, double low, double high, double margin) noexcept {
    const double middle = (low + high) / 2, half = (high - low) / 2 + margin;
    return half >= 180 || std::abs(std::remainder(angle - middle, 360.0)) <= half;
}

std::vector<std::int32_t> first_points(const View& view) {
    std::vector<std::int32_t> out(view.channel.size(), -1);
    for (std::size_t p = view.point.size(); p-- > 0;)
        for (const Term& t : view.point[p].elements)
            if (t.ref.resolved()) out[static_cast<std::size_t>(t.ref.at)] = static_cast<std::int32_t>(p);
    return out;
}

ChannelWiring wiring_of(const View& view, std::int32_t channel) {
    ChannelWiring out;
    const auto unknown = [&](const char* why) {
        out.unknown = why;
        return out;
    };
    const as_of::channel& ch = view.channel[static_cast<std::size_t>(channel)];
    if (ch.reference == Reference::unknown) return unknown("its voltage reference is not stated");
    if (!ch.device.resolved()) return unknown("its device is not stated");
    const as_of::device& device = view.device[static_cast<std::size_t>(ch.device.at)];
    if (!device.service.resolved()) return unknown("the service of its device is not stated");
    const as_of::service& service = view.service[static_cast<std::size_t>(device.service.at)];
    const ServicePhases phases = service_phases(service);
    if (phases.count == 0) return unknown("the kind of its service is not stated");
    const Nominal u = nominal_of(service);

    const std::string_view word = word_of(ch.reference);
    const std::string_view second = word.substr(word.find('-') + 1);
    out.conductor = landed(view, device, conductor_of(word.substr(0, 1)));
    const Conductor common = second == "star" ? Conductor::none : landed(view, device, conductor_of(second));
    if (out.conductor == Conductor::none || (second != "star" && common == Conductor::none))
        return unknown("a voltage terminal of its reference is landed on nothing");
    if (out.conductor == common) return unknown("both voltage terminals of its reference are landed on one conductor");
    out.line_to_neutral = second != "star" && (common == Conductor::N || common == Conductor::G);
    if (!phases.has(out.conductor)) return unknown("its service does not have the phase of its reference");
    if (common == Conductor::N && !has_neutral(service)) return unknown("its service has no neutral");
    const Complex reference =
        u.potential[index_of(out.conductor)] - (second == "star" ? u.star : u.potential[index_of(common)]);
    out.reference_volts = std::abs(reference) * u.unit_volts;
    if (std::abs(reference) < 1e-9) {
        out.dead_reference = true;
        return unknown("its reference is the grounded phase: it reads 0 W, which is normal");
    }

    PolePhases poles;
    Answer neutral = Answer::yes;
    out.circuit = circuit_of(view, channel, out.conductor);
    if (out.circuit >= 0) {
        poles = pole_phases(view, out.circuit);
        if (!poles.known()) poles.count = 0;
        neutral = neutral_of(view, out.circuit);
        out.load = view.circuit[static_cast<std::size_t>(out.circuit)].load;
    }
    out.known = true;
    offsets(reference, drives(u, service, poles, neutral, out.conductor), false, out.recorded);
    out.recorded.words = "as recorded";
    for (std::size_t i = 0; i < phases.count; ++i)
        for (const bool reversed : {false, true}) {
            const Conductor c = phases.phase[i];
            if (c == out.conductor && !reversed) continue;
            Wiring w;
            offsets(reference, drives(u, service, poles, neutral, c), reversed, w);
            // Electrically the same: the other pole of a load between lines, reversed, carries the same current.
            if (same_offsets(w, out.recorded)) continue;
            w.words = c == out.conductor ? "reversed"
                                         : "on phase " + std::string(word_of(c)) + (reversed ? ", reversed" : "");
            out.others.push_back(std::move(w));
        }
    // What the service itself makes plainest comes first: "reversed" before another conductor.
    std::stable_sort(out.others.begin(), out.others.end(),
                     [](const Wiring& a, const Wiring& b) { return a.words == "reversed" && b.words != "reversed"; });
    return out;
}

}  // namespace bln::proof
