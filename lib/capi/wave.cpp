// Streams of sampled waveforms.
#include "power/wave.hpp"

#include "capi/quantities.hpp"
#include "site/column.hpp"

using namespace bln;
using namespace bln::capi;

struct bln_wave {
    explicit bln_wave(WavePlan plan) : core(std::move(plan)), sources(core.plan().signals.size()) {}
    Wave core;
    std::vector<WaveSource> sources;
    bool ended = false;
};

namespace {

Sample sample_type(std::int32_t type, std::size_t signal) {
    switch (type) {
        case BLN_TYPE_I16:
        case BLN_TYPE_I32:
        case BLN_TYPE_F32:
        case BLN_TYPE_F64:
            return static_cast<Sample>(type);
        default:
            throw Failure(BLN_E_TYPE, "signal " + std::to_string(signal) + " is none of i16, i32, f32, f64");
    }
}

WavePlan plan_of(const bln_wave_plan* from) {
    const bln_wave_plan given = take(from, "plan");
    WavePlan out;
    out.rate = given.samples_per_second;
    out.nominal = given.nominal_hz;
    out.frequency = given.frequency_hz;
    out.cycles = given.cycles;
    out.highest = given.highest_order;
    out.reference = given.reference;
    for (std::size_t s = 0; s < given.signals; ++s)
        out.signals.push_back(
            {sample_type((&required(given.type, "type"))[s], s), given.scale == nullptr ? 1 : given.scale[s]});
    for (std::size_t c = 0; c < given.channels; ++c)
        out.channels.push_back({(&required(given.voltage, "voltage"))[c], (&required(given.current, "current"))[c]});
    for (std::size_t g = 0; g < given.groups; ++g) {
        const std::uint32_t* four = &required(given.group, "group") + 4 * g;
        require_wires(static_cast<std::int32_t>(four[3]));
        out.groups.push_back({{four[0], four[1], four[2]}, static_cast<Wires>(four[3])});
    }
    return out;
}

const Wave& with_window(const bln_wave* wave) {
    const Wave& core = required(wave, "wave").core;
    if (!core.ready()) throw Failure(BLN_E_STATE, "no window is complete yet");
    return core;
}

template <class Get>
void rows_of(std::size_t have, const char* what, std::size_t first, std::size_t n, const Wanted& wanted, double* values,
             std::uint8_t* why, const Get& get) {
    if (first > have || n > have - first)
        throw Failure(BLN_E_RANGE, std::string(what) + " " + std::to_string(first) + " to " +
                                       std::to_string(first + n) + ": there are " + std::to_string(have));
    if (n > 0 && wanted.size() > 0) required(values, "values");
    if (why == nullptr)
        for (std::size_t r = 0; r < n; ++r)
            wanted.check(get(first + r), std::string(" of ") + what + " " + std::to_string(first + r));
    for (std::size_t r = 0; r < n; ++r)
        wanted.write(get(first + r), values + r * wanted.size(), why == nullptr ? nullptr : why + r * wanted.size());
}

}  // namespace

extern "C" {

bln_status bln_wave_new(const bln_wave_plan* plan, bln_wave** out, bln_error** err) BLN_NOEXCEPT {
    return create(out, err, [&] { return std::make_unique<bln_wave>(plan_of(plan)); });
}

bln_status bln_wave_push(bln_wave* wave, const bln_column* samples, size_t signals, size_t first, size_t n,
                         size_t* taken, int32_t* ready, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        bln_wave& w = required(wave, "wave");
        required(taken, "taken");
        required(ready, "ready");
        if (w.ended) throw Failure(BLN_E_STATE, "the stream has ended");
        const auto& plan = w.core.plan();
        if (signals != plan.signals.size())
            throw Failure(BLN_E_ARGUMENT,
                          std::to_string(signals) + " columns for " + std::to_string(plan.signals.size()) + " signals");
        for (std::size_t s = 0; s < signals; ++s) {
            const bln_column& c = (&required(samples, "samples"))[s];
            const std::string name = "signal " + std::to_string(s);
            const Column checked(c, name);
            if (!checked.given() && n > 0) throw Failure(BLN_E_ARGUMENT, name + " is absent");
            if (c.data != nullptr && c.type != static_cast<std::int32_t>(plan.signals[s].type))
                throw Failure(BLN_E_TYPE, name + " is of another type than planned");
            if (c.validity != nullptr)
                for (std::size_t i = first; i < first + n; ++i)
                    if (!checked.has(i))
                        throw Failure(BLN_E_ABSENT, "sample " + std::to_string(i) + " of " + name + " is not there");
            w.sources[s] = {static_cast<const char*>(c.data) + static_cast<std::ptrdiff_t>(first) * c.stride, c.stride};
        }
        bool complete = false;
        *taken = w.core.push(w.sources, n, complete);
        *ready = complete ? 1 : 0;
    });
}

bln_status bln_wave_finish(bln_wave* wave, int32_t* ready, double* remainder, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        bln_wave& w = required(wave, "wave");
        required(ready, "ready");
        if (w.ended) throw Failure(BLN_E_STATE, "the stream has ended");
        const bool had = w.core.ready(), more = w.core.finish();
        if (!had && !more)
            throw Failure(BLN_E_ABSENT,
                          std::to_string(static_cast<long long>(w.core.left())) + " samples are less than " +
                              (w.core.plan().frequency > 0 ? "a cycle" : "two cycles") + ": no quantity has a value");
        w.ended = true;
        *ready = more ? 1 : 0;
        if (remainder != nullptr) *remainder = w.core.left();
    });
}

bln_status bln_wave_window_at(const bln_wave* wave, bln_wave_window* out, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const WaveWindow& w = with_window(wave).window();
        hand_out(out, {0, w.cycles, w.number, w.start, w.length, w.frequency, w.measured ? 1 : 0, w.highest}, "out");
    });
}

bln_status bln_wave_channels(const bln_wave* wave, size_t first, size_t n, const bln_quantity* wanted, size_t count,
                             double* values, uint8_t* why, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Wave& core = with_window(wave);
        rows_of(core.plan().channels.size(), "channel", first, n, Wanted(wanted, count), values, why,
                [&](std::size_t c) -> const Values& { return core.channel(c); });
    });
}

bln_status bln_wave_groups(const bln_wave* wave, size_t first, size_t n, const bln_quantity* wanted, size_t count,
                           double* values, uint8_t* why, bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Wave& core = with_window(wave);
        rows_of(core.plan().groups.size(), "group", first, n, Wanted(wanted, count), values, why,
                [&](std::size_t g) -> const Values& { return core.group(g); });
    });
}

bln_status bln_wave_spectrum(const bln_wave* wave, size_t signal, double* re, double* im, size_t capacity,
                             bln_error** err) BLN_NOEXCEPT {
    return guarded(err, [&] {
        const Wave& core = with_window(wave);
        if (signal >= core.plan().signals.size())
            throw Failure(BLN_E_RANGE, "signal " + std::to_string(signal) + ": there are " +
                                           std::to_string(core.plan().signals.size()));
        const auto orders = core.spectrum(signal);
        if (orders.empty()) throw Failure(BLN_E_STATE, "the plan wants no spectra");
        if (capacity < orders.size())
            throw Failure(BLN_E_RANGE, "room for " + std::to_string(capacity) + " orders, and there are " +
                                           std::to_string(orders.size()));
        required(re, "re");
        required(im, "im");
        for (std::size_t k = 0; k < orders.size(); ++k) {
            re[k] = orders[k].real();
            im[k] = orders[k].imag();
        }
    });
}

void bln_wave_free(bln_wave* wave) BLN_NOEXCEPT { delete wave; }

}  // extern "C"
