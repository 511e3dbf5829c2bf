// Which word does a channel spell?
#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <unordered_map>

#include "plan/trace.hpp"
#include "site/topology.hpp"

namespace bln {
namespace {

using namespace plan;

constexpr TraceCauseInfo causes[] = {
#define BLN_TRACE_CAUSE_ROW(name, number, slug, what) {slug, what},
    BLN_TRACE_CAUSES(BLN_TRACE_CAUSE_ROW)
#undef BLN_TRACE_CAUSE_ROW
};
constexpr TraceCause cause_numbers[] = {
#define BLN_TRACE_CAUSE_NUMBER(name, number, slug, what) TraceCause::name,
    BLN_TRACE_CAUSES(BLN_TRACE_CAUSE_NUMBER)
#undef BLN_TRACE_CAUSE_NUMBER
};

/// One usable reading of a channel.
struct Fall {
    std::uint32_t step;
    double left;          ///< share of the current that is left
    double sigma;         ///< of that share
    double stayed, fell;  ///< log-likelihoods
};

struct Candidate {
    std::size_t breaker;  ///< SIZE_MAX: none
    double score;
};

class Decoder {
public:
    Decoder(const TracePlan& p, const Policy& policy) : plan_(p), policy_(policy) {
        for (std::size_t b = 0; b < p.breakers.size(); ++b) {
            if (p.breakers[b].word.empty()) continue;
            switched_.push_back(b);
            std::vector<std::uint8_t>& bits = bits_.emplace_back(p.steps, std::uint8_t{0});
            for (const std::uint32_t s : p.breakers[b].word) bits[s] = 1;
        }
    }

    void decode(const std::vector<const TraceReading*>& readings, TraceRow& row) const {
        std::vector<Fall> falls;
        double amps = 0;
        for (const TraceReading* r : readings) {
            amps += r->before / static_cast<double>(readings.size());
            if (const auto f = fall(*r)) falls.push_back(*f);
        }
        row.amps = amps;
        row.read.assign(plan_.steps, '-');
        for (const Fall& f : falls) sign(f, row.read[f.step]);
        row.steps = static_cast<std::uint32_t>(
            std::count_if(row.read.begin(), row.read.end(), [](char c) { return c != '-'; }));
        if (falls.empty()) {
            row.cause = TraceCause::no_load;
            return;
        }
        if (row.read.find('p') != std::string::npos && two_breakers(falls, row)) return;
        choose(falls, row);
    }

private:
    [[nodiscard]] std::optional<Fall> fall(const TraceReading& r) const {
        const double own =
            r.noise > 0 ? r.noise : std::hypot(policy_[noise_amps], policy_[noise_percent] / 100 * r.before);
        // A difference of two readings.
        const double sigma = own * std::numbers::sqrt2;
        if (r.before < policy_[least_times] * sigma) return std::nullopt;
        Fall f{};
        f.step = r.step - 1;
        f.left = r.off / r.before;
        f.sigma = sigma / r.before;
        const double wild = policy_[wild_percent] / 100;
        const auto density = [&](double expected) {
            const double z = (f.left - expected) / f.sigma;
            const double normal = std::exp(-z * z / 2) / (f.sigma * std::sqrt(2 * std::numbers::pi));
            // A load that changes by itself may leave anything between nothing and twice as much.
            return std::log((1 - wild) * normal + wild / 2);
        };
        f.stayed = density(1);
        f.fell = density(0);
        return f;
    }

    void sign(const Fall& f, char& to) const {
        const char now = f.left <= policy_[partial_low] / 100 ? '1' : f.left >= policy_[partial_high] / 100 ? '0' : 'p';
        // Readings of one step that disagree count as partial.
        to = to == '-' || to == now ? now : 'p';
    }

    [[nodiscard]] double score(const std::vector<Fall>& falls, std::size_t k) const {
        double sum = 0;
        for (const Fall& f : falls) sum += k != SIZE_MAX && bits_[k][f.step] != 0 ? f.fell : f.stayed;
        return sum;
    }

    void choose(const std::vector<Fall>& falls, TraceRow& row) const {
        std::vector<Candidate> all{{SIZE_MAX, score(falls, SIZE_MAX)}};
        for (std::size_t k = 0; k < switched_.size(); ++k) all.push_back({k, score(falls, k)});
        std::partial_sort(all.begin(),
                          all.begin() + std::min<std::ptrdiff_t>(2, static_cast<std::ptrdiff_t>(all.size())), all.end(),
                          [](const Candidate& a, const Candidate& b) { return a.score > b.score; });
        const Candidate& best = all[0];
        double sum = 0;
        for (const Candidate& c : all) sum += std::exp(c.score - best.score);
        row.probability = 1 / sum;
        row.nats = all.size() > 1 ? best.score - all[1].score : policy_[accept_nats];
        if (best.breaker != SIZE_MAX) row.breaker = name(best.breaker);
        for (std::size_t s = 0; s < row.read.size(); ++s) {
            if (row.read[s] == '-') continue;
            const bool off = best.breaker != SIZE_MAX && bits_[best.breaker][s] != 0;
            row.wrong_steps += row.read[s] == (off ? '1' : '0') ? 0 : 1;
        }
        if (row.wrong_steps > (plan_.distance - 1) / 2) {
            row.verdict = TraceVerdict::contradictory;
            row.cause = row.read.find('p') != std::string::npos ? TraceCause::partly : TraceCause::no_word;
            return;
        }
        if (row.nats < policy_[accept_nats]) {
            row.verdict = TraceVerdict::undecided;
            row.cause = TraceCause::too_little;
            if (all.size() > 1 && all[1].breaker != SIZE_MAX) row.second = name(all[1].breaker);
            return;
        }
        row.verdict = row.wrong_steps > 0        ? TraceVerdict::likely
                      : best.breaker == SIZE_MAX ? TraceVerdict::not_among
                                                 : TraceVerdict::proven;
        if (row.wrong_steps > 0) row.cause = TraceCause::corrected;
    }

    /// A share s of the current belongs to one breaker, the rest to another.
    bool two_breakers(const std::vector<Fall>& falls, TraceRow& row) const {
        constexpr std::size_t most_tried = 600;
        if (switched_.size() > most_tried) return false;
        struct Pair {
            std::size_t a = 0, b = 0;
            double miss = 1e300, share = 0;
        };
        Pair best, second;
        for (std::size_t a = 0; a < switched_.size(); ++a)
            for (std::size_t b = a + 1; b < switched_.size(); ++b) {
                // Left: 1 - s (a off) - (1 - s) (b off); linear in s.
                double xx = 0, xy = 0;
                for (const Fall& f : falls) {
                    const int x = bits_[b][f.step] - bits_[a][f.step];
                    const double y = f.left - 1 + bits_[b][f.step];
                    xx += x * x / (f.sigma * f.sigma);
                    xy += x * y / (f.sigma * f.sigma);
                }
                if (xx <= 0) continue;
                Pair p{a, b, 0, std::clamp(xy / xx, 0.0, 1.0)};
                for (const Fall& f : falls) {
                    const double left = 1 - p.share * bits_[a][f.step] - (1 - p.share) * bits_[b][f.step];
                    p.miss += std::pow((f.left - left) / f.sigma, 2) / 2;
                }
                if (p.miss < best.miss) {
                    second = best;
                    best = p;
                } else if (p.miss < second.miss) {
                    second = p;
                }
            }
        // A fit: on the average no reading further off than three of its standard deviations.
        if (best.miss > 4.5 * static_cast<double>(falls.size())) return false;
        if (second.miss - best.miss < policy_[accept_nats]) return false;
        row.verdict = TraceVerdict::contradictory;
        row.cause = TraceCause::two_breakers;
        row.breaker = name(best.a);
        row.second = name(best.b);
        row.share = best.share;
        row.nats = std::min(second.miss - best.miss, 1e6);
        row.probability = 1 / (1 + std::exp(-row.nats));
        return true;
    }

    [[nodiscard]] const std::string& name(std::size_t k) const { return plan_.breakers[switched_[k]].id; }

    const TracePlan& plan_;
    const Policy& policy_;
    std::vector<std::size_t> switched_;
    std::vector<std::vector<std::uint8_t>> bits_;
};

class Teller {
public:
    Teller(const TracePlan& p, const View* view, TraceResult& out) : plan_(p), view_(view), out_(out) {}

    void run() {
        std::map<std::string_view, std::vector<std::size_t>> by;
        for (std::size_t i = 0; i < out_.rows.size(); ++i) {
            const TraceRow& r = out_.rows[i];
            if (r.verdict == TraceVerdict::proven || r.verdict == TraceVerdict::likely) by[r.breaker].push_back(i);
        }
        for (const TraceBreaker& b : plan_.breakers) {
            if (b.word.empty()) continue;
            const auto found = by.find(b.id);
            const std::size_t n = found == by.end() ? 0 : found->second.size();
            if (n > static_cast<std::size_t>(b.poles)) too_many(b, found->second);
            if (n == 0) {
                Finding& f = add("trace-breaker-unseen", Severity::note, Verdict::not_checked, nullptr);
                breaker(f, b.id);
            } else if (n < static_cast<std::size_t>(b.poles)) {
                Finding& f = add("trace-poles-missing", Severity::note, Verdict::undecided, nullptr);
                breaker(f, b.id);
                f.number("found", static_cast<double>(n), "").number("poles", b.poles, "");
            }
        }
        for (const TraceRow& r : out_.rows) tell(r);
        out_.report.sort();
    }

private:
    Finding& add(std::string_view code, Severity severity, Verdict verdict, const TraceRow* row) {
        Finding& f = out_.report.findings.emplace_back();
        f.code = code;
        f.severity = severity;
        f.verdict = verdict;
        if (row == nullptr) return f;
        f.word("channel", row->channel).word("read", row->read);
        if (view_ != nullptr && view_->model().find(Kind::channel, row->channel) >= 0)
            f.about(Kind::channel, row->channel);
        else
            f.discriminator = row->channel;
        return f;
    }
    void breaker(Finding& f, const std::string& id) const {
        f.word("breaker", id);
        if (view_ != nullptr && view_->model().find(Kind::circuit, id) >= 0)
            f.about(Kind::circuit, id);
        else
            f.discriminator += (f.discriminator.empty() ? "" : ",") + id;
    }

    void too_many(const TraceBreaker& b, const std::vector<std::size_t>& rows) {
        std::string list;
        for (const std::size_t i : rows) {
            list += (list.empty() ? "" : ", ") + out_.rows[i].channel;
            out_.rows[i].verdict = TraceVerdict::contradictory;
            out_.rows[i].cause = TraceCause::too_many;
        }
        Finding& f = add("trace-too-many", Severity::error, Verdict::wrong, nullptr);
        breaker(f, b.id);
        f.word("channels", list).number("found", static_cast<double>(rows.size()), "").number("poles", b.poles, "");
    }

    void tell(const TraceRow& r) {
        switch (r.verdict) {
            case TraceVerdict::contradictory: {
                if (r.cause == TraceCause::too_many) return;
                const bool two = r.cause == TraceCause::two_breakers;
                Finding& f =
                    add(two ? "trace-two-breakers" : "trace-contradictory", two ? Severity::error : Severity::warning,
                        two ? Verdict::wrong : Verdict::undecided, &r);
                if (two) {
                    breaker(f, r.breaker);
                    breaker(f, r.second);
                    f.word("second", r.second).number("share", 100 * r.share, "%");
                } else {
                    f.word("cause", info(r.cause).what).number("steps", r.wrong_steps, "");
                }
                return;
            }
            case TraceVerdict::undecided: {
                Finding& f = add("trace-undecided", Severity::note, Verdict::undecided, &r);
                f.word("best", r.breaker.empty() ? "none of them" : r.breaker);
                f.word("second", r.second.empty() ? "none of them" : r.second);
                f.number("margin", r.nats, "nat");
                return;
            }
            case TraceVerdict::not_proven:
                add("trace-no-load", Severity::note, Verdict::not_checked, &r).number("measured", r.amps, "A");
                return;
            case TraceVerdict::not_among:
                add("trace-not-among", Severity::note, Verdict::undecided, &r).number("measured", r.amps, "A");
                return;
            case TraceVerdict::likely:
            case TraceVerdict::proven:
                compare(r);
        }
    }

    void compare(const TraceRow& r) {
        if (view_ == nullptr) return;
        const std::int32_t at = view_->model().find(Kind::channel, r.channel);
        if (at < 0) return;
        std::string recorded;
        for (const Term& t : view_->channel[static_cast<std::size_t>(at)].cts) {
            if (!t.ref.resolved()) continue;
            for (const Pass& p : view_->ct[static_cast<std::size_t>(t.ref.at)].passes) {
                if (p.circuit.id == r.breaker) return;
                if (!recorded.empty()) recorded += ", ";
                recorded += p.circuit.id;
            }
        }
        if (recorded.empty()) return;
        Finding& f = add("trace-differs", Severity::error, Verdict::wrong, &r);
        breaker(f, r.breaker);
        f.word("recorded", recorded);
        f.at(pointer_to(Kind::channel, r.channel, "cts"));
    }

    const TracePlan& plan_;
    const View* view_;
    TraceResult& out_;
};

}  // namespace

const TraceCauseInfo& info(TraceCause cause) noexcept {
    std::size_t i = 0;
    while (i + 1 < std::size(cause_numbers) && cause_numbers[i] != cause) ++i;
    return causes[i];
}

TraceResult trace_decode(const TracePlan& p, const View* view, std::span<const TraceReading> readings,
                         const Policy& policy) {
    TraceResult out;
    std::unordered_map<std::string_view, std::size_t> index;
    std::vector<std::vector<const TraceReading*>> by;
    for (const TraceReading& r : readings) {
        const auto [found, fresh] = index.emplace(r.channel, out.rows.size());
        if (fresh) {
            out.rows.emplace_back().channel = r.channel;
            by.emplace_back();
        }
        by[found->second].push_back(&r);
    }
    const Decoder decoder(p, policy);
    for (std::size_t i = 0; i < out.rows.size(); ++i) decoder.decode(by[i], out.rows[i]);
    Teller(p, view, out).run();
    return out;
}

}  // namespace bln
