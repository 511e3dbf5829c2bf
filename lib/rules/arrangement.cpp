// Do the elements of a point register what its circuits take? The form proves it or names the error.
#include <algorithm>

#include "power/form_words.hpp"
#include "rules/context.hpp"
#include "rules/describe.hpp"
#include "rules/gaps.hpp"
#include "rules/policy.hpp"
#include "rules/rules.hpp"
#include "rules/verdicts.hpp"

namespace bln::rules {
namespace {

bool judged(const Diagnosis& d) { return d.outcome != Outcome::not_built && d.outcome != Outcome::neutral_open; }

/// Points whose diagnosis names @p cause, with coverage for all others.
template <class Say>
void each_point(const Context& c, Verdicts& out, Cause cause, Outcome outcome, Say say) {
    for (const std::uint32_t p : out.over(Kind::point)) {
        const Diagnosis& d = c.diagnosis(p);
        if (!judged(d))
            out.skip();
        else if (d.cause == cause && d.outcome == outcome)
            say(p, d);
        else
            out.right();
    }
}

Finding& about_point(const Context& c, Finding& f, std::uint32_t p) {
    f.about(Kind::point, c.view.point[p].id).at(pointer_to(Kind::point, c.view.point[p].id, "elements"));
    return f;
}

}  // namespace

void elements_too_few(const Context& c, Verdicts& out) {
    for (const std::uint32_t p : out.over(Kind::point)) {
        const Diagnosis& d = c.diagnosis(p);
        if (!judged(d)) {
            bool told = false;
            for (const FormNote& n : d.notes) {
                if (d.outcome == Outcome::neutral_open ? n.code != FormNoteCode::neutral_assumed : !info(n.code).stops)
                    continue;
                tell_gap(c, n, out);
                told = true;
            }
            if (!told) {
                for (const FormNote& n : d.notes)
                    if (n.code == FormNoteCode::neutral_assumed) tell_gap(c, n, out);
            }
            continue;
        }
        if (d.cause != Cause::too_few) {
            out.right();
            continue;
        }
        describe_error(c, d, about_point(c, out.wrong(), p));
    }
}

void exact_only_at_nominal(const Context& c, Verdicts& out) {
    each_point(c, out, Cause::arrangement, Outcome::nominal, [&](std::uint32_t p, const Diagnosis& d) {
        // Whether the voltages stand at nominal, the record cannot say.
        Finding& f = about_point(c, out.undecided(), p);
        if (c.policy[nominal_is_error] >= 0.5) f.severity = Severity::error;
        f.word("verdict", verdict_text(d.intended));
        describe_error(c, d, f);
    });
}

void arrangement_not_exact(const Context& c, Verdicts& out) {
    each_point(c, out, Cause::arrangement, Outcome::wrong,
               [&](std::uint32_t p, const Diagnosis& d) { describe_error(c, d, about_point(c, out.wrong(), p)); });
}

void reference_of_another_phase(const Context& c, Verdicts& out) {
    each_point(c, out, Cause::another_phase, Outcome::wrong, [&](std::uint32_t p, const Diagnosis& d) {
        Finding& f = about_point(c, out.wrong(), p);
        std::vector<std::string> what;
        for (const std::uint32_t e : d.elements) {
            const auto& channel = c.view.channel[static_cast<std::size_t>(d.form->channel[e])];
            f.about(Kind::channel, channel.id);
            std::string on;
            const auto amps = d.form->form.amps(e);
            for (std::size_t k = 0; k < amps.size(); ++k)
                if (!amps[k].is_zero()) on = word_of(d.form->form.conductors()[k].on);
            what.push_back(std::string(channel.id) + ": current of " + on + ", voltage " +
                           voltage_text(d.form->form, d.form->form.elements()[e].volts));
            f.at(pointer_to(Kind::channel, channel.id, "reference"));
        }
        f.word("channels", listed(what));
        describe_error(c, d, f);
    });
}

void measures_another_circuit(const Context& c, Verdicts& out) {
    each_point(c, out, Cause::another_circuit, Outcome::wrong, [&](std::uint32_t p, const Diagnosis& d) {
        // A channel that two points bill is the finding of another rule, which names both.
        const auto told = [&](std::uint32_t e) {
            return !c.parts_of_channel(static_cast<std::size_t>(d.form->channel[e])).whole();
        };
        if (std::all_of(d.elements.begin(), d.elements.end(), told)) return out.skip();
        Finding& f = about_point(c, out.wrong(), p);
        std::vector<std::string> channels;
        std::vector<std::string> circuits;
        const auto once = [&](Kind kind, std::string_view id, std::vector<std::string>& names) {
            for (const std::string& n : names)
                if (n == id) return;
            names.emplace_back(id);
            f.about(kind, id);
        };
        for (const std::uint32_t e : d.elements)
            once(Kind::channel, c.view.channel[static_cast<std::size_t>(d.form->channel[e])].id, channels);
        for (const std::uint32_t k : d.conductors)
            once(Kind::circuit, c.view.circuit[static_cast<std::size_t>(d.form->origin[k].circuit)].id, circuits);
        f.word("channels", listed(channels)).word("circuits", listed(circuits));
    });
}

void point_on_two_services(const Context& c, Verdicts& out) {
    for (const std::uint32_t p : out.over(Kind::point)) {
        std::vector<std::string> services;
        for (const Ref& r : c.view.point[p].circuits) {
            if (!r.resolved()) continue;
            const ServiceOf s = service_of(c.view, r.at);
            if (!s.known()) continue;
            const std::string_view id = c.view.service[static_cast<std::size_t>(s.at)].id;
            if (std::find(services.begin(), services.end(), id) == services.end()) services.emplace_back(id);
        }
        if (services.size() < 2) {
            if (!services.empty()) out.right();
            continue;
        }
        Finding& f = out.undecided();
        f.about(Kind::point, c.view.point[p].id);
        f.word("services", listed(services)).at(pointer_to(Kind::point, c.view.point[p].id, "circuits"));
    }
}

}  // namespace bln::rules
