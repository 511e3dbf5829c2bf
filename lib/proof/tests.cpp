#include "proof/tests.hpp"

#include <algorithm>
#include <cmath>
#include <complex>

#include "power/failure.hpp"
#include "proof/proof_policy.hpp"
#include "proof/wiring.hpp"

namespace bln::infer {
namespace {

using C = std::complex<double>;

class Weigher {
public:
    Weigher(const TestedLoad& load, const Policy& policy)
        : load_(load),
          nominal_(proof::nominal_of(load.service)),
          wrong_(policy[key::test_wrong]),
          spread_(policy[key::test_percent] / 100) {}

    TestWeights run(std::span<const ProofTest> tests) {
        const std::size_t n = load_.shape.elements.size();
        out_.base.resize(n);
        for (std::size_t e = 0; e < n; ++e) out_.base[e].assign(load_.shape.elements[e].base.size(), 0);
        out_.dead.assign(n, 0);
        out_.plain.assign(n, 0);
        out_.elsewhere.assign(n, 0);
        out_.here.assign(n, 0);
        out_.ratio.assign(n, {0, 0});
        for (const ProofTest& t : tests)
            for (std::size_t e = 0; e < n; ++e)
                if (load_.view.channel[static_cast<std::size_t>(load_.channels[e])].id == t.channel &&
                    !load_.shape.elements[e].grounded) {
                    out_.any = true;
                    apply(t, e);
                }
        return std::move(out_);
    }

private:
    [[nodiscard]] double logarithm(bool fits) const noexcept { return std::log(fits ? 1 - wrong_ : wrong_); }

    /// Gaussian of the logarithm of a ratio that should be 1, over a floor for tests that went wrong.
    [[nodiscard]] double close(double measured, double expected) const noexcept {
        if (!(expected > 0) || !(measured > 0)) return std::log(wrong_);
        const double d = std::log(measured / expected) / spread_;
        return std::log((1 - wrong_) * std::exp(-d * d / 2) + wrong_);
    }

    void apply(const ProofTest& t, std::size_t e) {
        const ShapeElement& element = load_.shape.elements[e];
        auto& base = out_.base[e];
        const auto each = [&](auto&& weight) {
            for (std::size_t c = 0; c < base.size(); ++c) base[c] += weight(element.base[c], placement(element, c));
        };
        switch (t.kind) {
            case TestKind::voltmeter: {
                if (!(nominal_.unit_volts > 0)) return;
                const Conductor terminal = landed(e, conductor_of(t.conductor));
                if (terminal == Conductor::none) return;
                const double lines = between_lines();
                each([&](const ElementClass& c, const Placement&) {
                    const double expected = nominal_.unit_volts * std::abs(potential(c.on) - potential(terminal));
                    // Same: up to 5 % of the voltage between lines or 3 V; other: within 10 %.
                    const double off = std::abs(t.value - expected);
                    return logarithm(off <= (expected < 1e-6 * lines ? std::max(0.05 * lines, 3.0) : 0.1 * expected));
                });
                return;
            }
            case TestKind::clamp:
                out_.plain[e] += close(t.before, t.value);
                for (std::size_t r = 0; r < 2; ++r) out_.ratio[e][r] += close(t.before, t.value * (r == 0 ? 0.5 : 2));
                out_.dead[e] += logarithm(t.before < 0.1 * t.value);
                return;
            case TestKind::known_load: {
                const Conductor pole = conductor_of(t.conductor);
                const bool here = t.circuit.empty() || t.circuit == load_.circuit;
                const double sd = std::max(0.1 * t.value, 5.0);
                each([&](const ElementClass& c, const Placement&) {
                    C expected{};
                    if (here && c.variable >= 0) {
                        const Variable& v = load_.shape.variables[static_cast<std::size_t>(c.variable)];
                        const bool single = load_.shape.variables.size() == 2 && v.others == 0;
                        if (single || v.on == pole)
                            expected = std::polar(
                                t.value * std::abs(element.reference) * std::exp(c.log_turns) / std::abs(v.drive),
                                c.turn - std::arg(v.drive));
                    }
                    const double d = std::abs(C(t.watts, t.vars) - expected) / sd;
                    return std::log((1 - wrong_) * std::exp(-d * d / 2) + wrong_);
                });
                return;
            }
            case TestKind::switching: {
                if (!(t.before > 0)) return;
                const double left = t.after / t.before;
                const bool own = t.circuit == load_.circuit, gone = left<0.2, stays = left> 0.8;
                if (!gone && !stays) return;
                each([&](const ElementClass& c, const Placement&) {
                    if (own) return logarithm(c.variable >= 0 ? gone : stays);
                    return c.variable >= 0 ? logarithm(stays) : 0.0;
                });
                // A CT on the same phase of another circuit: the other way round.
                out_.elsewhere[e] += own ? logarithm(stays) - logarithm(gone) : -logarithm(stays);
                return;
            }
            case TestKind::inspection: {
                const Conductor seen = conductor_of(t.conductor);
                each([&](const ElementClass& c, const Placement& p) {
                    double sum = 0;
                    if (seen != Conductor::none) sum += logarithm(c.on == seen);
                    if (t.sign != 0) sum += logarithm(p.sign == t.sign);
                    return sum;
                });
                return;
            }
        }
    }

    [[nodiscard]] static const Placement& placement(const ShapeElement& element, std::size_t c) {
        return element.all->placement_of(element.base[c].first, 0);
    }
    [[nodiscard]] C potential(Conductor c) const noexcept { return nominal_.potential[index_of(c)]; }
    [[nodiscard]] double between_lines() const noexcept {
        double most = 0;
        for (const Conductor a : {Conductor::A, Conductor::B, Conductor::C})
            for (const Conductor b : {Conductor::A, Conductor::B, Conductor::C})
                most = std::max(most, std::abs(potential(a) - potential(b)));
        return most * nominal_.unit_volts;
    }
    /// Conductor behind a terminal of the element's device.
    [[nodiscard]] Conductor landed(std::size_t e, Conductor label) const {
        const Ref& at = load_.view.channel[static_cast<std::size_t>(load_.channels[e])].device;
        if (label == Conductor::none || !at.resolved()) return label;
        const as_of::device& device = load_.view.device[static_cast<std::size_t>(at.at)];
        if (device.landed.empty() || !device.profile.resolved()) return label;
        const as_of::profile& profile = load_.view.profile[static_cast<std::size_t>(device.profile.at)];
        for (std::size_t i = 0; i < profile.references.size() && i < device.landed.size(); ++i)
            if (profile.references[i] == word_of(label)) return conductor_of(device.landed[i]);
        return label;
    }

    const TestedLoad& load_;
    proof::Nominal nominal_;
    double wrong_, spread_;
    TestWeights out_;
};

}  // namespace

std::uint32_t tested(const View& view, std::span<const std::int32_t> channels,
                     std::span<const ProofTest> tests) noexcept {
    std::uint32_t out = 0;
    for (std::size_t e = 0; e < channels.size() && e < 32; ++e)
        for (const ProofTest& t : tests)
            if (view.channel[static_cast<std::size_t>(channels[e])].id == t.channel) out |= 1U << e;
    return out;
}

TestWeights weigh(const TestedLoad& load, std::span<const ProofTest> tests, const Policy& policy) {
    return Weigher(load, policy).run(tests);
}

void check_tests(std::span<const ProofTest> tests) {
    for (std::size_t i = 0; i < tests.size(); ++i) {
        const ProofTest& t = tests[i];
        const auto refuse = [&](bln_status status, const char* why) {
            throw Failure(status, "test " + std::to_string(i + 1) + ": " + why);
        };
        for (const double v : {t.value, t.before, t.after, t.watts, t.vars})
            if (!std::isfinite(v)) refuse(BLN_E_NOT_FINITE, "a number is not finite");
        if (t.value < 0 || t.before < 0 || t.after < 0) refuse(BLN_E_VALUE, "a magnitude cannot be negative");
        if (t.sign < -1 || t.sign > 1) refuse(BLN_E_VALUE, "a sign is 1, -1 or 0");
        if (t.channel.empty()) refuse(BLN_E_VALUE, "it names no channel");
        const bool wants = t.kind == TestKind::voltmeter || t.kind == TestKind::known_load;
        if ((wants || !t.conductor.empty()) && conductor_of(t.conductor) == Conductor::none)
            refuse(BLN_E_VALUE, "a conductor is A, B, C, N or G");
        if (t.kind == TestKind::switching && t.circuit.empty()) refuse(BLN_E_VALUE, "it names no circuit");
        if ((t.kind == TestKind::clamp || t.kind == TestKind::known_load) && !(t.value > 0))
            refuse(BLN_E_VALUE, "its value is above 0");
    }
}

}  // namespace bln::infer
