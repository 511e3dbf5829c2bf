// Which fault of which channel would explain, interval by interval, what a roll-up lacks of its main.
//
// A channel that reads P + jQ of a load through a wrong place has P_true = a P + b Q with fixed a and b:
// with balanced voltages the CT on the wrong phase conductor or reversed turns S by a multiple of 60
// degrees. Its part of the difference is then (a - 1) P + b Q, without a free number. Explanations are
// taken greedily, each the one that leaves least of the difference's variation.
#include <algorithm>
#include <array>
#include <cmath>

#include "energy/findings.hpp"
#include "energy/policy.hpp"
#include "site/topology.hpp"

namespace bln::energy {
namespace {

constexpr double half_root3 = 0.866025403784438646763723170752936183;

/// What a true reading would be, from what was registered.
struct Hypothesis {
    const char* words;
    double a, b;        ///< P_true = a P + b Q
    bool wye;           ///< needs phases that stand 120 degrees apart
    bool in_sum;        ///< of a channel in the sum (or: of one that is not)
    bool reads_export;  ///< only of a channel that registers export
};

constexpr std::array<Hypothesis, 10> hypotheses{{
    {"reversed", -1, 0, false, true, true},
    {"on the next lagging phase", -0.5, half_root3, true, true, false},
    {"on the next lagging phase, reversed", 0.5, -half_root3, true, true, false},
    {"on the next leading phase", -0.5, -half_root3, true, true, false},
    {"on the next leading phase, reversed", 0.5, half_root3, true, true, false},
    {"registers half of its energy", 2, 0, false, true, false},
    {"registers twice its energy", 0.5, 0, false, true, false},
    {"counted, but not below this main, or counted twice", 0, 0, false, true, false},
    {"left out of the sum", 2, 0, false, false, false},
    {"silent while its point's other elements carry load", 0, 0, false, true, false},
}};
constexpr std::size_t silent = 9;

/// Sums over the intervals compared.
struct Moments {
    double p = 0, q = 0, pp = 0, qq = 0, pq = 0, rp = 0, rq = 0;
};

/// One channel as a candidate.
struct Candidate {
    std::uint32_t channel = 0;
    bool in_sum = false;
    bool wye = false;
    std::vector<double> weight;  ///< Wh of a count, in each part of the ledger
    std::vector<std::uint32_t> siblings;
    bool taken = false;
};

class Search {
public:
    Search(const Inputs& in, std::size_t sum, std::size_t main, const Statement& out)
        : in_(in), q_(in.intervals->of(Quantity::net_q)), n_(in.grid.count) {
        const auto sums = out.net_of(sum), mains = out.net_of(main);
        const auto has_sum = out.complete_of(sum), has_main = out.complete_of(main);
        const double wh = out.quantum.real();
        std::size_t p = 0;
        double main_square = 0;
        for (std::size_t t = 0; t < n_; ++t) {
            while (p + 1 < in.ledger.parts.size() && in.ledger.parts[p].to <= in.grid.start(t)) ++p;
            if (in.ledger.parts[p].entries[sum].against != static_cast<std::int32_t>(main)) continue;
            if (has_sum[t] == 0 || has_main[t] == 0) continue;
            const double m = static_cast<double>(mains[t]) * wh;
            at_.push_back(t);
            part_.push_back(p);
            residual_.push_back(m - static_cast<double>(sums[t]) * wh);
            main_square += m * m;
        }
        centre();
        main_rms_ = at_.empty() ? 0 : std::sqrt(main_square / static_cast<double>(at_.size()));
        gather(sum, main);
    }

    void run(const std::string& rollup, double tolerance_percent, Statement& out) {
        const auto most = static_cast<std::size_t>(in_.policy[suspicion_most]);
        const double least = in_.policy[suspicion_explained];
        const double whole = square(residual_);
        // Too few intervals to tell profiles apart, or nothing beyond what the tolerance allows.
        if (at_.size() < 8 || std::sqrt(whole / static_cast<double>(at_.size())) < tolerance_percent / 100 * main_rms_)
            return;
        for (std::size_t i = 0; i < most; ++i) {
            const double now = square(residual_);
            Best best;
            for (std::size_t c = 0; c < candidates_.size(); ++c) consider(c, best);
            if (best.hypothesis == nullptr || best.gain < least * now) return;
            name(rollup, best, whole, out);
        }
    }

private:
    struct Best {
        const Hypothesis* hypothesis = nullptr;
        std::size_t candidate = 0;
        double gain = 0;
        std::size_t second = 0;  ///< best candidate of another channel
        double second_gain = 0;
    };

    static double square(const std::vector<double>& v) {
        double s = 0;
        for (const double x : v) s += x * x;
        return s;
    }
    void centre() {
        // A constant load that nobody meters is no fault of a channel.
        double mean = 0;
        for (const double r : residual_) mean += r;
        mean /= static_cast<double>(std::max<std::size_t>(residual_.size(), 1));
        for (double& r : residual_) r -= mean;
    }

    void gather(std::size_t sum, std::size_t main) {
        const Ledger& ledger = in_.ledger;
        const View& view = *ledger.view;
        const std::size_t channels = in_.grid.channels.size();
        std::vector<Candidate> all(channels);
        std::vector<std::uint8_t> of_main(channels, 0);
        for (std::size_t p = 0; p < ledger.points; ++p)
            if (view.point[p].use == PointUse::main || p == main)
                for (const LedgerPart& part : ledger.parts)
                    for (const LedgerTerm& t : part.entries[p].terms) of_main[t.channel] = 1;
        for (std::size_t c = 0; c < channels; ++c) {
            all[c].channel = static_cast<std::uint32_t>(c);
            all[c].weight.assign(ledger.parts.size(), 0);
            all[c].wye = stands_in_wye(view, ledger.channel_at[c]);
        }
        for (std::size_t p = 0; p < ledger.parts.size(); ++p)
            for (const LedgerTerm& t : ledger.parts[p].entries[sum].terms) {
                all[t.channel].weight[p] = t.wh.real();
                all[t.channel].in_sum = true;
            }
        for (std::size_t p = 0; p < ledger.points; ++p) {
            const std::vector<LedgerTerm>& terms = ledger.parts.back().entries[p].terms;
            if (ledger.kinds[p] != RowKind::point || terms.size() < 2) continue;
            for (const LedgerTerm& t : terms)
                for (const LedgerTerm& other : terms)
                    if (other.channel != t.channel) all[t.channel].siblings.push_back(other.channel);
        }
        position_.assign(channels, -1);
        for (Candidate& c : all) {
            if (of_main[c.channel] != 0) continue;
            if (!c.in_sum)
                for (std::size_t p = 0; p < ledger.parts.size(); ++p)
                    c.weight[p] = ledger.parts[p].wh_per_count[c.channel].real();
            position_[c.channel] = static_cast<std::int64_t>(candidates_.size());
            candidates_.push_back(std::move(c));
        }
    }

    static bool stands_in_wye(const View& view, std::int32_t channel) {
        if (channel < 0) return false;
        const Ref& device = view.channel[static_cast<std::size_t>(channel)].device;
        if (!device.resolved()) return false;
        const Ref& service = view.device[static_cast<std::size_t>(device.at)].service;
        if (!service.resolved()) return false;
        const ServiceKind kind = view.service[static_cast<std::size_t>(service.at)].kind;
        return kind == ServiceKind::four_wire_wye || kind == ServiceKind::two_legs_of_wye;
    }

    [[nodiscard]] double p_of(const Candidate& c, std::size_t i) const {
        return c.weight[part_[i]] * static_cast<double>(in_.net->counts[c.channel * n_ + at_[i]]);
    }
    [[nodiscard]] double q_of(const Candidate& c, std::size_t i) const {
        return c.weight[part_[i]] * static_cast<double>(q_.counts[c.channel * n_ + at_[i]]);
    }
    [[nodiscard]] double siblings_of(const Candidate& c, std::size_t i) const {
        double s = 0;
        for (const std::uint32_t other : c.siblings)
            if (position_[other] >= 0) s += p_of(candidates_[static_cast<std::size_t>(position_[other])], i);
        return s / static_cast<double>(c.siblings.size());
    }
    /// Part of the difference, in interval @p i, that hypothesis @p h of channel @p c makes.
    [[nodiscard]] double share(const Candidate& c, const Hypothesis& h, std::size_t i) const {
        if (&h == &hypotheses[silent]) return siblings_of(c, i);
        double s = (h.a - 1) * p_of(c, i);
        if (h.b != 0) s += h.b * q_of(c, i);
        return s;
    }

    void consider(std::size_t at, Best& best) const {
        const Candidate& c = candidates_[at];
        if (c.taken) return;
        Moments m;
        double absolute = 0, sibling = 0, sibling_square = 0, sibling_residual = 0;
        const bool reactive = q_.given() && c.wye;
        const bool watched = c.in_sum && !c.siblings.empty();
        for (std::size_t i = 0; i < at_.size(); ++i) {
            const double p = p_of(c, i), q = reactive ? q_of(c, i) : 0, r = residual_[i];
            m.p += p, m.q += q, m.pp += p * p, m.qq += q * q, m.pq += p * q, m.rp += r * p, m.rq += r * q;
            absolute += std::abs(p);
            if (watched) {
                const double s = siblings_of(c, i);
                sibling += s, sibling_square += s * s, sibling_residual += r * s;
            }
        }
        const double n = static_cast<double>(at_.size());
        m.pp -= m.p * m.p / n, m.qq -= m.q * m.q / n, m.pq -= m.p * m.q / n;
        for (const Hypothesis& h : hypotheses) {
            if (h.in_sum != c.in_sum || (h.wye && !reactive)) continue;
            double gain = 0;
            if (&h == &hypotheses[silent]) {
                if (!watched || absolute > 0.02 * std::abs(sibling)) continue;
                gain = 2 * sibling_residual - (sibling_square - sibling * sibling / n);
            } else {
                const double alpha = h.a - 1, beta = h.b;
                // A load takes energy: what the hypothesis calls true must not be export.
                if (h.a * m.p + h.b * m.q < 0 || (h.reads_export && m.p >= 0)) continue;
                gain = 2 * (alpha * m.rp + beta * m.rq) -
                       (alpha * alpha * m.pp + 2 * alpha * beta * m.pq + beta * beta * m.qq);
            }
            if (gain > best.gain) {
                if (best.hypothesis != nullptr && best.candidate != at) {
                    best.second = best.candidate;
                    best.second_gain = best.gain;
                }
                best.hypothesis = &h;
                best.candidate = at;
                best.gain = gain;
            } else if (gain > best.second_gain && at != best.candidate) {
                best.second = at;
                best.second_gain = gain;
            }
        }
    }

    void name(const std::string& rollup, const Best& best, double whole, Statement& out) {
        Candidate& c = candidates_[best.candidate];
        c.taken = true;
        Suspicion s;
        s.rollup = rollup;
        s.channel = in_.grid.channels[c.channel];
        s.hypothesis = best.hypothesis->words;
        s.explained = best.gain / whole;
        for (std::size_t i = 0; i < at_.size(); ++i) {
            const double x = share(c, *best.hypothesis, i);
            s.missing_wh += x;
            residual_[i] -= x;
        }
        centre();
        const View& view = *in_.ledger.view;
        for (const as_of::point& p : view.point) {
            if (!s.point.empty()) break;
            for (const Term& t : p.elements)
                if (t.ref.id == s.channel) s.point = p.id;
        }
        Finding f;
        f.code = s.missing_wh >= 0 ? "suspected-shortfall" : "suspected-excess";
        f.severity = Severity::warning;
        f.verdict = Verdict::undecided;
        f.about(Kind::channel, s.channel);
        if (!s.point.empty()) f.about(Kind::point, s.point);
        f.about(Kind::rollup, rollup);
        f.word("hypothesis", s.hypothesis);
        f.word("point", s.point.empty() ? "no point" : s.point);
        f.number("energy", std::abs(s.missing_wh) / 1000, "kWh");
        f.number("explained", s.explained * 100, "%");
        const bool rival = best.second_gain > 0.8 * best.gain;
        f.word("rival", rival ? in_.grid.channels[candidates_[best.second].channel] : "no other channel");
        f.discriminator = rollup;
        f.source = "derived: a current in a wrong place turns P + jQ by a multiple of 60 degrees";
        out.report.findings.push_back(std::move(f));
        out.suspicions.push_back(std::move(s));
    }

    const Inputs& in_;
    const CountMatrix& q_;
    std::size_t n_;
    std::vector<std::size_t> at_, part_;  // intervals compared, and their parts of the ledger
    std::vector<double> residual_;        // Wh, mean taken out
    double main_rms_ = 0;
    std::vector<Candidate> candidates_;
    std::vector<std::int64_t> position_;  // of each channel among the candidates, or -1
};

}  // namespace

void suspect(const Inputs& in, std::size_t sum, std::size_t main, Statement& out) {
    Search search(in, sum, main, out);
    search.run(out.rows[sum].id, out.reconciliations.back().tolerance_percent, out);
}

}  // namespace bln::energy
