#include "rules/diagnosis.hpp"

#include <algorithm>
#include <optional>

#include "power/failure.hpp"
#include "power/nominal.hpp"
#include "rules/context.hpp"

namespace bln::rules {
namespace {

struct Row {
    VoltageRow volts{};
    std::vector<Rational> amps;
    Rational weight;
};

int sign_of(const Rational& r) noexcept { return r.is_zero() ? 0 : r.num() < 0 ? -1 : 1; }
Rational magnitude(const Rational& r) { return r.num() < 0 ? -r : r; }

class Examiner {
public:
    Examiner(const Context& context, std::uint32_t point, PointForm form)
        : c_(context), v_(context.view), point_(context.view.point[point]), form_(std::move(form)) {}

    /// Fills everything but the notes.
    void run(Diagnosis& out) {
        read_rows();
        if (assembled(rows_).exact()) {
            out.outcome = Outcome::exact;
            return;
        }
        find_scales(out.scales);
        Form intended = assembled(meant_);
        const bool meant_exact = intended.exact();
        out.outcome = Outcome::wrong;
        if (meant_exact)
            out.cause = Cause::configuration;
        else
            explain(intended, out);
        out.intended = std::move(intended);
        out.form = std::make_unique<PointForm>(std::move(form_));
    }

private:
    // ---- the form as the record has it ---------------------------------------------------------

    /// Points that divide a channel are judged as if each had all of it. What a point takes away
    /// downstream of its own circuits is left out: the rest is what it measures.
    void read_rows() {
        const Form& f = form_.form;
        for (std::size_t e = 0; e < f.elements().size(); ++e) {
            Row row{f.elements()[e].volts, {f.amps(e).begin(), f.amps(e).end()}, f.elements()[e].weight};
            if (taken_away(e)) {
                row.weight = 0;
            } else {
                const Rational d = divided(e);
                if (!(d == Rational(1))) row.weight = row.weight / d;
            }
            rows_.push_back(std::move(row));
        }
    }
    [[nodiscard]] Rational share(std::size_t e) const {
        for (const Term& t : point_.elements)
            if (t.ref.at == form_.channel[e]) return t.weight;
        return 1;
    }
    /// The share, where several billing points divide the channel; otherwise it is a weight like any other.
    [[nodiscard]] Rational divided(std::size_t e) const {
        std::size_t parts = 0;
        for (const Use& u : c_.channel_uses[static_cast<std::size_t>(form_.channel[e])])
            parts += c_.bills(u.point) && Rational(0) < u.share ? 1U : 0U;
        const Rational s = share(e);
        return parts > 1 && Rational(0) < s ? s : Rational(1);
    }
    [[nodiscard]] bool taken_away(std::size_t e) const {
        if (!(share(e) < Rational(0))) return false;
        const auto amps = form_.form.amps(e);
        bool any = false;
        for (std::size_t k = 0; k < amps.size(); ++k) {
            if (amps[k].is_zero()) continue;
            any = true;
            if (counted(k) || !fed_by_point(form_.origin[k].circuit)) return false;
        }
        return any;
    }
    [[nodiscard]] bool fed_by_point(std::int32_t circuit) const {
        for (int steps = 0; circuit >= 0 && steps < most_levels; ++steps) {
            circuit = c_.feeder(static_cast<std::size_t>(circuit));
            for (const Ref& own : point_.circuits)
                if (circuit >= 0 && own.at == circuit) return true;
        }
        return false;
    }
    [[nodiscard]] bool counted(std::size_t conductor) const {
        return form_.form.counted(form_.form.conductors()[conductor].load);
    }

    /// A form with the same loads and conductors and these elements; those of weight 0 are left out.
    [[nodiscard]] Form assembled(const std::vector<Row>& rows) const {
        Form out(form_.form.supply());
        for (std::uint32_t load = 0; load < form_.form.loads(); ++load) {
            out.add_load(form_.form.counted(load));
            for (const LoadConductor& k : form_.form.conductors())
                if (k.load == load) out.add_conductor(k.on);
        }
        for (std::size_t i = 0; i < form_.form.floating(); ++i) out.add_floating();
        for (const Row& r : rows)
            if (!r.weight.is_zero()) out.add_element(r.volts, r.amps, r.weight);
        return out;
    }

    // ---- what the channels are meant to do -----------------------------------------------------

    void find_scales(std::vector<Scale>& scales) {
        for (std::size_t e = 0; e < rows_.size(); ++e) {
            Scale s;
            s.channel = form_.channel[e];
            Row meant = rows_[e];
            meant_amps(s, meant.amps);
            const int as_is = own_power(rows_[e]);
            const int wanted = own_power(meant);
            if (as_is != 0 || wanted != 0)
                s.backward = as_is < 0;
            else  // no conductor of its own: what is wired and told must agree
                s.backward = s.one_ct && opposed(rows_[e].amps, meant.amps);
            if (wanted < 0)
                for (Rational& a : meant.amps) a = -a;
            scales.push_back(s);
            meant_.push_back(std::move(meant));
        }
    }
    /// Sign of the own conductors' power in what the element counts.
    [[nodiscard]] int own_power(const Row& r) const {
        Rational sum = 0;
        for (std::size_t k = 0; k < r.amps.size(); ++k)
            sum += r.volts[index_of(form_.form.conductors()[k].on)] * r.amps[k];
        return sign_of(sum * r.weight);
    }
    [[nodiscard]] static bool opposed(const std::vector<Rational>& a, const std::vector<Rational>& b) {
        for (std::size_t k = 0; k < a.size(); ++k)
            if (!a[k].is_zero() && !b[k].is_zero()) return sign_of(a[k]) != sign_of(b[k]);
        return false;
    }

    /// Currents with every CT the right way round and every ratio as built. Where several CTs share an
    /// input, exchanged leads make differences of currents and are meant.
    void meant_amps(Scale& s, std::vector<Rational>& amps) const {
        const auto& channel = v_.channel[static_cast<std::size_t>(s.channel)];
        std::fill(amps.begin(), amps.end(), Rational(0));
        s.one_ct = channel.cts.size() == 1;
        for (const Term& t : channel.cts) {
            if (!t.ref.resolved()) continue;
            const auto& ct = v_.ct[static_cast<std::size_t>(t.ref.at)];
            Rational turns = 0;
            for (const Pass& p : ct.passes)
                if (turns.is_zero() || magnitude(p.turns) < turns) turns = magnitude(p.turns);
            if (turns.is_zero()) turns = 1;
            if (const Rational r = turns * ratio_of(channel, ct); !(r == Rational(1))) s.ratio = r;
            for (const Pass& p : ct.passes)
                if (const std::int32_t k = conductor_of_pass(p); k >= 0)
                    amps[static_cast<std::size_t>(k)] += p.turns / turns * (s.one_ct ? Rational(1) : t.weight);
        }
    }
    [[nodiscard]] Rational ratio_of(const as_of::channel& channel, const as_of::ct& ct) const {
        if (!ct.type.resolved()) return 1;
        const auto& type = v_.ct_type[static_cast<std::size_t>(ct.type.at)];
        // A ratio that is not stated is taken as the CT's, as the form does.
        Rational over = 1;
        Rational under = 1;
        if (channel.primary_amps && type.primary_amps) over = {*channel.primary_amps, *type.primary_amps};
        if (channel.secondary && type.secondary) under = {*type.secondary, *channel.secondary};
        return over * under;
    }
    [[nodiscard]] std::int32_t conductor_of_pass(const Pass& p) const {
        if (!p.circuit.resolved()) return -1;
        const int pole = p.pole < 0 && pole_count(v_.circuit[static_cast<std::size_t>(p.circuit.at)]) == 1 ? 1 : p.pole;
        for (std::size_t k = 0; k < form_.origin.size(); ++k)
            if (form_.origin[k].circuit == p.circuit.at && form_.origin[k].pole == pole)
                return static_cast<std::int32_t>(k);
        return -1;
    }

    // ---- explanations --------------------------------------------------------------------------

    void explain(const Form& intended, Diagnosis& out) {
        if (another_circuit(out)) return;
        if (nominal_orders(intended).exact_at_fundamental()) {
            out.outcome = Outcome::nominal;
            out.cause = Cause::arrangement;
            return;
        }
        // Without a voltage there is nothing to explain; the terminal has a finding of its own.
        if (form_.has(FormNoteCode::terminal_not_landed) || form_.has(FormNoteCode::common_floats)) {
            out.cause = Cause::arrangement;
            return;
        }
        if (another_phase(out) || pole_unmetered(out) || pole_metered_twice(out)) return;
        out.cause = intended.elements().size() < intended.fewest_elements() ? Cause::too_few : Cause::arrangement;
    }

    bool another_circuit(Diagnosis& out) {
        for (std::uint32_t e = 0; e < meant_.size(); ++e) {
            if (meant_[e].weight.is_zero()) continue;
            for (std::uint32_t k = 0; k < meant_[e].amps.size(); ++k) {
                if (counted(k) || meant_[e].amps[k].is_zero()) continue;
                out.elements.push_back(e);
                out.conductors.push_back(k);
            }
        }
        if (!out.elements.empty()) out.cause = Cause::another_circuit;
        return !out.elements.empty();
    }

    /// Elements of one conductor with the voltage of another one: turned back, is it exact?
    bool another_phase(Diagnosis& out) {
        std::vector<Row> rows = meant_;
        std::vector<std::uint32_t> elements;
        for (std::uint32_t e = 0; e < rows.size(); ++e) {
            const std::optional<std::uint32_t> k = only_conductor(rows[e]);
            if (!k) continue;
            const std::size_t own = index_of(form_.form.conductors()[*k].on);
            if (!rows[e].volts[own].is_zero()) continue;
            for (std::size_t t = 0; t < terminal_count; ++t) {
                if (!(Rational(0) < rows[e].volts[t])) continue;
                std::swap(rows[e].volts[t], rows[e].volts[own]);
                break;
            }
            if (own_power(rows[e]) < 0)
                for (Rational& a : rows[e].amps) a = -a;
            elements.push_back(e);
        }
        if (elements.empty() || !assembled(rows).exact()) return false;
        out.cause = Cause::another_phase;
        out.elements = std::move(elements);
        return true;
    }
    [[nodiscard]] static std::optional<std::uint32_t> only_conductor(const Row& r) {
        std::optional<std::uint32_t> out;
        for (std::uint32_t k = 0; k < r.amps.size(); ++k) {
            if (r.amps[k].is_zero()) continue;
            if (out) return std::nullopt;
            out = k;
        }
        return out;
    }

    /// Would one more element on each pole that no CT surrounds make it exact?
    bool pole_unmetered(Diagnosis& out) {
        std::vector<Row> rows = meant_;
        const std::size_t common = common_terminal();
        std::vector<std::uint32_t> missing;
        for (std::uint32_t k = 0; k < form_.origin.size(); ++k) {
            if (form_.origin[k].pole < 1 || !counted(k)) continue;
            const bool seen = std::any_of(meant_.begin(), meant_.end(),
                                          [&](const Row& r) { return !r.weight.is_zero() && !r.amps[k].is_zero(); });
            const std::size_t own = index_of(form_.form.conductors()[k].on);
            if (seen || own == common) continue;
            Row more;
            more.volts = voltage_between(own, common);
            more.amps.assign(form_.origin.size(), Rational(0));
            more.amps[k] = 1;
            more.weight = 1;
            rows.push_back(std::move(more));
            missing.push_back(k);
        }
        if (missing.empty() || !assembled(rows).exact()) return false;
        out.cause = Cause::pole_unmetered;
        out.conductors = std::move(missing);
        return true;
    }
    /// Terminal that the elements refer to; the neutral where there are none.
    [[nodiscard]] std::size_t common_terminal() const {
        for (const Row& r : meant_)
            for (std::size_t t = 0; t < terminal_count; ++t)
                if (r.volts[t] < Rational(0)) return t;
        const Conductor reference = form_.form.supply().reference;
        return index_of(reference == Conductor::none ? Conductor::C : reference);
    }

    /// Would it be exact without one of two elements on the same conductor?
    bool pole_metered_twice(Diagnosis& out) {
        for (std::uint32_t e = 0; e < meant_.size(); ++e) {
            const std::optional<std::uint32_t> k = only_conductor(meant_[e]);
            if (!k) continue;
            for (std::uint32_t other = 0; other < e; ++other) {
                if (meant_[other].amps[*k].is_zero()) continue;
                std::vector<Row> rows = meant_;
                rows[e].weight = 0;
                if (!assembled(rows).exact()) continue;
                out.cause = Cause::pole_metered_twice;
                out.elements = {other, e};
                out.conductors = {*k};
                return true;
            }
        }
        return false;
    }

    const Context& c_;
    const View& v_;
    const as_of::point& point_;
    PointForm form_;
    std::vector<Row> rows_;
    std::vector<Row> meant_;
};

Diagnosis examined(const Context& context, std::uint32_t point, PointForm form) {
    Diagnosis out;
    out.notes = form.notes;
    if (!form.built) return out;
    try {
        Examiner(context, point, std::move(form)).run(out);
    } catch (const Failure&) {
        out = Diagnosis{};
        out.notes.push_back({FormNoteCode::too_complex, Kind::point, context.view.point[point].id, Gap::none});
    }
    return out;
}

/// The common case needs no examination: no shares, and exact as it stands.
bool plainly_exact(const Context& context, std::uint32_t point, const PointForm& form) {
    if (!form.built) return false;
    for (const Term& t : context.view.point[point].elements)
        if (!(t.weight == Rational(1))) return false;
    try {
        return form.form.exact();
    } catch (const Failure&) {
        return false;
    }
}

}  // namespace

Diagnosis diagnose(const Context& context, std::uint32_t point) {
    PointForm form = point_form(context.view, static_cast<std::int32_t>(point), true);
    if (plainly_exact(context, point, form)) {
        Diagnosis out;
        out.outcome = Outcome::exact;
        out.notes = std::move(form.notes);
        return out;
    }
    const bool open = form.has(FormNoteCode::neutral_assumed);
    Diagnosis with = examined(context, point, std::move(form));
    if (!open || with.outcome == Outcome::exact || with.outcome == Outcome::not_built) return with;
    // Exact with a neutral is exact without; wrong with one says nothing yet.
    Diagnosis without = examined(context, point, point_form(context.view, static_cast<std::int32_t>(point), false));
    if (without.outcome == with.outcome && without.cause == with.cause) return without;
    without.outcome = Outcome::neutral_open;
    return without;
}

}  // namespace bln::rules
