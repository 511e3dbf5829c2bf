#include "plan/cautions.hpp"

#include <fmt/format.h>

#include <cmath>

#include "site/topology.hpp"

namespace bln::plan {
namespace {

// Common practice, no source, unless a line says otherwise.
constexpr std::string_view of_amps =
    "Current-output CT in amperes: never open the secondary while current flows in the primary. Short it at the "
    "terminals "
    "made for that before you unplug, extend or exchange anything; an open secondary reaches thousands of volts.";
constexpr std::string_view of_milliamps =
    "Current-output CT in milliamperes: short the secondary before unplugging unless the type is clamped inside. Its "
    "burden resistor is fitted once.";
constexpr std::string_view of_millivolts =
    "Voltage-output CT with built-in burden: an open secondary does no harm. Two inputs in parallel falsify it; its "
    "direction counts all the same.";
constexpr std::string_view of_rogowski =
    "Flexible coil: an open output does no harm. Close the coil fully, keep the closure away from other conductors, "
    "and the "
    "conductor in the middle.";

}  // namespace

std::vector<std::string> general_cautions() {
    return {
        "Only qualified people work here, under local code and the rules of their employer. De-energise, lock out, "
        "prove "
        "dead with a tester that is proven before and after; a reading of zero alone proves nothing.",
        "Where energised work cannot be avoided: permit, boundaries, arc-flash protection. Opening a split core round "
        "a "
        "live conductor is live work.",
        "Voltage leads have their own protection, sized for the wire. Keep to the panel's listing for what may be "
        "mounted "
        "in it, and do not break seals.",
        "This sheet supports licensed practice and the rules of the local metrology authority, and never replaces "
        "them."};
}

std::vector<std::string> panel_cautions(const View& view, const SheetPanel& panel) {
    bool amps = false, milliamps = false, millivolts = false, rogowski = false;
    for (const SheetDevice& d : panel.devices)
        for (const SheetRow& r : d.rows) {
            if (r.ct < 0) continue;
            const Ref& type = view.ct[static_cast<std::size_t>(r.ct)].type;
            // Where the output is not known, the dangerous one is assumed.
            const Output o = type.resolved() ? view.ct_type[static_cast<std::size_t>(type.at)].output : Output::unknown;
            amps = amps || o == Output::amps || o == Output::unknown;
            milliamps = milliamps || o == Output::milliamps;
            millivolts = millivolts || o == Output::millivolts;
            rogowski = rogowski || o == Output::rogowski_millivolts;
        }
    std::vector<std::string> out;
    if (amps) out.emplace_back(of_amps);
    if (milliamps) out.emplace_back(of_milliamps);
    if (millivolts) out.emplace_back(of_millivolts);
    if (rogowski) out.emplace_back(of_rogowski);
    const ServiceOf service = panel.panel < 0 ? ServiceOf{} : service_of_panel(view, panel.panel);
    if (!service.known()) return out;
    const as_of::service& s = view.service[static_cast<std::size_t>(service.at)];
    if (const Conductor high = high_leg(s); high != Conductor::none) {
        std::string words = fmt::format("High-leg delta: {} stands higher", bln::word_of(high));
        if (s.volts_ln) words += fmt::format(", about {:.0f} V to neutral", *s.volts_ln * std::sqrt(3.0));
        out.push_back(words + ". Never land a load between it and the neutral.");
    }
    if (const Conductor corner = grounded_phase(s); corner != Conductor::none)
        out.push_back(
            fmt::format("Corner-grounded delta: {} is a phase that reads about 0 V to ground.", bln::word_of(corner)));
    if (s.kind == ServiceKind::three_wire_delta)
        out.emplace_back(
            "Delta without a grounded conductor: any phase may stand at the full voltage between lines to ground.");
    return out;
}

}  // namespace bln::plan
