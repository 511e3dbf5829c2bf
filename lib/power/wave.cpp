#include "power/wave.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <string>

#include "power/failure.hpp"

namespace bln {

namespace {

constexpr double band = 0.15;                 ///< of the nominal frequency, to either side
constexpr std::int64_t margin = Edge::reach;  ///< samples kept beside a window for its edges
constexpr std::uint32_t most_cycles = 10'000;
constexpr double most_samples = 1 << 28;
/// Orders of the fit that the frequency is found with where no spectra are wanted.
constexpr std::size_t search_orders = 25;
/// A fit serves to find frequencies this near to its own: what it gets wrong, it gets wrong in both parts of the
/// window.
constexpr double near = 1e-4;

void require(bool good, bln_status status, const std::string& message) {
    if (!good) throw Failure(status, message);
}

std::string hertz(double f) {
    std::string s = std::to_string(f);
    s.erase(s.find_last_not_of('0') + 1);
    if (s.back() == '.') s.pop_back();
    return s + " Hz";
}

void check(WavePlan& p) {
    require(std::isfinite(p.rate) && p.rate > 0, BLN_E_RANGE, "the sampling rate is not above 0");
    require(std::isfinite(p.nominal) && p.nominal > 0, BLN_E_RANGE, "the nominal frequency is not above 0");
    require(std::isfinite(p.frequency) && p.frequency >= 0, BLN_E_RANGE, "the frequency is below 0 or not finite");
    require(!p.signals.empty(), BLN_E_RANGE, "there are no signals");
    require(
        p.reference < p.signals.size(), BLN_E_RANGE,
        "reference " + std::to_string(p.reference) + ": there are " + std::to_string(p.signals.size()) + " signals");
    const double f = p.frequency > 0 ? p.frequency : p.nominal;
    require(p.rate > 2 * f * (p.frequency > 0 ? 1 : 1 + band) + f, BLN_E_RANGE,
            "at " + hertz(p.rate) + " a fundamental of " + hertz(f) + " leaves no three samples in a cycle");
    if (p.cycles == 0) p.cycles = std::max(2U, static_cast<std::uint32_t>(std::lround(f / 5)));
    require(p.cycles <= most_cycles, BLN_E_RANGE, "a window has at most " + std::to_string(most_cycles) + " cycles");
    require(p.cycles >= 2 || p.frequency > 0, BLN_E_RANGE,
            "a frequency cannot be estimated within one cycle: use two, or state the frequency");
    // Below half the rate, and no more unknowns than samples in a cycle.
    const auto top = static_cast<std::int32_t>(std::min(1e6, std::floor((std::floor(p.rate / f + 1e-9) - 1) / 2)));
    require(p.highest >= -1, BLN_E_RANGE, "the highest order is below 0");
    require(p.highest <= top, BLN_E_RANGE,
            "order " + std::to_string(p.highest) + " of " + hertz(f) + " is not below half the sampling rate of " +
                hertz(p.rate) + ": the highest is " + std::to_string(top));
    if (p.highest < 0) p.highest = std::min(top, 50);
    for (std::size_t i = 0; i < p.signals.size(); ++i)
        require(std::isfinite(p.signals[i].scale) && p.signals[i].scale != 0, BLN_E_VALUE,
                "the scale of signal " + std::to_string(i) + " is 0 or not finite");
    for (std::size_t c = 0; c < p.channels.size(); ++c)
        require(p.channels[c].voltage < p.signals.size() && p.channels[c].current < p.signals.size(), BLN_E_RANGE,
                "channel " + std::to_string(c) + " names a signal that is not there");
    for (std::size_t g = 0; g < p.groups.size(); ++g)
        for (const std::uint32_t c : p.groups[g].channel)
            require(c < p.channels.size(), BLN_E_RANGE,
                    "group " + std::to_string(g) + " names a channel that is not there");
}

}  // namespace

Wave::Wave(WavePlan plan) : plan_(std::move(plan)) {
    check(plan_);
    const double slowest = plan_.frequency > 0 ? plan_.frequency : plan_.nominal * (1 - band);
    const double samples = plan_.cycles * plan_.rate / slowest + 4 * margin;
    require(samples < most_samples, BLN_E_RANGE, "a window would hold more than 2^28 samples");
    capacity_ = static_cast<std::size_t>(samples);
    for (const WaveSignal& s : plan_.signals) rows_.emplace_back((capacity_ * bytes_of(s.type) + 7) / 8);
    frequency_ = plan_.frequency;
    measured_ = plan_.frequency > 0;
    for (std::uint32_t s = 0; s < plan_.signals.size(); ++s) square_.push_back(product(s, s));
    for (const WaveChannel& c : plan_.channels) power_.push_back(product(c.voltage, c.current));
    for (const WaveGroup& g : plan_.groups) {
        std::array<std::size_t, 6> six{};
        for (std::size_t x = 0; x < 3; ++x) {
            const WaveChannel &one = plan_.channels[g.channel[x]], &two = plan_.channels[g.channel[(x + 1) % 3]];
            six[x] = product(one.voltage, two.voltage);
            six[x + 3] = product(one.current, two.current);
        }
        across_.push_back(six);
    }
    const std::size_t orders = static_cast<std::size_t>(plan_.highest) + 1;
    const double fastest = plan_.frequency > 0 ? plan_.frequency : plan_.nominal * (1 - band);
    const auto longest = static_cast<std::size_t>(plan_.rate / fastest) + 2;
    at_edges_.resize(8 * Edge::reach * plan_.signals.size());
    folded_.resize(longest * ((plan_.signals.size() + HarmonicFit::lanes - 1) / HarmonicFit::lanes) *
                   HarmonicFit::lanes);
    // From here on nothing is allocated: a push cannot run out of memory.
    const std::size_t fitted = std::max(orders, search_orders + 1);
    fit_.reserve(longest, std::min(fitted, longest / 2 + 1));
    for (Folding* f : {&folding_, &first_, &second_}) f->reserve(plan_.cycles);
    spectra_.resize(orders * plan_.signals.size());
    orders_.resize(orders * plan_.channels.size());
    sums_.resize(plan_.channels.size());
    channel_values_.resize(plan_.channels.size());
    group_values_.resize(plan_.groups.size());
}

std::size_t Wave::product(std::uint32_t a, std::uint32_t b) {
    if (a > b) std::swap(a, b);
    for (std::size_t i = 0; i < products_.size(); ++i)
        if (products_[i].a == a && products_[i].b == b) return i;
    products_.push_back({a, b, 0});
    return products_.size() - 1;
}

double Wave::sample(std::size_t signal, std::int64_t at) const noexcept {
    return sample_at(row(signal), plan_.signals[signal].type, static_cast<std::size_t>(at - base_));
}

std::span<const Phasor> Wave::spectrum(std::size_t signal) const noexcept {
    const std::size_t orders = window_.highest + 1;
    return {spectra_.data() + signal * orders, plan_.highest == 0 ? 0 : orders};
}

/// Sample count from the start on at which the next window can be tried.
double Wave::need() const noexcept {
    const double slowest = plan_.nominal * (1 - band);
    const double period = plan_.rate / (frequency_ > 0 ? frequency_ : slowest);
    const double end = next_ + plan_.cycles * period;
    return std::ceil(end - 1e-6) + (end - std::floor(end) < 1e-6 ? 0 : static_cast<double>(margin));
}

std::size_t Wave::push(std::span<const WaveSource> sources, std::size_t n, bool& ready) {
    ready = false;
    if (step(false)) {
        ready = true;
        return 0;
    }
    std::size_t taken = 0;
    while (taken < n) {
        const double short_of = need() - static_cast<double>(base_) - static_cast<double>(filled_);
        const std::size_t room = capacity_ - filled_;
        const std::size_t wanted = short_of < 1 ? 1 : static_cast<std::size_t>(short_of);
        const std::size_t count = std::min({wanted, room, n - taken});
        if (count == 0) throw Failure(BLN_E_INTERNAL, "a window outgrew its room");
        for (std::size_t s = 0; s < rows_.size(); ++s) {
            const Sample type = plan_.signals[s].type;
            const char* from =
                static_cast<const char*>(sources[s].data) + static_cast<std::ptrdiff_t>(taken) * sources[s].stride;
            char* to = reinterpret_cast<char*>(rows_[s].data()) + filled_ * bytes_of(type);
            const std::size_t good = gather(from, sources[s].stride, type, count, to);
            if (good < count) {
                filled_ -= taken;
                throw Failure(BLN_E_NOT_FINITE, "sample " + std::to_string(taken + good) + " of signal " +
                                                    std::to_string(s) + " is not finite");
            }
        }
        filled_ += count;
        taken += count;
        if (step(false)) {
            ready = true;
            return taken;
        }
    }
    return taken;
}

bool Wave::finish() { return step(true); }

bool Wave::step(bool last) {
    const auto have = static_cast<double>(base_) + static_cast<double>(filled_);
    std::uint32_t cycles = plan_.cycles;
    if (last) {
        // As many whole cycles as are there.
        const double guess = plan_.rate / (frequency_ > 0 ? frequency_ : plan_.nominal);
        const double whole = std::floor((have - next_) / guess + 1e-6);
        cycles = static_cast<std::uint32_t>(std::clamp(whole, 0.0, static_cast<double>(plan_.cycles)));
    } else if (have < need()) {
        return false;
    }
    const bool estimating = plan_.frequency <= 0;
    const std::uint32_t fewest = estimating ? 2 : 1;
    for (; cycles >= fewest; --cycles) {
        if (estimating && !find_frequency(cycles)) {
            if (!last) return false;
            continue;
        }
        double end = next_ + cycles * plan_.rate / frequency_;
        if (std::abs(end - std::round(end)) < 1e-6) end = std::round(end);
        const bool between = end != std::floor(end);
        if (std::ceil(end) > have || (!last && between && std::ceil(end) + static_cast<double>(margin) - 1 > have)) {
            if (!last) return false;
            continue;
        }
        compute(end, cycles);
        return true;
    }
    return false;
}

/// The strongest frequency within the band, by the periodogram under a Hann window.
double Wave::coarse() const {
    const auto n = static_cast<std::size_t>(static_cast<double>(base_) + static_cast<double>(filled_) - next_);
    const auto begin = static_cast<std::int64_t>(next_);
    const double low = plan_.nominal * (1 - band), high = plan_.nominal * (1 + band);
    const double spacing = plan_.rate / static_cast<double>(n) / 4;
    const auto count = static_cast<std::size_t>((high - low) / spacing) + 2;
    double best = 0, at = plan_.nominal;
    for (std::size_t f = 0; f < count; ++f) {
        const double frequency = std::min(high, low + static_cast<double>(f) * spacing);
        const double w = 2 * std::numbers::pi * frequency / plan_.rate;
        const double taper = 2 * std::numbers::pi / static_cast<double>(n);
        const Phasor turn(std::cos(w), -std::sin(w));
        Phasor now = 1, sum = 0;
        for (std::size_t i = 0; i < n; ++i) {
            const double weight = 1 - std::cos(taper * (static_cast<double>(i) + 0.5));
            sum += weight * sample(plan_.reference, begin + static_cast<std::int64_t>(i)) * now;
            now = {now.real() * turn.real() - now.imag() * turn.imag(),
                   now.real() * turn.imag() + now.imag() * turn.real()};
        }
        if (std::norm(sum) > best) {
            best = std::norm(sum);
            at = frequency;
        }
    }
    return at;
}

/// Frequency of the reference over the next @p cycles, from the turn of the fundamental between the first and the last
/// part of the window. Repeated, since window and fold follow the frequency. False: more samples are needed.
bool Wave::find_frequency(std::uint32_t cycles) {
    const auto have = static_cast<double>(base_) + static_cast<double>(filled_);
    const std::size_t s = plan_.reference;
    const Sample type = plan_.signals[s].type;
    const double before = frequency_ > 0 ? frequency_ : 0;
    double f = before > 0 ? before : coarse();
    const std::size_t part = cycles / 2;
    measured_ = false;
    for (int round = 0; round < 12; ++round) {
        const double period = plan_.rate / f, end = next_ + cycles * period;
        if (std::ceil(end - 1e-6) > have) {
            // A trial that runs past the samples is no measurement; the caller brings more, or fewer cycles.
            frequency_ = before > 0 ? before : f;
            return false;
        }
        const double begin = next_ - static_cast<double>(base_);
        first_.set(begin, period, part);
        second_.set(begin + static_cast<double>(cycles - part) * period, period, part);
        if (!fit_.serves(first_, near)) {
            const std::size_t wanted = plan_.highest > 0 ? static_cast<std::size_t>(plan_.highest) : search_orders;
            fit_.set(first_, std::min((first_.length - 1) / 2, wanted));
        }
        fold(row(s), type, first_.starts.data(), part, first_.length, 1, folded_.data());
        const Phasor one = fit_.fundamental(folded_.data(), first_, begin);
        fold(row(s), type, second_.starts.data(), part, second_.length, 1, folded_.data());
        const Phasor two = fit_.fundamental(folded_.data(), second_, begin);
        const auto from = static_cast<std::size_t>(std::ceil(begin)),
                   to = static_cast<std::size_t>(begin + cycles * period);
        const char* data = static_cast<const char*>(row(s)) + from * bytes_of(type);
        const double square = dot(data, type, data, type, to - from) / static_cast<double>(to - from);
        const double step = std::arg(two * std::conj(one)) / (static_cast<double>(cycles - part) * period);
        const double better = f + step * plan_.rate / (2 * std::numbers::pi);
        const bool strong = std::norm(one + two) > square;
        if (!strong || !(std::abs(better - plan_.nominal) <= band * plan_.nominal)) break;
        const double change = std::abs(better - f);
        f = better;
        measured_ = true;
        if (change < near * f) break;
    }
    frequency_ = measured_ ? f : before > 0 ? before : plan_.nominal;
    return next_ + cycles * plan_.rate / frequency_ <= have + 1e-6;
}

void Wave::compute(double end, std::uint32_t cycles) {
    window_.number += ready_ ? 1 : 0;
    ready_ = true;
    window_.start = next_;
    window_.length = end - next_;
    window_.frequency = frequency_;
    window_.measured = measured_;
    window_.cycles = cycles;
    mean_products(end);
    window_.highest = 0;
    if (plan_.highest > 0) spectra(cycles);
    values();
    next_ = end;
    drop();
}

void Wave::mean_products(double end) {
    const std::int64_t high = base_ + static_cast<std::int64_t>(filled_);
    const auto [begin, finish] = edges(window_.start, end, base_, high);
    const auto from = static_cast<std::size_t>(begin.whole - base_);
    const std::size_t whole = static_cast<std::size_t>(finish.whole - base_) - from;
    const double weight = static_cast<double>(whole) + finish.total() - begin.total();
    // The samples that the ends weigh, as numbers, and weighed, once for each signal.
    const std::size_t edge = begin.count + finish.count;
    for (std::size_t s = 0; s < plan_.signals.size() && edge > 0; ++s) {
        double *to = at_edges_.data() + 2 * s * edge, *weighed = to + edge;
        numbers(row(s), plan_.signals[s].type, static_cast<std::size_t>(begin.first - base_), begin.count, to);
        numbers(row(s), plan_.signals[s].type, static_cast<std::size_t>(finish.first - base_), finish.count,
                to + begin.count);
        for (std::size_t j = 0; j < begin.count; ++j) weighed[j] = -begin.weight[j] * to[j];
        for (std::size_t j = 0; j < finish.count; ++j)
            weighed[begin.count + j] = finish.weight[j] * to[begin.count + j];
    }
    for (Product& p : products_) {
        const WaveSignal &a = plan_.signals[p.a], &b = plan_.signals[p.b];
        double sum = dot(static_cast<const char*>(row(p.a)) + from * bytes_of(a.type), a.type,
                         static_cast<const char*>(row(p.b)) + from * bytes_of(b.type), b.type, whole);
        if (edge > 0) {
            const double *x = at_edges_.data() + 2 * p.a * edge, *y = at_edges_.data() + 2 * p.b * edge;
            sum += dot(x + edge, Sample::f64, y, Sample::f64, edge);
        }
        p.mean = sum / weight * a.scale * b.scale;
    }
}

void Wave::spectra(std::uint32_t cycles) {
    const double begin = window_.start - static_cast<double>(base_);
    folding_.set(begin, window_.length / cycles, cycles);
    const std::size_t length = folding_.length;
    window_.highest = std::min(static_cast<std::uint32_t>(plan_.highest), static_cast<std::uint32_t>((length - 1) / 2));
    for (std::size_t s = 0; s < plan_.signals.size(); ++s) {
        fold(row(s), plan_.signals[s].type, folding_.starts.data(), cycles, length, plan_.signals[s].scale,
             folded_.data() + s * length);
    }
    fit_.set(folding_, window_.highest);
    fit_.solve(folded_.data(), plan_.signals.size(), folding_, begin, spectra_.data());
}

void Wave::values() {
    const std::size_t orders = window_.highest + 1;
    for (std::size_t c = 0; c < plan_.channels.size(); ++c) {
        const WaveChannel& channel = plan_.channels[c];
        ChannelSums& sums = sums_[c];
        sums.v2 = products_[square_[channel.voltage]].mean;
        sums.i2 = products_[square_[channel.current]].mean;
        sums.p = products_[power_[c]].mean;
        sums.spectrum = plan_.highest > 0;
        Harmonic* to = orders_.data() + c * orders;
        if (sums.spectrum) {
            for (std::size_t k = 0; k < orders; ++k)
                to[k] = {static_cast<int>(k), spectra_[channel.voltage * orders + k],
                         spectra_[channel.current * orders + k]};
            sums.orders = {to, orders};
        }
        channel_values_[c] = channel_quantities(sums);
        if (window_.measured) {
            channel_values_[c].set(Quantity::frequency, window_.frequency);
        } else {
            channel_values_[c].refuse(Quantity::frequency, Undefined::no_fundamental);
        }
    }
    for (std::size_t g = 0; g < plan_.groups.size(); ++g) {
        ThreePhaseSums sums;
        sums.wires = plan_.groups[g].wires;
        for (std::size_t x = 0; x < 3; ++x) {
            sums.phase[x] = sums_[plan_.groups[g].channel[x]];
            sums.neutral2 += sums.phase[x].i2 + 2 * products_[across_[g][x + 3]].mean;
        }
        for (std::size_t x = 0; x < 3; ++x)
            sums.line2[x] =
                std::max(0.0, sums.phase[x].v2 + sums.phase[(x + 1) % 3].v2 - 2 * products_[across_[g][x]].mean);
        sums.neutral2 = std::max(0.0, sums.neutral2);
        group_values_[g] = three_phase_quantities(sums);
    }
}

/// Forgets the samples that no later window looks at.
void Wave::drop() {
    const std::int64_t keep = std::max<std::int64_t>(0, static_cast<std::int64_t>(std::floor(next_)) - margin - base_);
    const auto gone = std::min(static_cast<std::size_t>(keep), filled_);
    for (std::size_t s = 0; s < rows_.size(); ++s) {
        const std::size_t size = bytes_of(plan_.signals[s].type);
        char* data = reinterpret_cast<char*>(rows_[s].data());
        std::memmove(data, data + gone * size, (filled_ - gone) * size);
    }
    filled_ -= gone;
    base_ += static_cast<std::int64_t>(gone);
}

}  // namespace bln
