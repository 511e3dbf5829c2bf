// What is built against what the device was told: ratio and direction.
//
// The form decides first: a reversed CT with a polarity setting that undoes it registers the truth, and
// so does any other pair of facts that cancel. Only where the form is not exact, or cannot be built,
// are the facts compared one by one.
#include "power/failure.hpp"
#include "rules/context.hpp"
#include "rules/gaps.hpp"
#include "rules/rules.hpp"
#include "rules/verdicts.hpp"

namespace bln::rules {
namespace {

bool built(const Diagnosis& d) { return d.form != nullptr || d.outcome == Outcome::exact; }

/// Calls @p say(channel, scale) once for each channel that some point shows wrong, and counts the others.
/// Channels of points without a form go to @p compare_alone(channel).
template <class Wrong, class Say, class Alone>
void each_channel(const Context& c, Verdicts& out, FormNoteCode assumption, Wrong is_wrong, Say say,
                  Alone compare_alone) {
    enum class State : std::uint8_t { unseen, right, wrong, alone };
    std::vector<State> state(c.view.channel.size(), State::unseen);
    for (const std::uint32_t p : out.over(Kind::point)) {
        const Diagnosis& d = c.diagnosis(p);
        for (const Scale& s : d.scales) {
            State& at = state[static_cast<std::size_t>(s.channel)];
            if (at == State::wrong || !is_wrong(s)) continue;
            at = State::wrong;
            say(d, s);
        }
        for (const FormNote& n : d.notes)
            if (n.code == assumption) tell_gap(c, n, out);
    }
    for (const std::uint32_t p : out.over(Kind::point)) {
        const bool known = built(c.diagnosis(p));
        for (const Term& t : c.view.point[p].elements) {
            if (!t.ref.resolved()) continue;
            State& at = state[static_cast<std::size_t>(t.ref.at)];
            if (at != State::unseen) continue;
            at = known ? State::right : State::alone;
            if (known)
                out.right();
            else
                compare_alone(static_cast<std::uint32_t>(t.ref.at));
        }
    }
}

struct BuiltRatio {
    Rational built, configured;  ///< amperes per unit of the CT's output
    std::int32_t ct;
};

/// Ratios of the first CT of a channel that does not fit, or of its first; nothing when one is missing.
std::optional<BuiltRatio> ratios(const View& v, const as_of::channel& channel) {
    if (!channel.primary_amps || !channel.secondary) return std::nullopt;
    std::optional<BuiltRatio> out;
    for (const Term& t : channel.cts) {
        if (!t.ref.resolved()) continue;
        const auto& ct = v.ct[static_cast<std::size_t>(t.ref.at)];
        if (!ct.type.resolved()) continue;
        const auto& type = v.ct_type[static_cast<std::size_t>(ct.type.at)];
        if (!type.primary_amps || !type.secondary) continue;
        Rational turns = 0;
        for (const Pass& p : ct.passes) {
            const Rational n = p.turns < Rational(0) ? -p.turns : p.turns;
            if (turns.is_zero() || n < turns) turns = n;
        }
        if (turns.is_zero()) turns = 1;
        const BuiltRatio r{Rational(*type.primary_amps, *type.secondary) / turns,
                           Rational(*channel.primary_amps, *channel.secondary), t.ref.at};
        if (!(r.built == r.configured)) return r;
        if (!out) out = r;
    }
    return out;
}

void say_ratio(const Context& c, Verdicts& out, std::uint32_t at, const BuiltRatio& r) {
    const auto& channel = c.view.channel[at];
    const auto& ct = c.view.ct[static_cast<std::size_t>(r.ct)];
    const auto& type = c.view.ct_type[static_cast<std::size_t>(ct.type.at)];
    const Rational factor = r.configured / r.built;
    Finding& f = out.wrong();
    f.about(Kind::channel, channel.id).about(Kind::ct, ct.id);
    f.word("configured", std::to_string(*channel.primary_amps) + ":" + std::to_string(*channel.secondary));
    f.word("built", std::to_string(*type.primary_amps) + ":" + std::to_string(*type.secondary));
    f.number("measured", r.configured.real(), "").number("expected", r.built.real(), "");
    f.number("registered", factor.real() * 100, "%").word("factor", factor.text());
    f.at(pointer_to(Kind::channel, channel.id, "primary_amps"));
}

/// Sign of what is wired and told, without the voltage; nothing where the mark is not known.
std::optional<bool> wired_backward(const View& v, const as_of::channel& channel) {
    if (channel.cts.size() != 1 || !channel.cts.front().ref.resolved()) return std::nullopt;
    const Term& t = channel.cts.front();
    const auto& ct = v.ct[static_cast<std::size_t>(t.ref.at)];
    if (!ct.type.resolved()) return std::nullopt;
    const Side wanted = v.ct_type[static_cast<std::size_t>(ct.type.at)].mark_faces;
    if (ct.mark_faces == Side::unknown || wanted == Side::unknown) return std::nullopt;
    const bool wired = (ct.mark_faces != wanted) != (t.weight < Rational(0));
    return wired != (channel.polarity == Polarity::inverted);
}

void say_direction(const Context& c, Verdicts& out, std::uint32_t at) {
    const auto& channel = c.view.channel[at];
    Finding& f = out.wrong();
    f.about(Kind::channel, channel.id);
    std::string mark = "not known";
    std::string wanted = "not known";
    std::string leads = "as marked";
    std::string output = "not known";
    for (const Term& t : channel.cts) {
        if (!t.ref.resolved()) continue;
        const auto& ct = c.view.ct[static_cast<std::size_t>(t.ref.at)];
        f.about(Kind::ct, ct.id);
        if (ct.mark_faces != Side::unknown) mark = word_of(ct.mark_faces);
        if (t.weight < Rational(0)) leads = "exchanged";
        if (!ct.type.resolved()) continue;
        const auto& type = c.view.ct_type[static_cast<std::size_t>(ct.type.at)];
        if (type.mark_faces != Side::unknown) wanted = word_of(type.mark_faces);
        if (type.output != Output::unknown) output = word_of(type.output);
    }
    f.word("mark", mark).word("wanted", wanted).word("leads", leads);
    f.word("polarity", channel.polarity == Polarity::inverted ? "inverted" : "normal");
    f.word("reference", word_of(channel.reference)).word("output", output);
    f.at(pointer_to(Kind::channel, channel.id, "polarity"));
}

}  // namespace

void ratio_differs(const Context& c, Verdicts& out) {
    const auto compare = [&](std::uint32_t at, bool form_says_wrong) {
        const auto& channel = c.view.channel[at];
        try {
            const std::optional<BuiltRatio> r = ratios(c.view, channel);
            if (!r)
                out.skip();
            else if (r->built == r->configured)
                out.right();
            else if (form_says_wrong || !channel.multiplier || *channel.multiplier == Rational(1))
                say_ratio(c, out, at, *r);
            else  // the multiplier may undo it; only the form could tell
                out.skip();
        } catch (const Failure&) {
            out.skip();
        }
    };
    each_channel(
        c, out, FormNoteCode::ratio_assumed, [](const Scale& s) { return !(s.ratio == Rational(1)); },
        [&](const Diagnosis&, const Scale& s) { compare(static_cast<std::uint32_t>(s.channel), true); },
        [&](std::uint32_t at) { compare(at, false); });
}

void direction_differs(const Context& c, Verdicts& out) {
    each_channel(
        c, out, FormNoteCode::ct_direction_assumed, [](const Scale& s) { return s.backward; },
        [&](const Diagnosis&, const Scale& s) { say_direction(c, out, static_cast<std::uint32_t>(s.channel)); },
        [&](std::uint32_t at) {
            const auto& channel = c.view.channel[at];
            const std::optional<bool> backward = wired_backward(c.view, channel);
            if (!backward)
                out.skip();
            else if (!*backward)
                out.right();
            else if (channel.reference <= Reference::C_N && !channel.multiplier)
                say_direction(c, out, at);
            else  // a voltage between two phases may be meant the other way round
                out.skip();
        });
}

}  // namespace bln::rules
