#include "power/hypotheses.hpp"

#include <algorithm>

#include "power/failure.hpp"
#include "power/supply.hpp"

namespace bln {
namespace {

bool is_phase(Conductor c) { return index_of(c) <= index_of(Conductor::C); }

}  // namespace

Hypotheses::Hypotheses(const Form& form, const HypothesisOptions& options) : form_(form), options_(options) {
    if (options_.ratios.empty() || options_.ratios.size() > 255)
        throw Failure(BLN_E_VALUE, "there is a list of 1 to 255 ratios");
    for (const Rational& r : options_.ratios)
        if (!(Rational(0) < r)) throw Failure(BLN_E_VALUE, "a ratio of ratios is above 0");
    if (form_.conductors().size() > 120) throw Failure(BLN_E_SIZE, "more than 120 conductors in one point");
    first_.push_back(0);
    for (std::size_t e = 0; e < form_.elements().size(); ++e) {
        place(e);
        first_.push_back(placements_.size());
    }
    list_maps();
    enumerate();
    tabulate();
}

void Hypotheses::place(std::size_t e) {
    const auto amps = form_.amps(e);
    std::vector<std::int8_t> on;
    const auto through = std::count_if(amps.begin(), amps.end(), [](const Rational& b) { return !b.is_zero(); });
    const auto here = std::find_if(amps.begin(), amps.end(), [](const Rational& b) { return !b.is_zero(); });
    if (through == 1) {
        // The record's conductor comes first, so that position 0 is always "as recorded".
        on.push_back(static_cast<std::int8_t>(here - amps.begin()));
        for (std::size_t k = 0; k < amps.size(); ++k)
            if (amps[k].is_zero() && (options_.neutral || is_phase(form_.conductors()[k].on)))
                on.push_back(static_cast<std::int8_t>(k));
    } else {
        on.push_back(Placement::recorded);
    }
    for (std::size_t r = 0; r < options_.ratios.size(); ++r) {
        const auto ratio = static_cast<std::uint8_t>(r);
        for (const std::int8_t k : on)
            for (const std::int8_t sign : {std::int8_t{1}, std::int8_t{-1}}) {
                if (sign < 0 && !options_.reversed) continue;
                placements_.push_back({k, Placement::none, sign, 1, ratio});
            }
        if (!options_.two_conductors || through != 1) continue;
        for (std::size_t i = 0; i < on.size(); ++i)
            for (std::size_t j = i + 1; j < on.size(); ++j)
                for (const std::int8_t sense : {std::int8_t{1}, std::int8_t{-1}})
                    for (const std::int8_t sign : {std::int8_t{1}, std::int8_t{-1}})
                        if (sign > 0 || options_.reversed) placements_.push_back({on[i], on[j], sign, sense, ratio});
    }
    if (options_.dead) placements_.push_back({Placement::none, Placement::none, 1, 1, 0});
}

void Hypotheses::list_maps() {
    const auto lead = [](FaultKind kind, int x, int y = -1) {
        return std::vector<Fault>{{kind, every_element, x, y, Rational(1)}};
    };
    maps_.emplace_back();
    if (options_.lead_orders) {
        for (const int t : {0, 1, 2})
            if (!form_.has_terminal(static_cast<std::size_t>(t)))
                throw Failure(BLN_E_VALUE, "the service has no three phase leads");
        maps_.push_back(lead(FaultKind::volts_exchanged, 0, 1));
        maps_.push_back(lead(FaultKind::volts_exchanged, 1, 2));
        maps_.push_back(lead(FaultKind::volts_exchanged, 0, 2));
        maps_.push_back(lead(FaultKind::volts_rotated, -1));
        maps_.push_back({{FaultKind::volts_rotated, every_element, -1, -1, Rational(-1)}});
    }
    if (options_.lead_missing)
        for (const int t : {0, 1, 2})
            if (form_.has_terminal(static_cast<std::size_t>(t))) maps_.push_back(lead(FaultKind::missing, t));
    if (options_.common_floating) {
        if (!form_.has_terminal(index_of(Conductor::N))) throw Failure(BLN_E_VALUE, "the service has no N lead");
        const auto common = static_cast<int>(form_.add_floating());
        maps_.push_back(lead(FaultKind::landed, static_cast<int>(index_of(Conductor::N)), common));
    }
    for (const auto& faults : maps_) mapped_.push_back(with_faults(form_, faults));
}

void Hypotheses::enumerate() {
    std::uint64_t all = maps_.size();
    for (std::size_t e = 0; e < elements(); ++e) {
        all *= first_[e + 1] - first_[e];
        if (all > most)
            throw Failure(BLN_E_SIZE,
                          "more than " + std::to_string(most) + " hypotheses; ask for fewer kinds of fault");
    }
    codes_.reserve(static_cast<std::size_t>(all));
    for (std::uint32_t code = 0; code < all; ++code) {
        if (options_.each_once) {
            std::uint64_t taken[2] = {0, 0};
            bool once = true;
            std::uint32_t rest = code / static_cast<std::uint32_t>(maps_.size());
            for (std::size_t e = 0; e < elements() && once; ++e) {
                const auto n = static_cast<std::uint32_t>(first_[e + 1] - first_[e]);
                const Placement& p = placements_[first_[e] + rest % n];
                rest /= n;
                for (const std::int8_t k : {p.on, p.also}) {
                    if (k < 0) continue;
                    const std::uint64_t bit = std::uint64_t{1} << (k % 64);
                    once = once && (taken[k / 64] & bit) == 0;
                    taken[k / 64] |= bit;
                }
            }
            if (!once) continue;
        }
        codes_.push_back(code);
    }
    // Of the same conductors only one may be recorded twice; then "as recorded" is no hypothesis of `each_once`.
    if (codes_.empty() || codes_.front() != 0)
        throw Failure(BLN_E_VALUE, "the record itself has two CTs round one conductor");
}

std::size_t Hypotheses::position_of(std::size_t h, std::size_t e) const noexcept {
    std::size_t rest = codes_[h] / maps_.size();
    for (std::size_t i = 0; i < e; ++i) rest /= first_[i + 1] - first_[i];
    return rest % (first_[e + 1] - first_[e]);
}

std::vector<Rational> Hypotheses::amps_of(std::size_t e, const Placement& p) const {
    const auto recorded = form_.amps(e);
    std::vector<Rational> out(recorded.size());
    if (p.on == Placement::none) return out;
    const Rational factor = Rational(p.sign) / options_.ratios[p.ratio];
    if (p.on == Placement::recorded) {
        for (std::size_t k = 0; k < out.size(); ++k) out[k] = recorded[k] * factor;
        return out;
    }
    const Rational turns =
        *std::find_if(recorded.begin(), recorded.end(), [](const Rational& b) { return !b.is_zero(); });
    out[static_cast<std::size_t>(p.on)] = turns * factor;
    if (p.also >= 0) out[static_cast<std::size_t>(p.also)] = turns * factor * Rational(p.also_sign);
    return out;
}

void Hypotheses::tabulate() {
    const std::size_t n = form_.conductors().size();
    reads_.assign(maps_.size() * placements_.size() * n, 0);
    readable_.assign(maps_.size() * placements_.size(), 0);
    if (form_.supply().nominal == NominalKind::none) return;
    const NominalVoltages v = nominal_voltages(form_.supply(), 1);
    for (std::size_t map = 0; map < maps_.size(); ++map)
        for (std::size_t e = 0; e < elements(); ++e) {
            Complex volts;
            bool known = true;
            for (std::size_t t = 0; t < terminal_count; ++t) {
                const Rational& a = mapped_[map].elements()[e].volts[t];
                if (a.is_zero()) continue;
                known = known && t < conductor_count && v.known[t];
                if (known) volts += a.real() * v.u[t].value();
            }
            for (std::size_t p = 0; known && p < placements(e).size(); ++p) {
                const std::vector<Rational> b = amps_of(e, placements(e)[p]);
                readable_[row(map, e, p)] = 1;
                for (std::size_t k = 0; k < n; ++k) reads_[row(map, e, p) * n + k] = volts * b[k].real();
            }
        }
}

std::span<const Complex> Hypotheses::reads(std::size_t h, std::size_t e) const noexcept {
    const std::size_t n = form_.conductors().size(), at = row(map_of(h), e, position_of(h, e));
    if (readable_[at] == 0) return {};
    return std::span(reads_).subspan(at * n, n);
}

Form Hypotheses::form_of(std::size_t h) const {
    const Form& voltages = mapped_[map_of(h)];
    Form out(form_.supply());
    for (const LoadConductor& c : form_.conductors()) {
        while (out.loads() <= c.load) out.add_load(form_.counted(out.loads()));
        out.add_conductor(c.on);
    }
    while (out.floating() < form_.floating()) out.add_floating();
    for (std::size_t e = 0; e < elements(); ++e)
        out.add_element(voltages.elements()[e].volts, amps_of(e, placement_of(h, e)), form_.elements()[e].weight);
    return out;
}

std::string Hypotheses::words(std::size_t h) const {
    std::string out;
    const auto say = [&](const std::string& part) { out += (out.empty() ? "" : "; ") + part; };
    const auto name = [&](std::int8_t k) {
        const LoadConductor& c = form_.conductors()[static_cast<std::size_t>(k)];
        std::string text(word_of(c.on));
        if (form_.loads() > 1) text += " of load " + std::to_string(c.load + 1);
        return text;
    };
    for (std::size_t e = 0; e < elements(); ++e) {
        const Placement& p = placement_of(h, e);
        const Placement& meant = placements(e)[0];
        std::string part;
        const auto add = [&](const std::string& text) { part += (part.empty() ? " " : ", ") + text; };
        if (p.on == Placement::none) {
            add("dead");
        } else {
            if (p.also >= 0)
                add("round " + name(p.on) + " and " + name(p.also) + (p.also_sign < 0 ? " in opposite senses" : ""));
            else if (p.on != meant.on)
                add("on " + name(p.on));
            if (p.sign < 0) add("reversed");
            if (!(ratios()[p.ratio] == Rational(1)))
                add("true ratio " + ratios()[p.ratio].text() + " of the configured one");
        }
        if (!part.empty()) say("element " + std::to_string(e + 1) + part);
    }
    for (const Fault& f : maps_[map_of(h)]) {
        const auto lead = [](int t) { return std::string(word_of(static_cast<Conductor>(t))); };
        if (f.kind == FaultKind::volts_exchanged)
            say("voltage leads " + lead(f.x) + " and " + lead(f.y) + " exchanged");
        if (f.kind == FaultKind::volts_rotated)
            say(f.ratio == Rational(1) ? "voltage leads A, B, C landed on B, C, A"
                                       : "voltage leads A, B, C landed on C, A, B");
        if (f.kind == FaultKind::missing) say("voltage lead " + lead(f.x) + " without voltage");
        if (f.kind == FaultKind::landed) say("voltage lead N landed on nothing");
    }
    return out.empty() ? "as recorded" : out;
}

}  // namespace bln
