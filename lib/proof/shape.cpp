#include "proof/shape.hpp"

#include <algorithm>
#include <cmath>

#include "power/failure.hpp"
#include "proof/angle_density.hpp"
#include "proof/prior.hpp"
#include "proof/proof_policy.hpp"

namespace bln::infer {
namespace {

using C = std::complex<double>;

bool phase(Conductor c) noexcept { return c == Conductor::A || c == Conductor::B || c == Conductor::C; }

class Maker {
public:
    Maker(const Form& form, std::size_t load, std::span<const std::size_t> elements, Answer neutral,
          const Policy& policy, std::uint32_t apart)
        : from_(form), load_(load), chosen_(elements), policy_(policy), apart_(apart) {
        out_.neutral = neutral;
    }

    Shape run() {
        try {
            build();
        } catch (const Failure& f) {
            out_.why = f.items().front().status == BLN_E_ABSENT ? "the nominal voltages of its service are not known"
                                                                : "its arrangement is beyond what is enumerated";
        }
        return std::move(out_);
    }

private:
    void build() {
        if (chosen_.empty()) return why("it has no element");
        if (chosen_.size() > most_elements) return why("more than three elements measure one load");
        const Supply& supply = from_.supply();
        if (supply.nominal == NominalKind::none) return why("the nominal voltages of its service are not known");
        const NominalVoltages nominal = nominal_voltages(supply, 1);
        for (std::size_t c = 0; c < conductor_count; ++c) volts_[c] = nominal.known[c] ? nominal.u[c].value() : 0;

        // Conductors: the load's own, then the phases that it lacks, as those of other circuits.
        base_ = Form(supply);
        base_.add_load(true);
        for (const LoadConductor& c : from_.conductors()) {
            if (c.load != load_) continue;
            own_.push_back(c.on);
            base_.add_conductor(c.on);
            if (phase(c.on)) out_.variables.push_back({c.on, {}, {}, 0});
            return_ = phase(c.on) ? return_ : c.on;
        }
        out_.poles = out_.variables.size();
        if (out_.poles == 0 || out_.poles > most_variables) return why("its load has no pole on a phase");
        const bool with_neutral = return_ != Conductor::none;
        for (const Conductor c : {Conductor::A, Conductor::B, Conductor::C}) {
            if (!supply.bonding.has(c) || std::find(own_.begin(), own_.end(), c) != own_.end()) continue;
            if (supply.bonding.bonded(c, supply.reference)) continue;
            base_.add_load(false);
            base_.add_conductor(c);
            if (supply.bonding.has(Conductor::N))
                base_.add_conductor(Conductor::N);
            else
                base_.add_conductor(out_.variables[0].on);
            abroad_.push_back(c);
        }
        for (std::size_t f = 0; f < from_.floating(); ++f) base_.add_floating();
        drives(with_neutral);
        for (const std::size_t e : chosen_) element(e);
        if (!out_.why.empty()) return;
        priors();
    }

    void why(const char* text) { out_.why = text; }

    [[nodiscard]] C at(Conductor c) const noexcept { return volts_[index_of(c)]; }
    [[nodiscard]] C star() const noexcept { return (at(Conductor::A) + at(Conductor::B) + at(Conductor::C)) / 3.0; }

    void drives(bool with_neutral) {
        auto& v = out_.variables;
        const C ground = return_ == Conductor::none ? C{} : at(return_);
        if (!with_neutral && v.size() == 2) {
            // One current: the second conductor carries it back.
            v[0].drive = at(v[0].on) - at(v[1].on);
            single_ = true;
            return;
        }
        out_.triple = v.size() == 3 && !with_neutral;
        out_.pair = v.size() == 2;
        for (std::size_t i = 0; i < v.size(); ++i) {
            v[i].drive = with_neutral ? at(v[i].on) - ground : at(v[i].on) - star();
            for (std::size_t j = 0; j < v.size(); ++j)
                if (j != i) v[i].between[v[i].others++] = at(v[i].on) - at(v[j].on);
        }
    }

    void element(std::size_t e) {
        ShapeElement& out = out_.elements.emplace_back();
        Form form = base_;
        std::vector<Rational> amps(form.conductors().size());
        std::size_t k = 0;
        for (std::size_t i = 0; i < from_.conductors().size(); ++i) {
            if (from_.conductors()[i].load == load_)
                amps[k++] = from_.amps(e)[i];
            else if (!from_.amps(e)[i].is_zero())
                return why("one element measures conductors of several circuits");
        }
        for (std::size_t i = 0; i < own_.size(); ++i)
            if (!phase(own_[i]) && !amps[i].is_zero())
                return why("an element measures a neutral or grounded conductor");
        form.add_element(from_.elements()[e].volts, amps, Rational(1));
        HypothesisOptions options;
        options.two_conductors = options.dead = true;
        options.ratios = {Rational(1), Rational(2), Rational(1, 2)};
        out.all.emplace(form, options);
        const Hypotheses& all = *out.all;
        if (all.reads(0, 0).empty()) return why("a voltage terminal of a reference floats or has no nominal voltage");
        for (std::size_t t = 0; t < conductor_count; ++t)
            out.reference += from_.elements()[e].volts[t].real() * volts_[t];
        if (std::abs(out.reference) < 1e-9) {
            out.grounded = true;
            return;
        }
        Classes classes = all.classes(Sees::each, Over::nominal);
        if ((apart_ >> (out_.elements.size() - 1) & 1U) != 0) {
            classes.count = static_cast<std::uint32_t>(all.size());
            for (std::uint32_t h = 0; h < all.size(); ++h) classes.of[h] = h;
        }
        std::vector<ElementClass> by_class(classes.count);
        std::vector<char> usable(classes.count, 0);
        for (std::uint32_t h = 0; h < all.size(); ++h) {
            if (foreign_twin(all.placement_of(h, 0))) continue;
            ElementClass& c = by_class[classes.of[h]];
            if (usable[classes.of[h]] == 0) c.first = h;
            usable[classes.of[h]] = 1;
            c.members.push_back(h);
        }
        for (std::size_t i = 0; i < by_class.size(); ++i) {
            if (usable[i] == 0) continue;
            ElementClass& c = by_class[i];
            const Placement& p = all.placement_of(c.first, 0);
            if (p.on == Placement::none) {
                out.dead = c;
                continue;
            }
            describe(all, out, c);
            const bool abroad = c.variable < 0;
            if (p.also == Placement::none && p.ratio == 0)
                out.base.push_back(c);
            else if (p.also == Placement::none && !abroad && p.sign > 0 && !c.moved)
                out.ratios.push_back(c);
            else if (p.also != Placement::none && p.ratio == 0 && !abroad)
                out.doubles.push_back(c);
        }
    }

    /// The conductor that closes the circuit of a foreign phase, where there is no neutral, is no place of its own.
    [[nodiscard]] bool foreign_twin(const Placement& p) const noexcept {
        const auto twin = [&](std::int8_t k) {
            if (k < 0) return false;
            const LoadConductor& c = base_.conductors()[static_cast<std::size_t>(k)];
            return c.load > 0 && std::find(abroad_.begin(), abroad_.end(), c.on) == abroad_.end();
        };
        return twin(p.on) || twin(p.also);
    }

    void describe(const Hypotheses& all, const ShapeElement& element, ElementClass& c) const {
        const Placement& p = all.placement_of(c.first, 0);
        const std::span<const C> z = all.reads(c.first, 0);
        C turns = 0;
        if (p.on == Placement::recorded) {
            // Several conductors by the record: one current stands for what it sees.
            for (std::size_t k = 0; k < z.size(); ++k)
                if (z[k] != C{}) {
                    c.variable = variable_of(k);
                    c.on = base_.conductors()[k].on;
                    turns = z[k];
                    break;
                }
        } else {
            const auto k = static_cast<std::size_t>(p.on);
            c.on = base_.conductors()[k].on;
            c.variable = base_.conductors()[k].load == 0 ? variable_of(k) : std::int8_t{-1};
            turns = z[k];
        }
        if (single_ && c.variable > 0) {
            turns = -turns;
            c.variable = 0;
        }
        c.moved = p.on != Placement::recorded && p.on != all.placement_of(0, 0).on;
        C drive = c.variable < 0 ? at(c.on) - (base_.supply().bonding.has(Conductor::N) ? at(Conductor::N) : star())
                                 : out_.variables[static_cast<std::size_t>(c.variable)].drive;
        c.shift = steps_of(std::arg(turns) - std::arg(drive));
        c.other_shift.fill(c.shift);
        if (c.variable >= 0) {
            const Variable& v = out_.variables[static_cast<std::size_t>(c.variable)];
            for (std::size_t i = 0; i < v.others; ++i)
                c.other_shift[i] = steps_of(std::arg(turns) - std::arg(v.between[i]));
        }
        c.log_turns = std::log(std::abs(turns) / std::abs(element.reference));
        c.turn = std::arg(turns);
    }

    [[nodiscard]] std::int8_t variable_of(std::size_t conductor) const noexcept {
        const Conductor on = base_.conductors()[conductor].on;
        for (std::size_t i = 0; i < out_.variables.size(); ++i)
            if (out_.variables[i].on == on) return static_cast<std::int8_t>(i);
        return -1;
    }

    /// Every placement of every element, added to its tuple of classes.
    void priors() {
        out_.tuples = 1;
        for (ShapeElement& e : out_.elements) {
            if (e.grounded) e.base.resize(1);
            out_.tuples *= e.base.size();
        }
        std::vector<double> prior(out_.tuples, 0);
        const std::size_t n = out_.elements.size(), own = out_.variables.size(), foreign = abroad_.size();
        std::array<std::size_t, most_elements> position{};
        std::array<Seat, most_elements> seats{};
        const auto seat_of = [&](const ShapeElement& e, std::uint32_t h) {
            Seat s;
            const Placement& p = e.all->placement_of(h, 0);
            const auto number = [&](std::int8_t k) {
                if (k < 0) return std::int8_t{0};
                const LoadConductor& c = base_.conductors()[static_cast<std::size_t>(k)];
                if (c.load == 0) return variable_of(static_cast<std::size_t>(k));
                for (std::size_t i = 0; i < abroad_.size(); ++i)
                    if (abroad_[i] == c.on) return static_cast<std::int8_t>(own + i);
                return std::int8_t{0};
            };
            s.recorded = number(e.all->placement_of(0, 0).on);
            s.on = number(p.on);
            s.reversed = p.sign < 0;
            return s;
        };
        std::vector<std::vector<std::pair<Seat, std::size_t>>> list(n);
        for (std::size_t e = 0; e < n; ++e) {
            if (out_.elements[e].grounded) list[e].push_back({Seat{}, 0});
            for (std::size_t c = 0; c < out_.elements[e].base.size() && !out_.elements[e].grounded; ++c)
                for (const std::uint32_t h : out_.elements[e].base[c].members) {
                    const Placement& p = out_.elements[e].all->placement_of(h, 0);
                    if (p.also == Placement::none && p.ratio == 0) list[e].push_back({seat_of(out_.elements[e], h), c});
                }
        }
        for (bool more = true; more;) {
            std::size_t tuple = 0, factor = 1;
            for (std::size_t e = 0; e < n; ++e) {
                seats[e] = list[e][position[e]].first;
                tuple += factor * list[e][position[e]].second;
                factor *= out_.elements[e].base.size();
            }
            prior[tuple] += prior_of(policy_, std::span(seats).first(n), own, foreign);
            more = false;
            for (std::size_t e = 0; e < n && !more; ++e) {
                more = ++position[e] < list[e].size();
                if (!more) position[e] = 0;
            }
        }
        double sum = 0;
        for (const double p : prior) sum += p;
        out_.log_prior.resize(out_.tuples);
        for (std::size_t t = 0; t < out_.tuples; ++t) out_.log_prior[t] = std::log(std::max(prior[t] / sum, 1e-12));
        const auto count = static_cast<double>(n);
        out_.dead_prior = policy_[key::dead] / count;
        out_.ratio_prior = policy_[key::ratio] / (2 * count);
    }

    const Form& from_;
    std::size_t load_;
    std::span<const std::size_t> chosen_;
    const Policy& policy_;
    std::uint32_t apart_;
    Shape out_;
    Form base_;
    std::vector<Conductor> own_, abroad_;
    Conductor return_ = Conductor::none;
    std::array<C, conductor_count> volts_{};
    bool single_ = false;
};

void append(std::string& key, const Rational& r) {
    key += std::to_string(r.num());
    key += '/';
    key += std::to_string(r.den());
    key += ' ';
}

}  // namespace

std::string shape_key(const Form& form, std::int32_t service, std::size_t load, std::span<const std::size_t> elements,
                      Answer neutral) {
    std::string key = std::to_string(service) + ':' + std::to_string(static_cast<int>(neutral)) + ':';
    for (const LoadConductor& c : form.conductors())
        if (c.load == load) key += word_of(c.on);
    for (const std::size_t e : elements) {
        key += '|';
        for (const Rational& a : form.elements()[e].volts) append(key, a);
        key += ';';
        for (std::size_t k = 0; k < form.conductors().size(); ++k)
            if (form.conductors()[k].load == load) append(key, form.amps(e)[k]);
    }
    return key;
}

Shape make_shape(const Form& form, std::size_t load, std::span<const std::size_t> elements, Answer neutral,
                 const Policy& policy, std::uint32_t apart) {
    return Maker(form, load, elements, neutral, policy, apart).run();
}

}  // namespace bln::infer
