// Functions over quantities that may need memory.
#include <cmath>
#include <cstdint>

#include "scenario.hpp"

namespace {

constexpr bln_quantity wanted[] = {BLN_Q_P, BLN_Q_Q1, BLN_Q_QUADRANT};
const double ones[] = {1, 1, 1, 1};

bln_column column(const double* data) { return {data, sizeof(double), nullptr, BLN_TYPE_F64, 0}; }

bln_spectrum one_order() {
    return {sizeof(bln_spectrum), BLN_VALUES_RMS, 1,           column(ones), column(ones),
            column(ones),         column(ones),   column(ones)};
}

bln_status try_quantity_at(Fixture&, bln_error** e) {
    bln_quantity_info row{};
    row.size = sizeof row;
    return bln_quantity_at(0, &row, e);
}
bln_status try_of_spectrum(Fixture&, bln_error** e) {
    const bln_spectrum s = one_order();
    double values[3];
    std::uint8_t why[3];
    return bln_quantities_of_spectrum(&s, wanted, 3, values, why, e);
}
bln_status try_of_three_spectra(Fixture&, bln_error** e) {
    const bln_spectrum s[] = {one_order(), one_order(), one_order()};
    double values[3];
    std::uint8_t why[3];
    return bln_quantities_of_three_spectra(s, 4, wanted, 3, values, why, e);
}
bln_status try_of_phasors(Fixture&, bln_error** e) {
    bln_phasor_columns c{};
    c.size = sizeof c;
    c.form = BLN_PHASORS_RECTANGULAR;
    for (int k = 0; k < 2; ++k) c.v[k] = c.i[k] = column(ones);
    double values[12];
    std::uint8_t why[12];
    return bln_quantities_of_phasors(&c, 4, 1, 0, wanted, 3, values, why, e);
}
bln_status try_power_of_snapshots(Fixture&, bln_error** e) {
    const bln_column two[] = {column(ones), column(ones)};
    double p[4];
    const bln_out_column out{p, sizeof(double), nullptr, BLN_TYPE_F64, 0};
    return bln_power_of_snapshots(4, two, two, &out, nullptr, nullptr, e);
}
bln_status try_unbalance_of_lines(Fixture&, bln_error** e) {
    double a = 0, b = 0;
    return bln_unbalance_of_lines(400, 401, 399, &a, &b, e);
}
bln_status try_import_export(Fixture&, bln_error** e) {
    const bln_column watts[] = {column(ones), column(ones)};
    double in = 0, out = 0;
    return bln_import_export(watts, 2, 4, 0.25, BLN_REGISTER_NET_THEN_SPLIT, nullptr, &in, &out, e);
}

bln_status make_wave(bln_wave** out, bln_error** e) {
    static const std::int32_t types[] = {BLN_TYPE_F64, BLN_TYPE_F64};
    static const std::uint32_t voltage[] = {0, 0, 0}, current[] = {1, 1, 1}, group[] = {0, 1, 2, 4};
    bln_wave_plan plan{};
    plan.size = sizeof plan;
    plan.highest_order = 5;
    plan.samples_per_second = 1000;
    plan.nominal_hz = 50;
    plan.cycles = 2;
    plan.signals = 2;
    plan.type = types;
    plan.channels = 3;
    plan.voltage = voltage;
    plan.current = current;
    plan.groups = 1;
    plan.group = group;
    return bln_wave_new(&plan, out, e);
}
bln_status try_wave_new(Fixture& f, bln_error** e) {
    return made<bln_wave>(f, bln_wave_free, [&](bln_wave** out) { return make_wave(out, e); });
}

/// A stream with a window, made without a failing request: only the call itself is refused memory.
struct Stream {
    double samples[64];
    bln_wave* wave = nullptr;
    bln_status made = BLN_OK;
    explicit Stream(bln_error** e) {
        for (int n = 0; n < 64; ++n) samples[n] = std::cos(n * 0.31415926535897931);
        made = make_wave(&wave, e);
        std::size_t taken = 0;
        std::int32_t ready = 0;
        if (made == BLN_OK) made = push(e, taken, ready);
    }
    Stream(const Stream&) = delete;
    Stream& operator=(const Stream&) = delete;
    ~Stream() { bln_wave_free(wave); }
    bln_status push(bln_error** e, std::size_t& taken, std::int32_t& ready) const {
        const bln_column two[] = {column(samples), column(samples)};
        return bln_wave_push(wave, two, 2, 0, 64, &taken, &ready, e);
    }
};
template <class Call>
bln_status streamed(bln_error** e, const Call& call) {
    const Stream s(e);
    return s.made == BLN_OK ? call(s.wave) : s.made;
}
bln_status try_wave_push(Fixture&, bln_error** e) {
    return streamed(e, [](bln_wave*) { return BLN_OK; });
}
bln_status try_wave_finish(Fixture&, bln_error** e) {
    return streamed(e, [&](bln_wave* w) {
        std::int32_t ready = 0;
        return bln_wave_finish(w, &ready, nullptr, e);
    });
}
bln_status try_wave_window_at(Fixture&, bln_error** e) {
    return streamed(e, [&](bln_wave* w) {
        bln_wave_window row{};
        row.size = sizeof row;
        return bln_wave_window_at(w, &row, e);
    });
}
bln_status try_wave_channels(Fixture&, bln_error** e) {
    return streamed(e, [&](bln_wave* w) {
        double values[9];
        std::uint8_t why[9];
        return bln_wave_channels(w, 0, 3, wanted, 3, values, why, e);
    });
}
bln_status try_wave_groups(Fixture&, bln_error** e) {
    return streamed(e, [&](bln_wave* w) {
        double values[3];
        std::uint8_t why[3];
        return bln_wave_groups(w, 0, 1, wanted, 3, values, why, e);
    });
}
bln_status try_wave_spectrum(Fixture&, bln_error** e) {
    return streamed(e, [&](bln_wave* w) {
        double re[8], im[8];
        return bln_wave_spectrum(w, 0, re, im, 8, e);
    });
}

const Scenario rows[] = {
    {"bln_quantity_at", try_quantity_at},
    {"bln_quantities_of_spectrum", try_of_spectrum},
    {"bln_quantities_of_three_spectra", try_of_three_spectra},
    {"bln_quantities_of_phasors", try_of_phasors},
    {"bln_power_of_snapshots", try_power_of_snapshots},
    {"bln_unbalance_of_lines", try_unbalance_of_lines},
    {"bln_import_export", try_import_export},
    {"bln_wave_new", try_wave_new},
    {"bln_wave_push", try_wave_push},
    {"bln_wave_finish", try_wave_finish},
    {"bln_wave_window_at", try_wave_window_at},
    {"bln_wave_channels", try_wave_channels},
    {"bln_wave_groups", try_wave_groups},
    {"bln_wave_spectrum", try_wave_spectrum},
};

}  // namespace

std::span<const Scenario> quantity_scenarios() { return rows; }
