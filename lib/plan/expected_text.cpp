// The sheet of expected readings as text and as CSV.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numeric>

#include "plan/expected.hpp"
#include "site/json_text.hpp"

namespace bln {
namespace {

constexpr std::string_view cautions =
    "Cautions\n"
    "  Work on live panels is for qualified people under local code and employer rules; lock off first, and wear\n"
    "  arc-flash protection where live work cannot be avoided. Never open the secondary of a current-output CT under\n"
    "  load: short it first. A reading of zero does not prove a conductor dead. 208 V to neutral is a high leg: never\n"
    "  plug a 120 V load in there. This sheet supports, and never replaces, licensed practice and the rules of the\n"
    "  local metrology authority.\n";

std::string_view word(Expectation e) {
    switch (e) {
        case Expectation::known:
            return "known";
        case Expectation::zero_volts:
            return "zero_volts";
        case Expectation::no_current:
            return "no_current";
        case Expectation::unknown:
            break;
    }
    return "unknown";
}

std::string_view word(LeastBy by) {
    switch (by) {
        case LeastBy::rating:
            return "rating";
        case LeastBy::floor:
            return "floor";
        case LeastBy::noise:
            return "noise";
        case LeastBy::power:
            return "power";
        case LeastBy::accuracy:
            return "class";
    }
    return "floor";
}

std::string_view asks(LeastBy by) {
    switch (by) {
        case LeastBy::rating:
            return "share of the rating";
        case LeastBy::floor:
            return "smallest current";
        case LeastBy::noise:
            return "noise";
        case LeastBy::power:
            return "smallest power";
        case LeastBy::accuracy:
            return "accuracy class of the CT";
    }
    return "";
}

/// Upwards to three digits: a limit that is rounded down would no longer be met.
double up(double v) {
    if (v <= 0) return 0;
    const double unit = std::pow(10, std::floor(std::log10(v)) - 2);
    return std::ceil(v / unit - 1e-9) * unit;
}

std::string_view load_words(Load load) { return load == Load::unknown ? "load not stated" : word_of(load); }

void tell(const ExpectedRow& r, std::string& to) {
    auto out = std::back_inserter(to);
    fmt::format_to(out, "  input {:<3} {}", r.input > 0 ? std::to_string(r.input) : "?", r.channel);
    if (!r.circuit.empty()) fmt::format_to(out, "  CT round {} of {}", r.conductors, r.circuit);
    if (!r.reference.empty()) fmt::format_to(out, ", reference {}", r.reference);
    if (!r.circuit.empty()) fmt::format_to(out, ", {}", load_words(r.load));
    to += '\n';
    switch (r.state) {
        case Expectation::unknown:
            fmt::format_to(out, "      Not foretold: {}.\n", r.why);
            return;
        case Expectation::zero_volts:
            to +=
                "      0 V and 0 W at any load: its reference is the grounded phase. That is normal; the phase "
                "conductor\n      is live all the same.\n";
            return;
        case Expectation::no_current:
            to += "      0 W at any load: the currents through its CT cancel. The arrangement cannot measure.\n";
            return;
        case Expectation::known:
            break;
    }
    if (r.volts > 0)
        fmt::format_to(out, "      {:.0f} V ({:.0f} to {:.0f})", r.volts, r.volts_low, r.volts_high);
    else
        to += "      volts not recorded";
    fmt::format_to(out, "; load angle {:.0f} to {:.0f} deg; watts {}\n", r.angle_low_deg, r.angle_high_deg,
                   r.sign > 0   ? "positive"
                   : r.sign < 0 ? "negative"
                                : "of either sign");
    if (std::abs(r.offset_low_deg) > 0.5 || std::abs(r.offset_high_deg) > 0.5) {
        if (r.offset_high_deg - r.offset_low_deg < 0.5)
            fmt::format_to(out, "      ({:+.0f} deg of it come from reference and connection: healthy)\n",
                           r.offset_low_deg);
        else
            fmt::format_to(out, "      ({:+.0f} to {:+.0f} deg of it come from reference and connection: healthy)\n",
                           r.offset_low_deg, r.offset_high_deg);
    }
    fmt::format_to(out, "      Proof needs at least {:.3g} A here", up(r.least_amps));
    if (r.load_volts > 0) {
        fmt::format_to(out, ": {} {:.3g} W at {:.0f} V{}",
                       (r.flags & expected_flag::beyond_heater) != 0 ? "run" : "plug in", up(r.least_watts),
                       r.load_volts, r.load_phases == 3 ? " on three phases" : "");
        fmt::format_to(out, "; a heater then reads {:.0f} to {:.0f} deg", r.heater_low_deg, r.heater_high_deg);
    }
    fmt::format_to(out, " (limit: {})\n", asks(r.least_by));
    const auto flag = [&](std::uint32_t bit, const char* words) {
        if ((r.flags & bit) != 0) fmt::format_to(out, "      {}\n", words);
    };
    using namespace expected_flag;
    flag(beyond_breaker, "That is more than the breaker carries: the CT is too large to prove this circuit.");
    flag(beyond_heater, "That is more than a portable heater takes: use the load of the circuit.");
    flag(rotation_assumed, "The phase sequence is not recorded: ABC is assumed. With ACB the angles are others.");
    flag(direction_assumed, "Which way the CT faces is not recorded: taken as right.");
    flag(ratio_assumed, "The ratio is not recorded in full: taken as that of the CT.");
    flag(neutral_assumed, "Whether a neutral goes to the load is not recorded: taken as present.");
    flag(class_unknown, "The accuracy class of the CT is not known: nothing is promised of small currents.");
    flag(class_silent, "The class of the CT promises no phase displacement: the angle is not to be relied on.");
}

void cell(std::string& to, std::string_view text) {
    if (text.find_first_of(",\"\r\n") == std::string_view::npos) {
        to += text;
    } else {
        to += '"';
        for (const char c : text) {
            if (c == '"') to += '"';
            to += c;
        }
        to += '"';
    }
    to += ',';
}

}  // namespace

std::string expected_text(const View& view, const std::vector<ExpectedRow>& rows) {
    std::vector<std::size_t> order(rows.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        const auto device = [&](std::size_t i) { return view.channel[i].device.at; };
        return device(a) != device(b) ? device(a) < device(b) : rows[a].input < rows[b].input;
    });
    std::string out = "Expected readings, from the record, before power is on\n";
    const std::string* device = nullptr;
    for (const std::size_t i : order) {
        if (device == nullptr || *device != rows[i].device) {
            out += "\nDevice " + (rows[i].device.empty() ? "not recorded" : rows[i].device) + "\n";
            device = &rows[i].device;
        }
        tell(rows[i], out);
    }
    out += '\n';
    out += cautions;
    return out;
}

std::string expected_csv(const std::vector<ExpectedRow>& rows) {
    std::string out =
        "device,input,channel,point,circuit,conductors,reference,load,state,sign,angle_low_deg,angle_high_deg,"
        "offset_low_deg,offset_high_deg,heater_low_deg,heater_high_deg,volts,volts_low,volts_high,gate_amps,least_amps,"
        "least_watts,load_volts,load_phases,least_by,why\r\n";
    const auto number = [&](double v) {
        append_json_number(out, std::round(v * 1e6) / 1e6);
        out += ',';
    };
    for (const ExpectedRow& r : rows) {
        cell(out, r.device);
        cell(out, r.input > 0 ? std::to_string(r.input) : "");
        for (const std::string* s : {&r.channel, &r.point, &r.circuit, &r.conductors}) cell(out, *s);
        cell(out, r.reference);
        cell(out, r.load == Load::unknown ? std::string_view{} : word_of(r.load));
        cell(out, word(r.state));
        if (r.state == Expectation::known) {
            out += std::to_string(r.sign) + ',';
            for (const double v : {r.angle_low_deg, r.angle_high_deg, r.offset_low_deg, r.offset_high_deg,
                                   r.heater_low_deg, r.heater_high_deg, r.volts, r.volts_low, r.volts_high, r.gate_amps,
                                   r.least_amps, r.least_watts, r.load_volts})
                number(v);
            out += std::to_string(r.load_phases) + ',';
            cell(out, word(r.least_by));
        } else {
            out.append(16, ',');
        }
        cell(out, r.why);
        out.back() = '\r';
        out += '\n';
    }
    return out;
}

}  // namespace bln
