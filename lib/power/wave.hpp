// Quantities of sampled waveforms, window by window, in memory that is bounded by one window.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "power/harmonic_fit.hpp"
#include "power/three_phase.hpp"
#include "power/wave_edge.hpp"
#include "power/wave_kernels.hpp"

namespace bln {

struct WaveSignal {
    Sample type = Sample::f64;
    double scale = 1;  ///< volts or amperes of one unit of the samples
};
struct WaveChannel {
    std::uint32_t voltage = 0, current = 0;  ///< signals
};
struct WaveGroup {
    std::array<std::uint32_t, 3> channel{};  ///< of phases A, B, C
    Wires wires = Wires::four;
};
struct WavePlan {
    double rate = 0;              ///< samples a second
    double nominal = 0;           ///< Hz; the frequency is looked for within 15 % of it
    double frequency = 0;         ///< Hz; 0: estimated from the reference signal
    std::uint32_t cycles = 0;     ///< of a window; 0: of about 0.2 s
    std::int32_t highest = -1;    ///< highest order; -1: up to 50, below half the rate; 0: no spectra
    std::uint32_t reference = 0;  ///< signal that the frequency is estimated from
    std::vector<WaveSignal> signals;
    std::vector<WaveChannel> channels;
    std::vector<WaveGroup> groups;
};

struct WaveWindow {
    std::uint64_t number = 0;
    double start = 0;   ///< in samples from the first ever pushed
    double length = 0;  ///< in samples
    double frequency = 0;
    std::uint32_t cycles = 0;
    std::uint32_t highest = 0;  ///< highest order that the rate allows at this frequency
    bool measured = false;  ///< false: the reference had no fundamental, and an earlier or nominal frequency stands in
};

/// Where the samples of one signal come from.
struct WaveSource {
    const void* data = nullptr;
    std::int64_t stride = 0;
};

class Wave {
public:
    /// Throws BLN_E_RANGE, BLN_E_VALUE, BLN_E_NOT_FINITE with the name of what is wrong.
    explicit Wave(WavePlan plan);

    [[nodiscard]] const WavePlan& plan() const noexcept { return plan_; }
    /// Takes samples until a window is complete or all @p n are taken; how many. @p ready: window() is a new one.
    /// Throws BLN_E_NOT_FINITE; then nothing was taken.
    std::size_t push(std::span<const WaveSource> sources, std::size_t n, bool& ready);
    /// A last, shorter window of what is left. False: less than a cycle is left (two, while the frequency is
    /// estimated).
    bool finish();
    /// Samples that no window has used yet.
    [[nodiscard]] double left() const noexcept {
        return static_cast<double>(base_) + static_cast<double>(filled()) - next_;
    }

    [[nodiscard]] bool ready() const noexcept { return ready_; }
    [[nodiscard]] const WaveWindow& window() const noexcept { return window_; }
    [[nodiscard]] const Values& channel(std::size_t c) const noexcept { return channel_values_[c]; }
    [[nodiscard]] const Values& group(std::size_t g) const noexcept { return group_values_[g]; }
    /// RMS phasors of the orders 0 to window().highest; the time origin is the start of the window.
    [[nodiscard]] std::span<const Phasor> spectrum(std::size_t signal) const noexcept;

private:
    struct Product {
        std::uint32_t a = 0, b = 0;
        double mean = 0;
    };
    [[nodiscard]] std::size_t filled() const noexcept { return filled_; }
    [[nodiscard]] const void* row(std::size_t signal) const noexcept { return rows_[signal].data(); }
    [[nodiscard]] double sample(std::size_t signal, std::int64_t at) const noexcept;
    [[nodiscard]] double need() const noexcept;
    std::size_t product(std::uint32_t a, std::uint32_t b);
    bool step(bool last);
    bool find_frequency(std::uint32_t cycles);
    [[nodiscard]] double coarse() const;
    void compute(double end, std::uint32_t cycles);
    void mean_products(double end);
    void spectra(std::uint32_t cycles);
    void values();
    void drop();

    WavePlan plan_;
    std::size_t capacity_ = 0, filled_ = 0;
    std::int64_t base_ = 0;  ///< number of the first sample in the rows
    double next_ = 0;        ///< start of the next window
    double frequency_ = 0;   ///< latest, 0 before the first
    bool measured_ = false, ready_ = false;
    std::vector<std::vector<std::uint64_t>> rows_;
    std::vector<Product> products_;
    std::vector<std::size_t> square_;                 ///< product of each signal with itself
    std::vector<std::size_t> power_;                  ///< of each channel
    std::vector<std::array<std::size_t, 6>> across_;  ///< of each group: AB BC CA voltages, then currents
    HarmonicFit fit_;
    Folding folding_, first_, second_;
    std::vector<double> folded_, at_edges_;
    std::vector<Phasor> spectra_;
    std::vector<Harmonic> orders_;
    std::vector<ChannelSums> sums_;
    std::vector<Values> channel_values_, group_values_;
    WaveWindow window_;
};

}  // namespace bln
