// The phase test as text.
#include <fmt/format.h>

#include <iterator>

#include "plan/phase_test.hpp"

namespace bln {
namespace {

constexpr std::string_view cautions =
    "Cautions\n"
    "  Measuring on live parts is for qualified people under local code and employer rules, with protective equipment\n"
    "  and an instrument of the right measurement category. Prove it on a known source before and after: a reading of\n"
    "  zero does not prove a conductor dead, and a high-impedance voltmeter shows voltage on open conductors. On a\n"
    "  corner-grounded service the grounded phase reads 0 V to ground and is a live phase conductor; on a delta "
    "without\n"
    "  ground any phase may float to the full voltage. 208 V to neutral is a high leg. The test says nothing of the\n"
    "  direction of a CT, nor of the phase sequence.\n";

std::string_view word(PhaseVerdict v) {
    switch (v) {
        case PhaseVerdict::impossible:
            return "impossible";
        case PhaseVerdict::ambiguous:
            return "not decided";
        case PhaseVerdict::likely:
            return "likely";
        case PhaseVerdict::proven:
            return "proven";
        case PhaseVerdict::not_tested:
            break;
    }
    return "not tested";
}

std::string_view word(PanelVerdict v) {
    switch (v) {
        case PanelVerdict::mixed:
            return "follows no order of its bus";
        case PanelVerdict::rotated:
            return "is landed in another order";
        case PanelVerdict::undecided:
            return "is not decided yet";
        case PanelVerdict::as_recorded:
            return "is as recorded";
        case PanelVerdict::not_tested:
            break;
    }
    return "is not tested";
}

}  // namespace

std::string phase_test_text(const PhaseTest& test) {
    std::string text = "Voltmeter phase test, references of service " + test.service + "\n";
    auto out = std::back_inserter(text);
    for (const PhasePanel& p : test.panels) {
        fmt::format_to(out, "\nPanel {} {}: {} of {} conductors agree; recorded {}{}\n", p.panel, word(p.verdict),
                       p.agree, p.tested, p.recorded, p.measured.empty() ? "" : ", measured " + p.measured);
        if (!p.next.empty()) fmt::format_to(out, "  Next: {}.\n", p.next);
    }
    text += '\n';
    for (const PhaseRow& r : test.rows) {
        fmt::format_to(out, "  {:<20} {}", r.conductor, word(r.verdict));
        if (r.phase != Conductor::none)
            fmt::format_to(out, ": {}", r.phase == Conductor::N ? "the neutral" : std::string(word_of(r.phase)));
        else if (!r.candidates.empty())
            fmt::format_to(out, ": one of {}", r.candidates);
        if (r.recorded != Conductor::none && r.phase != Conductor::none && r.phase != r.recorded)
            fmt::format_to(out, " (recorded {})", word_of(r.recorded));
        text += '\n';
        if (r.cause != PhaseCause::none) fmt::format_to(out, "      {}\n", info(r.cause).what);
        if (!r.detail.empty()) fmt::format_to(out, "      {}\n", r.detail);
        if (!r.next.empty()) fmt::format_to(out, "      Next: {}.\n", r.next);
    }
    text += '\n';
    text += cautions;
    return text;
}

}  // namespace bln
