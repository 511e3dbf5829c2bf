// What is wired to the output of a current-output CT: leads and input.
#include "power/conductor_resistance.hpp"
#include "rules/context.hpp"
#include "rules/policy.hpp"
#include "rules/rules.hpp"
#include "rules/verdicts.hpp"

namespace bln::rules {
namespace {

struct Burden {
    const as_of::ct* ct;
    const as_of::ct_type* type;
    std::string_view channel;
    double leads, input, va;  ///< ohms, ohms, volt-amperes at the rated output
};

/// Calls @p say(Burden) for each CT with a current output, and tells what is missing.
template <class Say>
void each_burden(const Context& c, Verdicts& out, Say say) {
    const View& v = c.view;
    for (const std::uint32_t i : out.over(Kind::ct)) {
        const as_of::ct& ct = v.ct[i];
        const as_of::ct_type* type = type_of(v, ct);
        if (type == nullptr || c.ct_channels[i].empty()) continue;
        if (type->output != Output::amps && type->output != Output::milliamps) continue;
        const auto type_at = static_cast<std::size_t>(ct.type.at);
        const auto& channel = v.channel[c.ct_channels[i].front().channel];
        const as_of::profile* profile = profile_of(v, channel);
        bool known = profile != nullptr && type->secondary.has_value();
        const auto lacks = [&](bool missing, Kind kind, std::size_t at, auto field) {
            if (!missing) return;
            out.lacks(kind, at, field);
            known = false;
        };
        lacks(!type->burden_va, Kind::ct_type, type_at, field_of::ct_type::burden_va);
        lacks(!ct.lead_m, Kind::ct, i, field_of::ct::lead_m);
        lacks(!ct.lead_mm2, Kind::ct, i, field_of::ct::lead_mm2);
        if (profile != nullptr)
            lacks(!profile->input_ohms, Kind::profile, static_cast<std::size_t>(profile - v.profile.data()),
                  field_of::profile::input_ohms);
        if (!known) continue;
        const double amps = static_cast<double>(*type->secondary) * (type->output == Output::milliamps ? 1e-3 : 1.0);
        const double leads = 2 * *ct.lead_m * copper_ohms_per_m(*ct.lead_mm2, c.policy[lead_celsius]);
        say(Burden{&ct, type, channel.id, leads, *profile->input_ohms, amps * amps * (leads + *profile->input_ohms)});
    }
}

void describe(Finding& f, const Burden& b) {
    f.about(Kind::ct, b.ct->id).about(Kind::channel, b.channel);
    f.number("measured", b.va, "VA").number("rated", *b.type->burden_va, "VA");
    f.number("leads", b.leads, "ohm").number("input", b.input, "ohm").word("output", word_of(b.type->output));
    f.at(pointer_to(Kind::ct, b.ct->id, "lead_m"));
}

}  // namespace

void burden_too_high(const Context& c, Verdicts& out) {
    each_burden(c, out, [&](const Burden& b) {
        if (b.va <= *b.type->burden_va * (1 + 1e-9)) return out.right();
        Finding& f = out.wrong();
        describe(f, b);
        f.source = "IEC 61869-2: a class holds up to 100 % of rated burden (from memory)";
    });
}

void burden_too_low(const Context& c, Verdicts& out) {
    each_burden(c, out, [&](const Burden& b) {
        const double least = c.policy[burden_least_percent] / 100 * *b.type->burden_va;
        if (b.va >= least * (1 - 1e-9)) return out.right();
        Finding& f = out.wrong();
        describe(f, b);
        f.number("limit", least, "VA");
        f.source = "IEC 61869-2: a class holds from 25 % of rated burden on (from memory)";
    });
}

}  // namespace bln::rules
