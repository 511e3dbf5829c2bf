#include "proof/live.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <unordered_map>

#include "proof/judge.hpp"
#include "proof/rows.hpp"

namespace bln {
namespace proof {
namespace {

Finding& add(Live& out, std::string_view code, Severity severity, Verdict verdict) {
    Finding& f = out.report.findings.emplace_back();
    f.code = code;
    f.severity = severity;
    f.verdict = verdict;
    return f;
}

std::optional<double> apparent(const Reading& r) noexcept {
    if (r.has(Measured::volt_amps)) return r.of(Measured::volt_amps);
    if (r.has(Measured::volts) && r.has(Measured::amps)) return *r.of(Measured::volts) * *r.of(Measured::amps);
    const auto p = r.of(Measured::watts), q = r.of(Measured::vars);
    if (p && q) return std::hypot(*p, *q);
    return std::nullopt;
}

/// Angle of the voltage minus that of the current, from what says it without doubt. `acos` of a power
/// factor of watts over volt-amperes never does: it loses the sign and takes distortion for a shift.
std::optional<double> angle_of(const Reading& r, PowerFactorConvention convention) noexcept {
    constexpr double degree = std::numbers::pi / 180;
    if (r.has(Measured::angle_deg)) return r.of(Measured::angle_deg);
    const auto p = r.of(Measured::watts), q = r.of(Measured::vars), f = r.of(Measured::power_factor);
    if (p && q && (*p != 0 || *q != 0)) return std::atan2(*q, *p) / degree;
    if (!f || !p) return std::nullopt;
    if (convention != PowerFactorConvention::lag_positive && convention != PowerFactorConvention::lead_positive)
        return std::nullopt;
    const bool lags = (*f >= 0) == (convention == PowerFactorConvention::lag_positive);
    const double size = std::acos(std::min(1.0, std::abs(*f))) / degree;
    const double q1 = lags ? size : -size;
    // The sign of the watts says on which side of the reactive axis; lag and lead keep the sign of Q.
    return *p >= 0 ? q1 : std::remainder(180 - q1, 360.0);
}

/// Whether a row carries enough load for a verdict.
bool loaded(const Inputs& in, std::size_t channel, const Reading& r) {
    const double least = least_amps(in.policy, rating_of(in.view, in.view.channel[channel])).amps;
    const auto s = apparent(r);
    if (r.has(Measured::amps)) return *r.of(Measured::amps) >= least;
    const double size = s ? *s : std::abs(watts_of(r).value_or(0));
    const double volts = r.of(Measured::volts).value_or(in.wiring[channel].reference_volts);
    return size >= std::max(in.policy[load_volt_amps], volts * least);
}

double load_size(const Reading& r) {
    return r.has(Measured::amps) ? *r.of(Measured::amps) : apparent(r).value_or(std::abs(watts_of(r).value_or(0)));
}

/// A wiring and the angles that it explains.
bool explains(const Wiring& w, std::pair<double, double> band, double angle, double margin) {
    return inside(angle, w.low + band.first, w.high + band.second, margin);
}
/// Whether a wiring can read active power of this sign.
bool explains_sign(const Wiring& w, std::pair<double, double> band, bool positive) {
    const double low = w.low + band.first;
    const int last = static_cast<int>(std::floor(w.high + band.second + 0.5 - low));
    for (int step = 0; step <= last; ++step)
        if ((std::cos((low + step) * std::numbers::pi / 180) >= 0) == positive) return true;
    return false;
}

struct Judgement {
    Proof proof = Proof::not_proven;
    std::string reads_as;
    bool nothing_fits = false;
};

template <class Test>
std::string joined(const std::vector<Wiring>& list, Test&& test, const std::string& first) {
    std::string out = first;
    for (const Wiring& w : list)
        if (test(w)) out += (out.empty() ? "" : " or ") + w.words;
    return out;
}

Judgement judge_angle(const Inputs& in, const ChannelWiring& w, double angle) {
    const double guard = in.policy[guard_deg];
    const auto band = band_of(in.policy, w.load);
    const bool stated = w.load != Load::unknown && w.load != Load::mixed;
    const std::pair<double, double> any{in.policy[possible_low], in.policy[possible_high]};
    const bool fits = explains(w.recorded, band, angle, 0), near = explains(w.recorded, band, angle, guard);
    const auto rival = [&](const Wiring& o) { return explains(o, band, angle, fits ? guard : 0); };
    Judgement out;
    const std::string others = joined(w.others, rival, "");
    if (fits && others.empty()) {
        const bool alone = stated || std::none_of(w.others.begin(), w.others.end(),
                                                  [&](const Wiring& o) { return explains(o, any, angle, 0); });
        out.proof = alone ? Proof::right : Proof::likely;
        out.reads_as = w.recorded.words;
        return out;
    }
    if (fits || near) {
        // Well inside the recorded band, a look-alike leaves it likely; near an edge nothing is decided.
        out.proof = explains(w.recorded, band, angle, -guard) ? Proof::likely : Proof::undecided;
        out.reads_as = w.recorded.words + (others.empty() ? "" : " or " + others);
        return out;
    }
    // An unusual load of a kind that nobody stated explains more angles than the everyday band.
    const bool unusual = !stated && w.load != Load::generation && explains(w.recorded, any, angle, guard);
    if (!others.empty()) {
        out.proof = unusual || w.load == Load::generation ? Proof::undecided : Proof::wrong;
        out.reads_as = others + (unusual ? " or as recorded" : "");
        return out;
    }
    // No wiring fits with the stated kind of load. Far outside, it is the wiring all the same.
    const std::pair<double, double> everyday = band_of(in.policy, Load::unknown);
    out.reads_as = joined(
        w.others, [&](const Wiring& o) { return explains(o, everyday, angle, 0); }, "");
    const bool excluded = !explains(w.recorded, any, angle, guard) && w.load != Load::generation;
    out.proof = excluded && !out.reads_as.empty() ? Proof::wrong : Proof::undecided;
    out.nothing_fits = out.proof == Proof::undecided;
    return out;
}

/// Only the sign of the active power is known.
Judgement judge_sign(const Inputs& in, const ChannelWiring& w, bool positive) {
    const bool stated = w.load != Load::unknown && w.load != Load::mixed;
    const auto band = stated ? band_of(in.policy, w.load)
                             : std::pair<double, double>{in.policy[possible_low], in.policy[possible_high]};
    const bool fits = explains_sign(w.recorded, band, positive);
    const std::string others = joined(
        w.others, [&](const Wiring& o) { return explains_sign(o, band, positive); }, "");
    Judgement out;
    out.reads_as = fits ? w.recorded.words + (others.empty() ? "" : " or " + others) : others;
    if (fits)
        out.proof = others.empty() ? Proof::right : Proof::undecided;
    else
        out.proof = w.load == Load::generation ? Proof::undecided : Proof::wrong;
    return out;
}

void tell(const Inputs& in, std::size_t c, const Judgement& j, Live& out) {
    const LiveChannel& ch = out.channels[c];
    const ChannelWiring& w = in.wiring[c];
    if (j.proof != Proof::wrong && j.proof != Proof::undecided) return;
    const bool wrong = j.proof == Proof::wrong;
    const bool sign_only = !ch.has_angle;
    std::string_view code = wrong ? "channel-reads-otherwise" : "channel-undecided";
    if (wrong && j.reads_as.substr(0, 8) == "reversed") code = "channel-reads-reversed";
    if (!wrong && j.nothing_fits) code = "channel-fits-nothing";
    if (!wrong && sign_only) code = "channel-sign-only";
    Finding& f = add(out, code,
                     wrong       ? Severity::error
                     : sign_only ? Severity::note
                                 : Severity::warning,
                     wrong ? Verdict::wrong : Verdict::undecided);
    f.about(Kind::channel, ch.channel);
    if (!ch.point.empty()) f.about(Kind::point, ch.point);
    if (w.circuit >= 0) f.about(Kind::circuit, in.view.circuit[static_cast<std::size_t>(w.circuit)].id);
    f.word("reads_as", j.reads_as.empty() ? "nothing that the record allows" : j.reads_as);
    f.word("load", w.load == Load::unknown ? "not stated" : word_of(w.load));
    if (ch.has_watts) f.number("watts", ch.watts, "W");
    if (ch.has_vars) f.number("vars", ch.vars, "var");
    if (ch.has_angle) f.number("angle", ch.angle_deg, "deg");
    f.number("low", ch.band_low_deg, "deg").number("high", ch.band_high_deg, "deg");
    f.source = "common practice, no source";
    f.at(pointer_to(Kind::channel, ch.channel));
}

}  // namespace

std::optional<double> watts_of(const Reading& r) noexcept {
    if (r.has(Measured::watts)) return r.of(Measured::watts);
    if (const auto s = r.has(Measured::volt_amps) ? r.of(Measured::volt_amps)
                       : r.has(Measured::volts) && r.has(Measured::amps)
                           ? std::optional<double>(*r.of(Measured::volts) * *r.of(Measured::amps))
                           : std::nullopt;
        s && r.has(Measured::angle_deg))
        return *s * std::cos(*r.of(Measured::angle_deg) * std::numbers::pi / 180);
    return std::nullopt;
}

void judge_rows(Inputs& in, Live& out) {
    in.rows = sort_rows(in.view, in.readings, in.policy[apparent_percent], out.report).of_channel;
}

void judge_channel(const Inputs& in, std::size_t c, Live& out) {
    LiveChannel& ch = out.channels[c];
    const ChannelWiring& w = in.wiring[c];
    ch.channel = in.view.channel[c].id;
    if (in.point_of[c] >= 0) ch.point = in.view.point[static_cast<std::size_t>(in.point_of[c])].id;
    const auto band = band_of(in.policy, w.load);
    if (w.known) {
        ch.has_band = true;
        ch.band_low_deg = w.recorded.low + band.first;
        ch.band_high_deg = w.recorded.high + band.second;
    }
    const Reading* best = nullptr;
    for (const std::size_t i : in.rows[c]) {
        const Reading& r = in.readings.rows()[i];
        if (best != nullptr && load_size(r) <= load_size(*best)) continue;
        best = &r;
        ch.row = static_cast<std::int64_t>(i);
    }
    if (best == nullptr) return;
    const auto watts = watts_of(*best), vars = best->of(Measured::vars);
    const auto angle = angle_of(*best, in.readings.power_factor());
    ch.has_watts = watts.has_value();
    ch.has_vars = vars.has_value();
    ch.has_angle = angle.has_value();
    ch.watts = watts.value_or(0);
    ch.vars = vars.value_or(0);
    ch.angle_deg = angle.value_or(0);
    ch.loaded = loaded(in, c, *best);
    if (const auto v = best->of(Measured::volts); v && w.reference_volts > 0) {
        const double off = (*v / w.reference_volts - 1) * 100;
        if (std::abs(off) > in.policy[volts_percent])
            add(out, "voltage-unexpected", Severity::error, Verdict::wrong)
                .about(Kind::channel, ch.channel)
                .about(Kind::device, in.view.channel[c].device.id)
                .number("measured", *v, "V")
                .number("expected", w.reference_volts, "V")
                .number("limit", in.policy[volts_percent], "%");
    }
    if (!ch.loaded || !w.known || (!angle && !watts)) return;
    const Judgement j = angle ? judge_angle(in, w, *angle) : judge_sign(in, w, *watts >= 0);
    ch.proof = j.proof;
    ch.reads_as = j.reads_as;
    tell(in, c, j, out);
}

void judge_points(const Inputs& in, Live& out) {
    const View& view = in.view;
    for (std::size_t p = 0; p < view.point.size(); ++p) {
        const as_of::point& point = view.point[p];
        LivePoint& row = out.points.emplace_back();
        row.point = point.id;
        row.proof = point.elements.empty() ? Proof::not_proven : Proof::right;
        std::string idle, busy;
        for (const Term& t : point.elements) {
            ++row.channels;
            if (!t.ref.resolved()) {
                row.proof = std::min(row.proof, Proof::not_proven);
                continue;
            }
            const LiveChannel& ch = out.channels[static_cast<std::size_t>(t.ref.at)];
            const auto multiplier = view.channel[static_cast<std::size_t>(t.ref.at)].multiplier;
            const double weight = t.weight.real() * (multiplier ? multiplier->real() : 1);
            row.proof = std::min(row.proof, ch.proof);
            row.read += ch.has_watts ? 1 : 0;
            row.loaded += ch.loaded ? 1 : 0;
            row.watts += weight * ch.watts;
            row.vars += weight * ch.vars;
            if (ch.row >= 0)
                (ch.loaded ? busy : idle) += (ch.loaded ? busy : idle).empty() ? ch.channel : ", " + ch.channel;
        }
        // A load of several poles draws on all of them: one silent element is no idle load.
        bool several = point.circuits.size() == 1 && point.circuits[0].resolved() &&
                       pole_count(view.circuit[static_cast<std::size_t>(point.circuits[0].at)]) > 1 &&
                       neutral_of(view, point.circuits[0].at) != Answer::yes;
        if (several && !idle.empty() && !busy.empty())
            add(out, "element-without-current", Severity::warning, Verdict::undecided)
                .about(Kind::point, point.id)
                .word("idle", idle)
                .word("busy", busy);
    }
}

}  // namespace proof

Live live_check(const View& view, const Readings& readings, const Policy& policy, const Progress& progress) {
    Live out;
    proof::Inputs in{view, readings, policy, {}, proof::first_points(view), {}};
    proof::judge_rows(in, out);
    const std::size_t n = view.channel.size();
    for (std::size_t c = 0; c < n; ++c) in.wiring.push_back(proof::wiring_of(view, static_cast<std::int32_t>(c)));
    out.channels.resize(n);
    Coverage coverage{"live-channel"};
    std::string unproven;
    std::uint64_t likely = 0, idle = 0, unread = 0, unknown = 0;
    for (std::size_t c = 0; c < n; ++c) {
        if (c % 64 == 0) progress.at(c, n + 1);
        proof::judge_channel(in, c, out);
        const LiveChannel& ch = out.channels[c];
        coverage.right += ch.proof == Proof::right ? 1 : 0;
        coverage.wrong += ch.proof == Proof::wrong ? 1 : 0;
        coverage.undecided += ch.proof == Proof::undecided || ch.proof == Proof::likely ? 1 : 0;
        coverage.not_checked += ch.proof == Proof::not_proven ? 1 : 0;
        likely += ch.proof == Proof::likely ? 1 : 0;
        if (ch.proof != Proof::not_proven) continue;
        const bool normal = in.wiring[c].dead_reference;
        if (ch.row < 0)
            ++unread;
        else if (!in.wiring[c].known && !normal)
            ++unknown;
        else if (!normal)
            ++idle;
        if (!in.wiring[c].known && !normal && ch.row >= 0) {
            Finding& f = out.report.findings.emplace_back();
            f.code = "channel-not-judged";
            f.severity = Severity::note;
            f.verdict = Verdict::not_checked;
            f.about(Kind::channel, ch.channel)
                .word("why", in.wiring[c].unknown)
                .at(pointer_to(Kind::channel, ch.channel));
        }
    }
    if (likely + idle + unread > 0) {
        Finding& f = out.report.findings.emplace_back();
        f.code = "not-all-proven";
        f.severity = Severity::note;
        f.verdict = Verdict::undecided;
        f.number("right", static_cast<double>(coverage.right), "").number("likely", static_cast<double>(likely), "");
        f.number("idle", static_cast<double>(idle), "").number("unread", static_cast<double>(unread), "");
        f.number("of", static_cast<double>(n), "");
    }
    proof::judge_points(in, out);
    proof::judge_sums(in, out);
    out.report.coverage.push_back(coverage);
    out.report.sort();
    progress.at(n + 1, n + 1);
    return out;
}

}  // namespace bln
