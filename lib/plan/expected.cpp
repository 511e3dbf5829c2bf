#include "plan/expected.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "plan/drives.hpp"
#include "power/accuracy.hpp"

namespace bln {
namespace {

using plan::Complex;
using plan::Drive;
using plan::Potentials;

constexpr double degrees = 180 / std::numbers::pi;
constexpr double nothing = 1e-9;

/// A range of angles on the circle, kept narrower than a full turn.
struct Arc {
    double low = 0, high = 0;
    bool given = false;
    void add(double from, double to) {
        if (!given) {
            low = from;
            high = to;
            given = true;
            return;
        }
        const double shift = std::remainder((from + to) / 2 - (low + high) / 2, 360.0) + (low + high) / 2;
        const double half = (to - from) / 2;
        low = std::min(low, shift - half);
        high = std::max(high, shift + half);
    }
    /// With its middle in (-180, 180].
    [[nodiscard]] Arc turned() const {
        const double middle = (low + high) / 2, half = (high - low) / 2;
        double at = std::remainder(middle, 360.0);
        if (at <= -180) at += 360;
        return {at - half, at + half, given};
    }
};

int sign_of(const Arc& a) {
    constexpr double edge = 1e-6;
    if (a.low > -90 + edge && a.high < 90 - edge) return 1;
    for (const double turn : {0.0, 360.0, -360.0})
        if (a.low + turn > 90 + edge && a.high + turn < 270 - edge) return -1;
    return 0;
}

/// Voltage of a channel's reference in units of the supply, or nothing where a potential floats.
std::optional<Complex> reference_of(const Form& form, const Potentials& u) {
    Complex v{};
    const VoltageRow& row = form.elements()[0].volts;
    for (std::size_t t = 0; t < terminal_count; ++t) {
        if (row[t].is_zero()) continue;
        if (t >= conductor_count || !u.known[t]) return std::nullopt;
        v += row[t].real() * u.v[t];
    }
    return v;
}

Complex seen(const Form& form, const Drive& d) {
    Complex i{};
    const auto row = form.amps(0);
    for (std::size_t k = 0; k < row.size(); ++k) i += row[k].real() * d.amps[k];
    return i;
}

double greatest(const Drive& d) {
    double most = 0;
    for (const Complex& i : d.amps) most = std::max(most, std::abs(i));
    return most;
}

/// Least current in percent of the CT's rating from which its class keeps the phase displacement within a limit.
struct ClassFloor {
    double percent = 0;
    bool silent = false;
};
ClassFloor class_floor(const AccuracyClass& c, double limit_minutes) {
    // Ratio and phase err within p at every power factor from 1 to 0.6 lagging: so the phase errs by 2 p / tan(acos
    // 0.6) at most (the parallelogram of IEEE C57.13).
    const auto minutes = [&](const LimitPoint& p) {
        return c.form == LimitForm::power ? 2 * p.limit_percent / 100 / (4.0 / 3) * degrees * 60 : p.minutes;
    };
    if (c.form == LimitForm::ratio) return {c.points.front().percent, true};
    for (std::size_t i = 0; i < c.points.size(); ++i) {
        const double here = minutes(c.points[i]);
        if (here > limit_minutes) continue;
        if (i == 0) return {c.points[0].percent, false};
        const double before = minutes(c.points[i - 1]);
        const double share = (before - limit_minutes) / (before - here);
        return {c.points[i - 1].percent + share * (c.points[i].percent - c.points[i - 1].percent), false};
    }
    return {c.points.back().percent, true};
}

class Writer {
public:
    Writer(const View& view, const Policy& policy) : view_(view), policy_(policy) {
        point_.resize(view.channel.size());
        for (const as_of::point& p : view.point)
            for (const Term& t : p.elements)
                if (t.ref.resolved() && point_[static_cast<std::size_t>(t.ref.at)].empty())
                    point_[static_cast<std::size_t>(t.ref.at)] = p.id;
    }

    ExpectedRow row(std::size_t channel) const {
        ExpectedRow out;
        const as_of::channel& c = view_.channel[channel];
        out.channel = c.id;
        out.device = c.device.id;
        out.input = c.input.value_or(0);
        out.point = point_[channel];
        out.reference = c.reference == Reference::unknown ? std::string_view{} : word_of(c.reference);
        const PointForm form = channel_form(view_, static_cast<std::int32_t>(channel));
        for (const FormNote& n : form.notes) {
            if (info(n.code).stops && out.why.empty()) out.why = reason(n);
            out.flags |= flag_of(n.code);
        }
        if (!form.built || form.form.elements().size() != 1) {
            if (out.why.empty()) out.why = "the record does not say enough";
            return out;
        }
        describe(form, out);
        judge(c, form, out);
        return out;
    }

private:
    static std::string reason(const FormNote& n) {
        std::string text(info(n.code).doc);
        if (!n.id.empty()) text += " (" + std::string(info(n.kind).name) + " " + std::string(n.id) + ")";
        return text;
    }

    static std::uint32_t flag_of(FormNoteCode code) {
        using namespace expected_flag;
        switch (code) {
            case FormNoteCode::ct_direction_assumed:
                return direction_assumed;
            case FormNoteCode::ratio_assumed:
                return ratio_assumed;
            case FormNoteCode::neutral_assumed:
                return neutral_assumed;
            case FormNoteCode::device_service_assumed:
                return service_assumed;
            case FormNoteCode::terminals_assumed:
                return terminals_assumed;
            default:
                return 0;
        }
    }

    void describe(const PointForm& form, ExpectedRow& out) const {
        const auto row = form.form.amps(0);
        for (std::size_t k = 0; k < row.size(); ++k) {
            if (row[k].is_zero()) continue;
            if (!out.conductors.empty()) out.conductors += '-';
            out.conductors += word_of(form.form.conductors()[k].on);
            if (!out.circuit.empty()) continue;
            const auto& circuit = view_.circuit[static_cast<std::size_t>(form.origin[k].circuit)];
            out.circuit = circuit.id;
            out.load = circuit.load;
        }
    }

    void judge(const as_of::channel& c, const PointForm& form, ExpectedRow& out) const {
        const Supply& supply = form.form.supply();
        const Potentials u = plan::potentials_of(supply);
        const auto reference = reference_of(form.form, u);
        if (!reference) {
            out.why = "nothing fixes the potential of a terminal of its reference";
            return;
        }
        const auto& service = view_.service[static_cast<std::size_t>(form.service)];
        const double unit = unit_volts(service);
        out.volts = std::abs(*reference) * unit;
        out.volts_low = out.volts * (1 - policy_[live_at::volts_percent] / 100);
        out.volts_high = out.volts * (1 + policy_[live_at::volts_percent] / 100);
        if (std::abs(*reference) < nothing) {
            out.state = Expectation::zero_volts;
            return;
        }
        Arc offset, angle, heater;
        const Drive* easiest = nullptr;
        double share = 0;  // of the conductor's current that the channel reads
        const std::vector<Drive> drives = plan::drives_of(form, u);
        for (const Drive& d : drives) {
            const Complex i = seen(form.form, d);
            if (std::abs(i) < nothing) continue;
            add(form, *reference, i, d, offset, angle, heater);
            const double part = std::abs(i) / greatest(d);
            const bool easier = easiest == nullptr || d.phases < easiest->phases ||
                                (d.phases == easiest->phases && d.volts / part < easiest->volts / share);
            if (!easier) continue;
            easiest = &d;
            share = part;
        }
        if (easiest == nullptr) {
            out.state = Expectation::no_current;
            return;
        }
        out.state = Expectation::known;
        if (service.rotation == Rotation::unknown && turns_with_rotation(form, angle))
            out.flags |= expected_flag::rotation_assumed;
        offset = offset.turned();
        angle = angle.turned();
        heater = heater.turned();
        out.offset_low_deg = offset.low;
        out.offset_high_deg = offset.high;
        out.angle_low_deg = angle.low;
        out.angle_high_deg = angle.high;
        out.heater_low_deg = heater.low;
        out.heater_high_deg = heater.high;
        out.sign = sign_of(angle);
        least(c, *easiest, share, unit, out);
    }

    void add(const PointForm& form, Complex reference, Complex current, const Drive& d, Arc& offset, Arc& angle,
             Arc& heater) const {
        const double off = std::arg(reference / current) * degrees;
        const Load load = view_.circuit[static_cast<std::size_t>(form.circuit[d.load])].load;
        const auto band = band_of(policy_, load), hot = band_of(policy_, Load::resistive);
        offset.add(off, off);
        angle.add(off + band.first, off + band.second);
        heater.add(off + hot.first, off + hot.second);
    }

    /// Whether the other phase sequence would foretell other angles.
    [[nodiscard]] bool turns_with_rotation(const PointForm& form, const Arc& angle) const {
        Supply other = form.form.supply();
        other.acb = !other.acb;
        const Potentials u = plan::potentials_of(other);
        const auto reference = reference_of(form.form, u);
        if (!reference) return false;
        Arc offset, turned, heater;
        for (const Drive& d : plan::drives_of(form, u))
            if (const Complex i = seen(form.form, d); std::abs(i) >= nothing)
                add(form, *reference, i, d, offset, turned, heater);
        const Arc a = angle.turned(), b = turned.turned();
        return std::abs(a.low - b.low) > 1e-6 || std::abs(a.high - b.high) > 1e-6;
    }

    void least(const as_of::channel& c, const Drive& easiest, double share, double unit, ExpectedRow& out) const {
        LeastAmps floor = least_amps(policy_, rating_of(view_, c));
        out.gate_amps = floor.amps / share;
        const auto raise = [&](double amps, LeastBy by) {
            if (amps > floor.amps) floor = {amps, by};
        };
        if (out.volts > 0) raise(policy_[live_at::load_volt_amps] / out.volts, LeastBy::power);
        for (const Term& t : c.cts) raise(class_amps(c, t, out.flags), LeastBy::accuracy);
        out.least_by = floor.by;
        out.least_amps = floor.amps / share;
        out.load_phases = easiest.phases;
        out.load_volts = easiest.volts * unit;
        out.least_watts = out.least_amps * out.load_volts * (easiest.phases == 3 ? std::numbers::sqrt3 : 1);
        const std::int32_t circuit = view_.model().find(Kind::circuit, out.circuit);
        if (circuit >= 0)
            if (const auto breaker = view_.circuit[static_cast<std::size_t>(circuit)].breaker_amps;
                breaker && out.least_amps > *breaker)
                out.flags |= expected_flag::beyond_breaker;
        if (out.least_watts > policy_[live_at::heater_watts]) out.flags |= expected_flag::beyond_heater;
    }

    /// Least current as the channel reads it at which the CT's class stands behind the angle; 0: it says nothing.
    double class_amps(const as_of::channel& c, const Term& term, std::uint32_t& flags) const {
        const Ref none, &ref = term.ref.resolved() ? view_.ct[static_cast<std::size_t>(term.ref.at)].type : none;
        const as_of::ct_type* type = ref.resolved() ? &view_.ct_type[static_cast<std::size_t>(ref.at)] : nullptr;
        const AccuracyClass* of = nullptr;
        if (type != nullptr)
            for (const AccuracyClass& a : accuracy_classes)
                if (a.of == AccuracyOf::current_transformer && a.name == type->accuracy_class) of = &a;
        if (of == nullptr || !type->primary_amps) {
            flags |= expected_flag::class_unknown;
            return 0;
        }
        const ClassFloor floor = class_floor(*of, policy_[live_at::guard_deg] * 60);
        if (floor.silent) flags |= expected_flag::class_silent;
        double scale = 1;  // from the CT's primary to what the device shows
        if (c.primary_amps && c.secondary && type->secondary)
            scale = static_cast<double>(*c.primary_amps) / static_cast<double>(*c.secondary) *
                    static_cast<double>(*type->secondary) / static_cast<double>(*type->primary_amps);
        return floor.percent / 100 * static_cast<double>(*type->primary_amps) * scale;
    }

    const View& view_;
    const Policy& policy_;
    std::vector<std::string_view> point_;
};

}  // namespace

std::vector<ExpectedRow> expected_readings(const View& view, const Policy& policy) {
    const Writer writer(view, policy);
    std::vector<ExpectedRow> out;
    out.reserve(view.channel.size());
    for (std::size_t c = 0; c < view.channel.size(); ++c) out.push_back(writer.row(c));
    return out;
}

}  // namespace bln
