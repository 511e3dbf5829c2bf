// Which hypotheses give the same readings: exact comparison of what elements read, no tolerance.
#include <map>
#include <optional>
#include <unordered_map>

#include "power/correction.hpp"
#include "power/failure.hpp"
#include "power/hypotheses.hpp"

namespace bln {
namespace {

using Key = std::vector<std::int64_t>;

void append(Key& key, const Quadratic& q) {
    for (const Rational* r : {&q.x, &q.y}) {
        key.push_back(r->num());
        key.push_back(r->den());
    }
}

/// Coefficients of what an element reads, of a length that depends on the point and on @p over alone.
class Readings {
public:
    Readings(const Form& form, Over over) : form_(form), over_(over), frame_(form.frame()) {
        if (over == Over::any) return;
        if (form.supply().nominal == NominalKind::none) absent();
        nominal_ = nominal_voltages(form.supply(), 1);
        if (over != Over::balanced) return;
        const auto currents = balanced_currents(form);
        if (!currents) absent();
        currents_ = *currents;
    }

    [[nodiscard]] std::size_t length() const noexcept {
        return over_ == Over::any ? frame_.rows * frame_.columns : over_ == Over::nominal ? frame_.columns : 1;
    }
    void write(const VoltageRow& a, std::span<const Rational> b, Quadratic* out) const {
        std::fill_n(out, length(), Quadratic{});
        if (over_ == Over::balanced) {
            Quadratic amps;
            for (std::size_t k = 0; k < b.size(); ++k) amps = amps + currents_[k] * b[k];
            if (!amps.is_zero()) *out = across(a) * amps;
            return;
        }
        std::optional<Quadratic> volts;
        for (std::size_t k = 0; k < b.size(); ++k) {
            if (frame_.column[k] < 0) continue;
            const auto c = static_cast<std::size_t>(frame_.column[k]);
            const Rational reduced = b[k] - b[frame_.eliminated[form_.conductors()[k].load]];
            if (reduced.is_zero()) continue;
            if (over_ == Over::nominal) {
                if (!volts) volts = across(a);
                out[c] = *volts * reduced;
                continue;
            }
            for (std::size_t t = 0; t < terminal_count; ++t)
                if (frame_.row[t] >= 0 && !a[t].is_zero()) {
                    Quadratic& to = out[static_cast<std::size_t>(frame_.row[t]) * frame_.columns + c];
                    to.x += a[t] * reduced;
                }
        }
    }

private:
    [[noreturn]] static void absent() {
        throw Failure(BLN_E_ABSENT, "the nominal voltages that decide here are not known");
    }
    [[nodiscard]] Quadratic across(const VoltageRow& a) const {
        Quadratic sum;
        for (std::size_t t = 0; t < terminal_count; ++t) {
            if (a[t].is_zero()) continue;
            if (t >= conductor_count || !nominal_.known[t]) absent();
            sum = sum + nominal_.u[t] * a[t];
        }
        return sum;
    }

    const Form& form_;
    Over over_;
    Form::Frame frame_;
    NominalVoltages nominal_;
    std::vector<Quadratic> currents_;
};

class Numbering {
public:
    std::uint32_t of(const Key& key) {
        const auto [at, fresh] = ids_.try_emplace(key, static_cast<std::uint32_t>(ids_.size()));
        return at->second;
    }
    [[nodiscard]] std::uint32_t count() const noexcept { return static_cast<std::uint32_t>(ids_.size()); }

private:
    std::map<Key, std::uint32_t> ids_;
};

}  // namespace

Classes Hypotheses::classes(Sees sees, Over over) const {
    if (sees == Sees::shape && over != Over::balanced)
        throw Failure(BLN_E_VALUE, "the shape of readings is that of a balanced load");
    const Readings readings(form_, over);
    const std::size_t length = readings.length(), all = maps_.size() * placements_.size();
    std::vector<Quadratic> value(all * length);
    for (std::size_t map = 0; map < maps_.size(); ++map)
        for (std::size_t e = 0; e < elements(); ++e)
            for (std::size_t p = 0; p < placements(e).size(); ++p)
                readings.write(mapped_[map].elements()[e].volts, amps_of(e, placements(e)[p]),
                               value.data() + row(map, e, p) * length);

    Classes out;
    out.of.resize(size());
    Key key;
    if (sees == Sees::each) {
        // Number the readings of each element, then the tuples of these numbers.
        std::vector<std::uint32_t> number(all);
        for (std::size_t e = 0; e < elements(); ++e) {
            Numbering ids;
            for (std::size_t map = 0; map < maps_.size(); ++map)
                for (std::size_t p = 0; p < placements(e).size(); ++p) {
                    key.clear();
                    for (std::size_t i = 0; i < length; ++i) append(key, value[row(map, e, p) * length + i]);
                    number[row(map, e, p)] = ids.of(key);
                }
        }
        std::unordered_map<std::uint64_t, std::uint32_t> seen;
        for (std::size_t e = 0; e < elements(); ++e) {
            seen.clear();
            for (std::size_t h = 0; h < size(); ++h) {
                const std::uint64_t pair =
                    std::uint64_t{out.of[h]} << 32 | number[row(map_of(h), e, position_of(h, e))];
                out.of[h] = seen.try_emplace(pair, static_cast<std::uint32_t>(seen.size())).first->second;
            }
        }
        out.count = elements() == 0 ? (size() == 0 ? 0 : 1) : static_cast<std::uint32_t>(seen.size());
        return out;
    }
    Numbering ids;
    std::vector<Quadratic> sum(length);
    for (std::size_t h = 0; h < size(); ++h) {
        key.clear();
        if (sees == Sees::total) {
            std::fill(sum.begin(), sum.end(), Quadratic{});
            for (std::size_t e = 0; e < elements(); ++e)
                for (std::size_t i = 0; i < length; ++i)
                    sum[i] =
                        sum[i] + value[row(map_of(h), e, position_of(h, e)) * length + i] * form_.elements()[e].weight;
            for (const Quadratic& q : sum) append(key, q);
        } else {
            // Another load multiplies all readings by one complex number.
            std::optional<Quadratic> unit;
            for (std::size_t e = 0; e < elements(); ++e) {
                const Quadratic& q = value[row(map_of(h), e, position_of(h, e))];
                if (!unit && !q.is_zero()) unit = q;
                append(key, unit ? q / *unit : q);
            }
        }
        out.of[h] = ids.of(key);
    }
    out.count = ids.count();
    return out;
}

}  // namespace bln
