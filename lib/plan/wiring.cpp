#include "plan/wiring.hpp"

#include <cmath>
#include <string>

namespace bln::plan {
namespace {

char letter(Conductor c) {
    constexpr Conductor known[] = {Conductor::A, Conductor::B, Conductor::C, Conductor::N, Conductor::G};
    for (std::size_t i = 0; i < 5; ++i)
        if (known[i] == c) return "ABCNG"[i];
    return '?';
}

Element element(int pole, Conductor on, Conductor common) {
    const std::string word{letter(on), '-', letter(common)};
    return {pole, on, common, static_cast<Reference>(choices_Reference.find(word))};
}

}  // namespace

ElementsOf elements_of(const View& view, std::int32_t circuit, bool fewest) {
    ElementsOf out;
    const ServiceOf service = service_of(view, circuit);
    const PolePhases poles = pole_phases(view, circuit);
    out.gap = !service.known() ? service.gap : poles.gap;
    if (out.gap != Gap::none) return out;
    const as_of::service& s = view.service[static_cast<std::size_t>(service.at)];
    if (s.kind == ServiceKind::unknown) {
        out.gap = Gap::kind_absent;
        return out;
    }
    const auto phase = [&](int pole) { return poles.pole[static_cast<std::size_t>(pole - 1)].phase; };
    const bool no_neutral = !has_neutral(s) || (fewest && neutral_of(view, circuit) == Answer::no);
    if (!no_neutral) {
        for (int p = 1; p <= poles.count; ++p) out.elements.push_back(element(p, phase(p), Conductor::N));
        return out;
    }
    // Without a neutral the voltages share one of the load's own lines, which then needs no CT. On a corner-grounded
    // delta that is the grounded phase.
    const Conductor corner = grounded_phase(s);
    if (poles.count == 1) {
        if (corner == Conductor::none || phase(1) == corner)
            out.no_return = true;
        else
            out.elements.push_back(element(1, phase(1), corner));
        return out;
    }
    int common = 2;
    for (int p = 1; p <= poles.count; ++p)
        if (phase(p) == corner) common = p;
    for (int p = 1; p <= poles.count; ++p)
        if (p != common) out.elements.push_back(element(p, phase(p), phase(common)));
    return out;
}

std::optional<double> nominal_volts(const as_of::service& service, const Element& element) {
    if (element.common != Conductor::N) return service.volts_ll;
    if (!service.volts_ln) return std::nullopt;
    return element.on == high_leg(service) ? *service.volts_ln * std::sqrt(3.0) : *service.volts_ln;
}

std::int32_t choose_ct_type(const View& view, const std::vector<std::int32_t>& types, Output output,
                            std::optional<double> breaker_amps, std::optional<double> full_scale) {
    std::int32_t best = -1;
    std::int64_t rating = 0;
    for (const std::int32_t at : types) {
        const as_of::ct_type& t = view.ct_type[static_cast<std::size_t>(at)];
        if (!t.primary_amps || (output != Output::unknown && t.output != output)) continue;
        if (breaker_amps && static_cast<double>(*t.primary_amps) < *breaker_amps) continue;
        if (full_scale && t.secondary && static_cast<double>(*t.secondary) > *full_scale) continue;
        if (best >= 0 && *t.primary_amps >= rating) continue;
        best = at;
        rating = *t.primary_amps;
    }
    return best;
}

}  // namespace bln::plan
