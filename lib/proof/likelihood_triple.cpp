// Three poles without neutral: their currents sum to zero, and the load has one angle, that of the positive sequence.
//
// With currents in the frame of the voltages and u(k) the unit voltages to the star point,
//   I1 = 1/3 sum I(k) / u(k)    carries the power of balanced voltages, S = 3 V I1*,
//   I2 = 1/3 sum I(k) u(k)      is unbalance,
//   I0 = 1/3 sum I(k)           is zero but for errors of reading.
#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

#include "proof/likelihood.hpp"
#include "proof/proof_policy.hpp"

namespace bln::infer {
namespace {

using C = std::complex<double>;
constexpr double pi = std::numbers::pi, log_pi = 1.1447298858494002;

class Triple {
public:
    Triple(const Case& in, double share, Likelihood& out)
        : in_(in), shape_(in.shape), kind_(in.laws.kind(in.load)), log_share_(std::log(share)), out_(out) {
        const Agreement a = in.laws.agreement(kind_, false);
        share_ = a.share;
        spread_ = {std::max(0.02, in.laws.policy[key::one_percent] / 100),
                   in.laws.policy[key::similar_percent] / 100 * 0.6, 0.7};
        for (std::size_t k = 0; k < 3; ++k) unit_[k] = std::polar(1.0, std::arg(shape_.variables[k].drive));
        for (std::size_t s = 0; s < in.snapshots; ++s) {
            Row row;
            std::size_t found = 0;
            for (std::size_t e = 0; e < 3; ++e)
                for (const Observation& o : in.sights[e].seen)
                    if (o.loaded && static_cast<std::size_t>(o.snapshot) == s) {
                        row.seen[e] = &o;
                        ++found;
                        break;
                    }
            if (found == 3) rows_.push_back(row);
        }
    }

    void run() {
        if (rows_.empty()) return poles(in_, std::exp(log_share_), out_);
        out_.ratio.resize(6);
        for (auto& r : out_.ratio)
            if (r.empty()) r.assign(shape_.tuples, impossible);
        for (std::size_t t = 0; t < shape_.tuples; ++t) {
            std::array<const ElementClass*, 3> seat{};
            for (std::size_t e = 0; e < 3; ++e) seat[e] = &shape_.elements[e].base[shape_.class_of(t, e)];
            add(out_.tuple[t], value(seat, 3, 1));
            const bool distinct = seat[0]->variable != seat[1]->variable && seat[1]->variable != seat[2]->variable &&
                                  seat[0]->variable != seat[2]->variable && seat[0]->variable >= 0 &&
                                  seat[1]->variable >= 0 && seat[2]->variable >= 0;
            if (!distinct) continue;
            for (std::size_t e = 0; e < 3; ++e)
                for (std::size_t r = 0; r < 2; ++r) add(out_.ratio[e * 2 + r][t], value(seat, e, r == 0 ? 2 : 0.5));
        }
    }

private:
    struct Row {
        std::array<const Observation*, 3> seen{};
    };

    void add(double& to, double v) const noexcept {
        if (v > impossible) to = log_sum(to, v + log_share_);
    }

    /// Current of the load that explains what an element reads.
    [[nodiscard]] C current(const Row& row, const std::array<const ElementClass*, 3>& seat, std::size_t e) const {
        return std::polar(std::exp(row.seen[e]->log_amps - seat[e]->log_turns), seat[e]->turn - row.seen[e]->angle[0]);
    }

    /// @p scaled: element whose current is @p factor times what it reads; 3: none.
    [[nodiscard]] double value(const std::array<const ElementClass*, 3>& seat, std::size_t scaled, double factor) {
        int first = -1, second = -1, third = -1;  // two elements round one current, and the other one
        for (int a = 0; a < 3; ++a) {
            if (seat[static_cast<std::size_t>(a)]->variable < 0) return impossible;
            for (int b = a + 1; b < 3; ++b)
                if (seat[static_cast<std::size_t>(a)]->variable == seat[static_cast<std::size_t>(b)]->variable) {
                    if (first >= 0) return impossible;
                    first = a;
                    second = b;
                    third = 3 - a - b;
                }
        }
        Circle angle;
        double sum = 0, misfit = 0;
        C mean{};
        ratio_.clear();
        for (const Row& row : rows_) {
            std::array<C, 3> i{};
            std::array<C, 3> seen;
            for (std::size_t e = 0; e < 3; ++e) seen[e] = current(row, seat, e) * (e == scaled ? factor : 1.0);
            double noise = 0, squares = 0;
            for (std::size_t e = 0; e < 3; ++e) {
                const double sd2 = row.seen[e]->log_error * row.seen[e]->log_error +
                                   row.seen[e]->angle_error * row.seen[e]->angle_error;
                squares += sd2 * std::norm(seen[e]);
                sum += 2 * std::log(std::abs(seen[e]));
            }
            if (first < 0) {
                for (std::size_t e = 0; e < 3; ++e) i[static_cast<std::size_t>(seat[e]->variable)] = seen[e];
                const C zero = (i[0] + i[1] + i[2]) / 3.0;
                noise = squares / 9 + 1e-18;
                misfit += std::norm(zero) / noise;
                sum += -std::norm(zero) / noise - log_pi - std::log(noise) - std::log(27.0);
            } else {
                const auto f = static_cast<std::size_t>(first), s = static_cast<std::size_t>(second),
                           o = static_cast<std::size_t>(third);
                noise = squares + 1e-18;
                misfit += std::norm(seen[f] - seen[s]) / noise;
                sum += -std::norm(seen[f] - seen[s]) / noise - log_pi - std::log(noise) - std::log(3.0);
                const auto k = static_cast<std::size_t>(seat[f]->variable),
                           m = static_cast<std::size_t>(seat[o]->variable);
                i[k] = (seen[f] + seen[s]) / 2.0;
                i[m] = seen[o];
                i[3 - k - m] = -i[k] - i[m];
            }
            if (misfit > 100) return impossible;
            C one{}, two{};
            for (std::size_t k = 0; k < 3; ++k) {
                one += i[k] * std::conj(unit_[k]) / 3.0;
                two += i[k] * unit_[k] / 3.0;
            }
            const double size = std::abs(one);
            if (!(size > 1e-9)) return impossible;
            const double phi = -std::arg(one), weight = 1;
            angle.multiply({&phi, 1}, {&weight, 1},
                           std::hypot(in_.laws.policy[key::one_degrees] * pi / 180, row.seen[0]->angle_error),
                           in_.laws.policy[key::odd_share]);
            sum -= 4 * std::log(size);
            ratio_.push_back(two / one);
            mean += two / one;
        }
        const auto n = static_cast<double>(rows_.size());
        mean /= n;
        // How the unbalance stays from snapshot to snapshot: of one spread for all hypotheses.
        for (const C& b : ratio_)
            if (rows_.size() > 1) sum += -std::norm(b - mean) / 0.04;
        double levels_sum = impossible;
        for (std::size_t l = 0; l < levels; ++l) {
            if (share_[l] <= 0) continue;
            const double u2 = spread_[l] * spread_[l];
            levels_sum = log_sum(levels_sum, std::log(share_[l]) - log_pi - std::log(u2) - std::norm(mean) / u2);
        }
        const float* at = angle.from(0);
        double overlap = 0;
        for (std::size_t g = 0; g < steps; ++g) overlap += static_cast<double>(kind_.angle[g] * at[g]);
        return sum + levels_sum + std::log(std::max(overlap, 1e-30)) + angle.log_scale() + in_.laws.log_range;
    }

    const Case& in_;
    const Shape& shape_;
    const LoadKind& kind_;
    double log_share_;
    Likelihood& out_;
    std::array<double, levels> share_{}, spread_{};
    std::array<C, 3> unit_{};
    std::vector<Row> rows_;
    std::vector<C> ratio_;
};

}  // namespace

void triple(const Case& in, double share, Likelihood& out) { Triple(in, share, out).run(); }

}  // namespace bln::infer
