#include "energy/apportion.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "power/failure.hpp"
#include "power/natural.hpp"
#include "site/instant.hpp"

namespace bln::energy {
namespace {

[[noreturn]] void refuse(bln_status status, std::string why, const std::string& id = {}) {
    throw Failure(status, std::move(why), id);
}

std::string when(Instant at) {
    return at == begin_of_time ? "the beginning" : at == end_of_time ? "the end" : instant_text(at);
}

/// a / b as a double, for numbers of any size.
double quotient(const Natural& a, const Natural& b) {
    return std::ldexp(Natural::divide(a.shifted(80), b).quotient.real(), -80);
}
std::string ratio_text(const Natural& a, const Natural& b) {
    const Natural g = Natural::gcd(a, b);
    const Natural den = Natural::divide(b, g).quotient;
    const std::string num = Natural::divide(a, g).quotient.text();
    return den == Natural(1) ? num : num + "/" + den.text();
}
UWide magnitude(std::int64_t v) { return v < 0 ? UWide{0} - static_cast<UWide>(Wide{v}) : static_cast<UWide>(v); }

struct Party {
    std::string id;
    std::vector<const ShareKey*> weights, exclusions;
    std::int64_t cap = -1;
    Natural share;  // of the sum over all parties
    bool capped = false;
};

const ShareKey* holding(const std::vector<const ShareKey*>& keys, Instant at) {
    for (const ShareKey* k : keys)
        if (k->from <= at && at < k->to) return k;
    return nullptr;
}

class Working {
public:
    Working(Apportionment& out, const std::vector<ShareKey>& keys) : out_(out), keys_(keys) {}

    void run() {
        const ShareRule& rule = out_.rule;
        if (rule.from >= rule.to || !writable(rule.from) || !writable(rule.to))
            refuse(BLN_E_VALUE, "the period of the apportionment has no length, or lies outside years 0001 to 9999");
        gather();
        shares();
        caps();
        round();
    }

private:
    ShareStep& step(StepKind kind, const std::string& id, std::string words) {
        return out_.steps.emplace_back(ShareStep{kind, id, out_.rule.from, out_.rule.to, 0, {}, std::move(words)});
    }

    void gather() {
        for (const ShareKey& k : keys_) {
            if (k.id.empty()) refuse(BLN_E_VALUE, "a party of the apportionment has no id");
            if (k.from >= k.to) refuse(BLN_E_VALUE, "a key of " + k.id + " ends before it begins", k.id);
            const auto at = std::lower_bound(parties_.begin(), parties_.end(), k.id,
                                             [](const Party& p, const std::string& id) { return p.id < id; });
            Party& p =
                at != parties_.end() && at->id == k.id ? *at : *parties_.insert(at, Party{k.id, {}, {}, -1, {}, false});
            switch (k.kind) {
                case KeyKind::weight:
                    weight(p, k);
                    break;
                case KeyKind::excluded:
                    p.exclusions.push_back(&k);
                    break;
                case KeyKind::cap:
                    if (k.from != begin_of_time || k.to != end_of_time)
                        refuse(BLN_E_VALUE, "the cap of " + k.id + " is dated; it holds for the whole period", k.id);
                    if (k.value.den() != 1 || k.value.num() < 0)
                        refuse(BLN_E_VALUE, "the cap of " + k.id + " is not a whole number of counts from 0 on", k.id);
                    if (p.cap >= 0) refuse(BLN_E_DUPLICATE, k.id + " has two caps", k.id);
                    p.cap = k.value.num();
                    break;
            }
        }
        if (parties_.empty()) refuse(BLN_E_ABSENT, "there is nobody to apportion to");
    }
    static void weight(Party& p, const ShareKey& k) {
        if (k.value.num() < 0) refuse(BLN_E_VALUE, "the weight of " + k.id + " is negative: " + k.value.text(), k.id);
        for (const ShareKey* other : p.weights)
            if (other->from < k.to && k.from < other->to)
                refuse(BLN_E_DUPLICATE, k.id + " has two weights from " + when(std::max(other->from, k.from)) + " on",
                       k.id);
        p.weights.push_back(&k);
    }

    /// Spans in which no key changes.
    std::vector<Instant> edges() const {
        std::vector<Instant> e{out_.rule.from, out_.rule.to};
        for (const ShareKey& k : keys_)
            for (const Instant at : {k.from, k.to})
                if (at > out_.rule.from && at < out_.rule.to) e.push_back(at);
        std::sort(e.begin(), e.end());
        e.erase(std::unique(e.begin(), e.end()), e.end());
        return e;
    }

    struct SpanWeights {
        std::vector<Natural> of;  // party by party, all over one denominator that cancels
        Natural sum;
    };
    SpanWeights weights(Instant from, Instant to) {
        SpanWeights w;
        w.of.resize(parties_.size());
        std::vector<Rational> values(parties_.size());
        Natural common(1);
        for (std::size_t i = 0; i < parties_.size(); ++i) {
            const Party& p = parties_[i];
            if (const ShareKey* out = holding(p.exclusions, from)) {
                step(StepKind::excluded, p.id,
                     p.id + " takes no part" + (out->reason.empty() ? std::string() : ": " + out->reason) + ".");
                dated(from, to);
                continue;
            }
            const ShareKey* k = holding(p.weights, from);
            if (k == nullptr) continue;
            values[i] = out_.rule.method == ShareMethod::equal ? Rational(1) : k->value;
            const Natural den(static_cast<UWide>(values[i].den()));
            common = Natural::divide(common * den, Natural::gcd(common, den)).quotient;
        }
        Natural divisor;
        for (std::size_t i = 0; i < parties_.size(); ++i) {
            if (values[i].is_zero()) continue;
            const Natural scale = Natural::divide(common, Natural(static_cast<UWide>(values[i].den()))).quotient;
            w.of[i] = Natural(static_cast<UWide>(values[i].num())) * scale;
            divisor = Natural::gcd(w.of[i], divisor);
        }
        if (divisor.is_zero())
            refuse(BLN_E_VALUE, "from " + when(from) + " to " + when(to) +
                                    " all weights are zero or nobody takes part: the energy can be given to nobody");
        for (Natural& n : w.of) {
            n = Natural::divide(n, divisor).quotient;
            w.sum += n;
        }
        for (std::size_t i = 0; i < parties_.size(); ++i) {
            if (w.of[i].is_zero()) continue;
            ShareStep& s = step(StepKind::weight, parties_[i].id, {});
            s.value = quotient(w.of[i], w.sum);
            s.exact = ratio_text(w.of[i], w.sum);
            s.words = fmt::format("{}: weight {}, {} of all weights ({:.6f}).", parties_[i].id, values[i].text(),
                                  s.exact, s.value);
            dated(from, to);
        }
        return w;
    }
    void dated(Instant from, Instant to) {
        out_.steps.back().from = from;
        out_.steps.back().to = to;
    }

    /// Share of each party: the sum over the spans of length times weight over the sum of weights.
    void shares() {
        const std::vector<Instant> e = edges();
        const Natural length(static_cast<UWide>(out_.rule.to - out_.rule.from));
        std::vector<SpanWeights> spans;
        std::vector<Natural> lengths;
        Natural common(1);
        for (std::size_t s = 0; s + 1 < e.size(); ++s) {
            lengths.emplace_back(static_cast<UWide>(e[s + 1] - e[s]));
            ShareStep& head = step(StepKind::span, {}, {});
            head.value = quotient(lengths.back(), length);
            head.exact = ratio_text(lengths.back(), length);
            head.words = fmt::format("From {} to {}: {} of the period.", when(e[s]), when(e[s + 1]), head.exact);
            dated(e[s], e[s + 1]);
            spans.push_back(weights(e[s], e[s + 1]));
            common = Natural::divide(common * spans.back().sum, Natural::gcd(common, spans.back().sum)).quotient;
        }
        for (std::size_t s = 0; s < spans.size(); ++s) {
            const Natural scale = lengths[s] * Natural::divide(common, spans[s].sum).quotient;
            for (std::size_t i = 0; i < parties_.size(); ++i) parties_[i].share += spans[s].of[i] * scale;
        }
        Natural divisor;
        for (const Party& p : parties_) divisor = Natural::gcd(p.share, divisor);
        for (Party& p : parties_) p.share = Natural::divide(p.share, divisor).quotient;
        const Natural whole = sum_of_open();
        const Natural total(magnitude(out_.rule.total));
        for (const Party& p : parties_) {
            ShareStep& s = step(StepKind::share, p.id, {});
            const double sign = out_.rule.total < 0 ? -1 : 1;
            s.value = sign * quotient(p.share * total, whole);
            s.exact = (out_.rule.total < 0 && !p.share.is_zero() ? "-" : "") + ratio_text(p.share * total, whole);
            s.words = fmt::format("{}: {} of {} {} is {:.6f}.", p.id, ratio_text(p.share, whole), out_.rule.total,
                                  out_.rule.unit, s.value);
        }
    }
    Natural sum_of_open() const {
        Natural sum;
        for (const Party& p : parties_)
            if (!p.capped) sum += p.share;
        return sum;
    }

    /// Who would take more than the cap takes the cap; the others divide what is left in the same proportion.
    void caps() {
        rest_ = Natural(magnitude(out_.rule.total));
        for (bool again = true; again;) {
            again = false;
            open_ = sum_of_open();
            Natural taken;
            std::vector<Party*> over;
            for (Party& p : parties_)
                if (!p.capped && p.cap >= 0 && Natural(static_cast<UWide>(p.cap)) * open_ < rest_ * p.share)
                    over.push_back(&p);
            for (Party* p : over) {
                p->capped = again = true;
                taken += Natural(static_cast<UWide>(p->cap));
                ShareStep& s = step(StepKind::cap, p->id, {});
                s.value = static_cast<double>(p->cap);
                s.exact = std::to_string(p->cap);
                s.words = fmt::format(
                    "{} would take {:.6f} and is capped at {} {}; the others divide the rest in proportion.", p->id,
                    quotient(rest_ * p->share, open_), p->cap, out_.rule.unit);
            }
            if (again) {
                if (rest_ < taken) refuse(BLN_E_INTERNAL, "the caps exceed the whole");
                rest_ -= taken;
            }
        }
        if (open_.is_zero() && !rest_.is_zero())
            refuse(BLN_E_VALUE, "the caps cannot hold the whole: " + rest_.text() + " " + out_.rule.unit + " of " +
                                    std::to_string(out_.rule.total) + " are left over");
    }

    void round() {
        const bool negative = out_.rule.total < 0;
        std::vector<Natural> remainder(parties_.size());
        Wide given = 0;
        for (std::size_t i = 0; i < parties_.size(); ++i) {
            const Party& p = parties_[i];
            SharePart part;
            part.id = p.id;
            part.cap = p.cap;
            part.capped = p.capped;
            Wide floor = p.cap;
            if (p.capped) {
                part.exact_ratio = std::to_string(p.cap);
                part.exact = static_cast<double>(p.cap);
            } else if (rest_.is_zero()) {
                floor = 0;
                part.exact_ratio = "0";
            } else {
                const Natural exact = rest_ * p.share;
                Natural::Division d = Natural::divide(exact, open_);
                std::uint64_t whole = 0;
                if (!d.quotient.fits(whole)) refuse(BLN_E_OVERFLOW, "a part needs more than 64 bits", p.id);
                floor = Wide{whole};
                if (negative &&
                    !d.rest.is_zero()) {  // towards minus infinity: the fraction is what is left to the next
                    ++floor;
                    d.rest = open_ - d.rest;
                }
                remainder[i] = d.rest;
                part.remainder = quotient(d.rest, open_);
                part.exact = quotient(exact, open_);
                part.exact_ratio = ratio_text(exact, open_);
            }
            if (negative) {
                floor = -floor;
                part.exact = part.exact == 0 ? 0 : -part.exact;
                if (part.exact_ratio != "0") part.exact_ratio.insert(0, "-");
            }
            part.part = static_cast<std::int64_t>(floor);
            given += floor;
            out_.parts.push_back(std::move(part));
        }
        hand_out(remainder, Wide{out_.rule.total} - given);
        for (const SharePart& p : out_.parts) {
            ShareStep& s = step(StepKind::rounding, p.id, {});
            s.value = static_cast<double>(p.part);
            s.exact = std::to_string(p.part);
            s.words =
                fmt::format("{} gets {} {}{}.", p.id, p.part, out_.rule.unit,
                            p.extra ? fmt::format(": {:.6f} rounded down, and one more for its remainder of {:.6f}",
                                                  p.exact, p.remainder)
                            : p.remainder > 0 ? fmt::format(": {:.6f} rounded down", p.exact)
                                              : std::string());
        }
    }
    void hand_out(const std::vector<Natural>& remainder, Wide units) {
        std::vector<std::size_t> order(parties_.size());
        std::iota(order.begin(), order.end(), std::size_t{0});
        std::stable_sort(order.begin(), order.end(),
                         [&](std::size_t a, std::size_t b) { return remainder[b] < remainder[a]; });
        for (std::size_t i = 0; units > 0; ++i, --units) {
            SharePart& p = out_.parts[order[i]];
            ++p.part;
            p.extra = true;
        }
    }

    Apportionment& out_;
    const std::vector<ShareKey>& keys_;
    std::vector<Party> parties_;  // ascending by id
    Natural rest_, open_;
};

}  // namespace

std::string_view word_of(ShareMethod method) noexcept {
    switch (method) {
        case ShareMethod::equal:
            return "equal";
        case ShareMethod::area:
            return "area";
        case ShareMethod::use:
            return "use";
        case ShareMethod::given:
            break;
    }
    return "given";
}

std::string_view word_of(StepKind kind) noexcept {
    switch (kind) {
        case StepKind::span:
            return "span";
        case StepKind::weight:
            return "weight";
        case StepKind::excluded:
            return "excluded";
        case StepKind::share:
            return "share";
        case StepKind::cap:
            return "cap";
        case StepKind::rounding:
            break;
    }
    return "rounding";
}

Apportionment apportion(ShareRule rule, std::vector<ShareKey> keys) {
    Apportionment out;
    out.rule = std::move(rule);
    if (out.rule.unit.empty()) out.rule.unit = "counts";
    Working(out, keys).run();
    return out;
}

}  // namespace bln::energy
