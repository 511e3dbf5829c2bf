// Loads whose poles carry currents of their own: one for each pole, or one alone where two poles have no neutral.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "proof/likelihood.hpp"
#include "proof/proof_policy.hpp"

namespace bln::infer {
namespace {

constexpr double log_2pi = 1.8378770664093454;

/// Sum over the angles of @p weights times the circles, each from its shift.
template <std::size_t N>
double overlap(const Weights& weights, const std::array<const float*, N>& at) noexcept {
    float sum = 0;
    for (std::size_t i = 0; i < steps; ++i) {
        float term = weights[i];
        for (std::size_t k = 0; k < N; ++k) term *= at[k][i];
        sum += term;
    }
    return static_cast<double>(sum);
}

double overlap(const Weights& weights, std::span<const float* const> at) noexcept {
    switch (at.size()) {
        case 1:
            return overlap<1>(weights, {at[0]});
        case 2:
            return overlap<2>(weights, {at[0], at[1]});
        case 3:
            return overlap<3>(weights, {at[0], at[1], at[2]});
        default:
            return 1;
    }
}

double log_of(double v) noexcept { return v > 0 ? std::log(v) : impossible; }

class Poles {
public:
    Poles(const Case& in, double share, Likelihood& out)
        : in_(in),
          shape_(in.shape),
          kind_(in.laws.kind(in.load)),
          unknown_(in.laws.kind(Load::unknown)),
          log_share_(std::log(share)),
          out_(out) {
        for (std::size_t e = 0; e < in.sights.size(); ++e)
            if (in.sights[e].loaded) loaded_.push_back(e);
        agree_ = in.laws.agreement(kind_, shape_.variables.size() < 2);
        sizes();
        marginals();
    }

    void run() {
        std::vector<std::size_t> place(in_.sights.size(), 0);
        const bool ratios = sized_ && loaded_.size() > 1;
        out_.ratio.resize(in_.sights.size() * 2);
        for (std::size_t t = 0; t < shape_.tuples; ++t) {
            std::size_t rest = t;
            bool counted = true;
            for (std::size_t e = 0; e < place.size(); ++e) {
                place[e] = rest % shape_.elements[e].base.size();
                rest /= shape_.elements[e].base.size();
                // Of an element without load only the recorded place is counted.
                counted = counted && (in_.sights[e].loaded || place[e] == 0);
            }
            if (!counted) continue;
            tuple(t, place);
            if (ratios) scaled(t);
        }
    }

private:
    [[nodiscard]] const ElementClass& seat(std::size_t e, std::size_t c) const noexcept {
        return shape_.elements[e].base[c];
    }

    /// Mean size of each element against the others, and how much that changes.
    void sizes() {
        const std::size_t n = loaded_.size();
        mean_.assign(in_.sights.size(), 0);
        sized_ = true;
        std::vector<std::vector<const Observation*>> by(in_.snapshots);
        for (const std::size_t e : loaded_)
            for (const Observation& o : in_.sights[e].seen) {
                sized_ = sized_ && (o.sized || !o.loaded);
                if (o.loaded) by[static_cast<std::size_t>(o.snapshot)].push_back(&o);
            }
        double squares = 0, low = 1e300, high = -1e300;
        std::vector<double> square(n, 0);
        for (const auto& row : by) {
            if (row.size() != n) continue;
            double middle = 0;
            for (const Observation* o : row) middle += o->log_amps / static_cast<double>(n);
            for (std::size_t i = 0; i < n; ++i) {
                const double x = row[i]->log_amps - middle;
                mean_[loaded_[i]] += x;
                square[i] += x * x;
                error_ = std::max(error_, row[i]->log_error);
            }
            low = std::min(low, middle);
            high = std::max(high, middle);
            ++common_;
        }
        if (common_ == 0) {
            sized_ = false;
            return;
        }
        for (std::size_t i = 0; i < n; ++i) {
            double& m = mean_[loaded_[i]];
            m /= static_cast<double>(common_);
            squares += std::max(0.0, square[i] / static_cast<double>(common_) - m * m);
        }
        change_ = squares;
        // Steady snapshots repeat one another; only a load that moves says how its poles go together.
        const double moved = std::clamp((high - low) / 0.4, 0.0, 1.0);
        counts_ = moved * std::min(4.0, static_cast<double>(common_ - 1));
    }

    void marginals() {
        marginal_.resize(in_.sights.size());
        const double lines = shape_.variables.size() > 1 && shape_.neutral != Answer::no
                                 ? in_.laws.policy[key::between_lines]
                             : shape_.triple ? 0.5
                                             : 0.0;
        const double own = in_.laws.policy[key::foreign_own_kind];
        for (const std::size_t e : loaded_)
            for (const ElementClass& c : shape_.elements[e].base) {
                const Circle& circle = in_.sights[e].one;
                const auto with = [&](const LoadKind& k, int shift) {
                    return overlap<1>(k.angle, {circle.from(shift)});
                };
                if (c.variable < 0) {
                    const double a = shape_.poles == 1 ? own : 0.3;
                    marginal_[e].push_back(log_of(a * with(kind_, c.shift) + (1 - a) * with(unknown_, c.shift)));
                    continue;
                }
                const Variable& v = shape_.variables[static_cast<std::size_t>(c.variable)];
                double sum = with(kind_, c.shift) * (v.others > 0 ? 1 - lines : 1);
                for (std::size_t i = 0; i < v.others; ++i)
                    sum += lines / static_cast<double>(v.others) * with(kind_, c.other_shift[i]);
                marginal_[e].push_back(log_of(sum));
            }
        for (const std::size_t e : loaded_) scale_ += in_.sights[e].one.log_scale();
    }

    /// Logarithm of the density of the sizes of @p n poles whose squares about their mean sum to @p ss.
    [[nodiscard]] double sizes_density(std::size_t level, std::size_t n, double ss) const noexcept {
        if (n < 2 || !sized_) return 0;
        const double u = std::hypot(agree_.log_amps[level], error_), v = std::hypot(agree_.log_change[level], error_);
        const auto free = static_cast<double>(n - 1);
        return -0.5 * free * (log_2pi + 2 * std::log(u)) - 0.5 * std::log(static_cast<double>(n)) - ss / (2 * u * u) -
               counts_ * (free * std::log(v) + change_ / (2 * v * v)) * static_cast<double>(n) /
                   static_cast<double>(loaded_.size());
    }

    /// Density of what the second of two elements round one current reads, given the first.
    [[nodiscard]] double same_current(std::size_t a, std::size_t ca, std::size_t b, std::size_t cb) const noexcept {
        const ElementClass &first = seat(a, ca), &second = seat(b, cb);
        double log_density = 0;
        const double offset = (first.shift - second.shift) * step_degrees * std::numbers::pi / 180;
        const auto &left = in_.sights[a].seen, &right = in_.sights[b].seen;
        std::size_t i = 0, j = 0;
        const double narrow = in_.laws.policy[key::one_degrees] * std::numbers::pi / 180;
        while (i < left.size() && j < right.size()) {
            if (left[i].snapshot != right[j].snapshot) {
                ++(left[i].snapshot < right[j].snapshot ? i : j);
                continue;
            }
            const Observation &x = left[i++], &y = right[j++];
            if (!x.loaded || !y.loaded || x.angles == 0 || y.angles == 0) continue;
            const double sd = std::hypot(narrow, std::hypot(x.angle_error, y.angle_error));
            double sum = 1e-4;
            for (std::size_t m = 0; m < x.angles; ++m)
                for (std::size_t k = 0; k < y.angles; ++k) {
                    const double d = std::remainder(x.angle[m] - y.angle[k] - offset, 2 * std::numbers::pi) / sd;
                    sum += x.weight[m] * y.weight[k] * std::exp(-d * d / 2) / (sd * std::sqrt(2 * std::numbers::pi));
                }
            log_density += std::log(sum);
            if (log_density < -60) return impossible;
        }
        if (!sized_) return log_density;
        const double sd = std::numbers::sqrt2 * error_;
        const double d = (mean_[a] - first.log_turns - mean_[b] + second.log_turns) / sd;
        return log_density - 0.5 * d * d - std::log(sd) - 0.5 * log_2pi -
               counts_ * (std::log(sd) + change_ / (2 * sd * sd)) * 0.5;
    }

    void tuple(std::size_t t, const std::vector<std::size_t>& place) {
        // Elements round currents of the load, the first of each current; all others are extras.
        lead_.clear();
        double extra = 0;
        bool pairs = false;
        for (const std::size_t e : loaded_) {
            const ElementClass& c = seat(e, place[e]);
            if (c.variable < 0) {
                extra += marginal_[e][place[e]] + (sized_ ? in_.laws.log_range : 0);
                continue;
            }
            bool again = false;
            for (const std::size_t l : lead_)
                if (seat(l, place[l]).variable == c.variable) {
                    const double same = same_current(l, place[l], e, place[e]);
                    if (same <= impossible) return;
                    extra += same - in_.sights[e].one.log_scale();
                    again = pairs = true;
                    break;
                }
            if (!again) lead_.push_back(e);
        }
        const std::size_t n = lead_.size();
        std::array<const float*, most_elements> one{}, similar{};
        double ss = 0, middle = 0, separate = 0, shift_similar = 0;
        for (std::size_t i = 0; i < n; ++i) {
            const std::size_t e = lead_[i];
            const ElementClass& c = seat(e, place[e]);
            one[i] = in_.sights[e].one.from(c.shift);
            similar[i] = in_.sights[e].similar.from(c.shift);
            middle += (mean_[e] - c.log_turns) / static_cast<double>(n);
            separate += marginal_[e][place[e]];
            shift_similar += in_.sights[e].similar.log_scale() - in_.sights[e].one.log_scale();
        }
        for (std::size_t i = 0; i < n; ++i) {
            const double x = mean_[lead_[i]] - seat(lead_[i], place[lead_[i]]).log_turns - middle;
            ss += x * x;
        }
        std::array<double, levels> angle{impossible, impossible, separate};
        if (n > 1) {
            angle[0] = log_of(overlap(kind_.angle, std::span<const float* const>(one.data(), n)));
            angle[1] = log_of(overlap(kind_.angle, std::span<const float* const>(similar.data(), n)));
            if (angle[1] > impossible) angle[1] += shift_similar;
        }
        const double base = log_share_ + scale_ + extra + (sized_ && n > 0 ? in_.laws.log_range : 0);
        double sum = impossible;
        for (std::size_t l = 0; l < levels; ++l) {
            level_[l] = impossible;
            const double share = n > 1 ? agree_.share[l] : l + 1 == levels ? 1 : 0;
            if (share <= 0 || angle[l] <= impossible) continue;
            level_[l] = base + std::log(share) + angle[l];
            sum = log_sum(sum, level_[l] + sizes_density(l, n, ss));
        }
        distinct_ = n == loaded_.size() && !pairs && n > 1;
        out_.tuple[t] = log_sum(out_.tuple[t], sum);
        if (shape_.pair && n == 2 && distinct_ && shape_.neutral != Answer::no) between(t, place, base);
    }

    /// Two poles with neutral may feed a load between them alone: then one current is the other's, reversed.
    void between(std::size_t t, const std::vector<std::size_t>& place, double base) {
        const double share = shape_.neutral == Answer::unknown ? 0.5 : in_.laws.policy[key::between_lines];
        const std::size_t a = lead_[0], b = lead_[1];
        const ElementClass &x = seat(a, place[a]), &y = seat(b, place[b]);
        // As if both saw the first current against the voltage between the poles.
        const double offset = (x.other_shift[0] - y.other_shift[0]) * step_degrees * std::numbers::pi / 180;
        double log_density = 0;
        const double narrow = in_.laws.policy[key::one_degrees] * std::numbers::pi / 180;
        for (const Observation& left : in_.sights[a].seen)
            for (const Observation& right : in_.sights[b].seen) {
                if (left.snapshot != right.snapshot || !left.loaded || !right.loaded) continue;
                if (left.angles == 0 || right.angles == 0) continue;
                const double sd = std::hypot(narrow, std::hypot(left.angle_error, right.angle_error));
                double sum = 1e-4;
                for (std::size_t m = 0; m < left.angles; ++m)
                    for (std::size_t k = 0; k < right.angles; ++k) {
                        const double d =
                            std::remainder(left.angle[m] - right.angle[k] - offset, 2 * std::numbers::pi) / sd;
                        sum += left.weight[m] * right.weight[k] * std::exp(-d * d / 2) /
                               (sd * std::sqrt(2 * std::numbers::pi));
                    }
                log_density += std::log(sum);
            }
        const double angle = log_of(overlap<1>(kind_.angle, {in_.sights[a].one.from(x.other_shift[0])}));
        if (sized_) {
            const double sd = std::numbers::sqrt2 * error_;
            const double d = (mean_[a] - x.log_turns - mean_[b] + y.log_turns) / sd;
            log_density += -0.5 * d * d - std::log(sd) - 0.5 * log_2pi;
        }
        const double value = base + std::log(share) + angle + log_density - in_.sights[b].one.log_scale();
        out_.tuple[t] = log_sum(out_.tuple[t] + std::log1p(-share), value);
    }

    /// The same wiring with one ratio other than configured: only sizes tell.
    void scaled(std::size_t t) {
        for (const std::size_t e : loaded_)
            for (std::size_t r = 0; r < 2; ++r) {
                auto& to = out_.ratio[e * 2 + r];
                if (to.empty()) to.assign(shape_.tuples, impossible);
                if (!distinct_) continue;
                // True over configured 2: it reads half, so the current is twice what it reads.
                const double shift = r == 0 ? std::log(2.0) : -std::log(2.0);
                const auto n = static_cast<double>(loaded_.size());
                double middle = 0, ss = 0;
                for (const std::size_t i : loaded_) middle += (mean_[i] + (i == e ? shift : 0)) / n;
                for (const std::size_t i : loaded_) {
                    const double x = mean_[i] + (i == e ? shift : 0) - middle;
                    ss += x * x;
                }
                double sum = impossible;
                for (std::size_t l = 0; l < levels; ++l)
                    if (level_[l] > impossible) sum = log_sum(sum, level_[l] + sizes_density(l, loaded_.size(), ss));
                to[t] = log_sum(to[t], sum);
            }
    }

    const Case& in_;
    const Shape& shape_;
    const LoadKind &kind_, &unknown_;
    double log_share_;
    Likelihood& out_;
    Agreement agree_;
    std::vector<std::size_t> loaded_, lead_;
    std::vector<double> mean_;
    double error_ = 0, change_ = 0, counts_ = 0, scale_ = 0;
    std::size_t common_ = 0;
    bool sized_ = false, distinct_ = false;
    std::vector<std::vector<double>> marginal_;  ///< without the circles' scales
    std::array<double, levels> level_{};
};

}  // namespace

void poles(const Case& in, double share, Likelihood& out) { Poles(in, share, out).run(); }

}  // namespace bln::infer
