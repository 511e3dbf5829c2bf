// Quantities of phasors, spectra and waveforms.
#include <cstring>
#include <memory>

#include "columns.hpp"

namespace binding {

namespace {

inline void free_wave(bln_wave* w) { bln_wave_free(w); }
using Wave = Handle<bln_wave, free_wave>;
using Numbers = std::vector<bln_quantity>;

py::list quantities() {
    py::list all;
    for (std::size_t i = 0; i < bln_quantity_count(); ++i) {
        bln_quantity_info row{};
        row.size = sizeof row;
        call([&](bln_error** err) { return bln_quantity_at(i, &row, err); });
        all.append(py::make_tuple(row.quantity, to_str(row.name), to_str(row.unit), to_str(row.doc), row.scope));
    }
    return all;
}

template <class T>
py::bytearray bytes(const std::vector<T>& from) {
    return py::bytearray(reinterpret_cast<const char*>(from.data()), from.size() * sizeof(T));
}

/// Values and reasons of one call, row after row.
struct Table {
    Table(std::size_t rows, std::size_t count) : values(rows * count), why(rows * count) {}
    std::vector<double> values;
    std::vector<std::uint8_t> why;
    [[nodiscard]] py::tuple take() const { return py::make_tuple(bytes(values), bytes(why)); }
};

void same_length(std::size_t n, const Column& c, const char* name) {
    if (c.given() && c.size() != n)
        refuse(BLN_E_RANGE, std::string(name) + " has " + std::to_string(c.size()) + " items, and there should be " +
                                std::to_string(n));
}

/// Columns of one spectrum, held for the call.
struct Orders {
    explicit Orders(const py::tuple& from)
        : order(from[0], "order"),
          v_re(from[1], "v_re"),
          v_im(from[2], "v_im"),
          i_re(from[3], "i_re"),
          i_im(from[4], "i_im") {
        for (const auto& [c, name] : {std::pair{&v_re, "v_re"}, {&v_im, "v_im"}, {&i_re, "i_re"}, {&i_im, "i_im"}})
            same_length(order.size(), *c, name);
    }
    [[nodiscard]] bln_spectrum get(std::int32_t values) const {
        return {sizeof(bln_spectrum), values,     order.size(), order.get(),
                v_re.get(),           v_im.get(), i_re.get(),   i_im.get()};
    }
    Column order, v_re, v_im, i_re, i_im;
};

py::tuple of_spectrum(const py::tuple& columns, std::int32_t values, const Numbers& wanted) {
    const Orders orders(columns);
    const bln_spectrum spectrum = orders.get(values);
    Table table(1, wanted.size());
    call([&](bln_error** err) {
        return bln_quantities_of_spectrum(&spectrum, wanted.data(), wanted.size(), table.values.data(),
                                          table.why.data(), err);
    });
    return table.take();
}

py::tuple of_three_spectra(const py::tuple& a, const py::tuple& b, const py::tuple& c, std::int32_t values,
                           std::int32_t wires, const Numbers& wanted) {
    const Orders oa(a), ob(b), oc(c);
    const bln_spectrum three[] = {oa.get(values), ob.get(values), oc.get(values)};
    Table table(1, wanted.size());
    call([&](bln_error** err) {
        return bln_quantities_of_three_spectra(three, wires, wanted.data(), wanted.size(), table.values.data(),
                                               table.why.data(), err);
    });
    return table.take();
}

py::tuple of_phasors(const py::tuple& v, const py::tuple& i, std::int32_t form, std::int32_t phases, std::int32_t wires,
                     const Numbers& wanted) {
    bln_phasor_columns columns{};
    columns.size = sizeof columns;
    columns.form = form;
    std::vector<std::unique_ptr<Column>> held;
    if (v.size() > 6 || i.size() > 6) refuse(BLN_E_RANGE, "there are more columns than phases have");
    const auto hold = [&](const py::tuple& from, bln_column* to, const char* name) {
        for (std::size_t c = 0; c < from.size(); ++c) {
            held.push_back(std::make_unique<Column>(from[c], name));
            same_length(held.front()->size(), *held.back(), name);
            to[c] = held.back()->get();
        }
    };
    hold(v, columns.v, "v");
    hold(i, columns.i, "i");
    const std::size_t rows = held.empty() ? 0 : held.front()->size();
    Table table(rows, wanted.size());
    call_unlocked([&](bln_error** err) {
        return bln_quantities_of_phasors(&columns, rows, phases, wires, wanted.data(), wanted.size(),
                                         table.values.data(), table.why.data(), err);
    });
    return table.take();
}

void power_of_snapshots(const py::tuple& v, const py::tuple& i, const py::object& p, const py::object& q,
                        const py::object& s) {
    const Column vr(v[0], "v"), vi(v[1], "v"), ir(i[0], "i"), ii(i[1], "i");
    for (const Column* c : {&vi, &ir, &ii}) same_length(vr.size(), *c, "a column");
    const bln_column volts[] = {vr.get(), vi.get()}, amps[] = {ir.get(), ii.get()};
    std::unique_ptr<OutColumn> out[3];
    const bln_out_column* pointers[3] = {};
    const py::object* targets[] = {&p, &q, &s};
    for (std::size_t k = 0; k < 3; ++k) {
        if (targets[k]->is_none()) continue;
        out[k] = std::make_unique<OutColumn>(*targets[k], py::none());
        if (out[k]->size() < vr.size()) refuse(BLN_E_RANGE, "an output is shorter than the columns");
        pointers[k] = &out[k]->get();
    }
    call_unlocked([&](bln_error** err) {
        return bln_power_of_snapshots(vr.size(), volts, amps, pointers[0], pointers[1], pointers[2], err);
    });
}

py::tuple unbalance_of_lines(double ab, double bc, double ca) {
    double deviation = 0, sequence = 0;
    call([&](bln_error** err) { return bln_unbalance_of_lines(ab, bc, ca, &deviation, &sequence, err); });
    return py::make_tuple(deviation, sequence);
}

py::tuple import_export(const py::tuple& watts, double hours, std::int32_t policy) {
    std::vector<std::unique_ptr<Column>> held;
    std::vector<bln_column> columns;
    for (const auto& source : watts) {
        held.push_back(std::make_unique<Column>(py::reinterpret_borrow<py::object>(source), "watts"));
        same_length(held.front()->size(), *held.back(), "watts");
        columns.push_back(held.back()->get());
    }
    const std::size_t rows = held.empty() ? 0 : held.front()->size();
    std::int32_t right = 0;
    double in = 0, out = 0;
    call_unlocked([&](bln_error** err) {
        return bln_import_export(columns.data(), columns.size(), rows, hours, policy, &right, &in, &out, err);
    });
    return py::make_tuple(in, out, right != 0);
}

Wave wave(double rate, double nominal, double frequency, std::uint32_t cycles, std::int32_t highest,
          std::uint32_t reference, const std::vector<std::int32_t>& types, const std::vector<double>& scales,
          const std::vector<std::uint32_t>& voltage, const std::vector<std::uint32_t>& current,
          const std::vector<std::uint32_t>& groups) {
    if (scales.size() != types.size() || voltage.size() != current.size() || groups.size() % 4 != 0)
        refuse(BLN_E_RANGE, "the lists of the plan do not match in length");
    bln_wave_plan plan{};
    plan.size = sizeof plan;
    plan.highest_order = highest;
    plan.samples_per_second = rate;
    plan.nominal_hz = nominal;
    plan.frequency_hz = frequency;
    plan.cycles = cycles;
    plan.reference = reference;
    plan.signals = types.size();
    plan.type = types.data();
    plan.scale = scales.data();
    plan.channels = voltage.size();
    plan.voltage = voltage.data();
    plan.current = current.data();
    plan.groups = groups.size() / 4;
    plan.group = groups.data();
    Wave out;
    call([&](bln_error** err) { return bln_wave_new(&plan, out.out(), err); });
    return out;
}

/// What windows leave behind, window after window.
struct Windows {
    Windows(const Wave& w, std::size_t nc, std::size_t ng, const Numbers& qc, const Numbers& qg)
        : wave(w), channels(nc), groups(ng), of_channel(qc), of_group(qg) {}
    bln_status add(bln_error** err) {
        bln_wave_window w{};
        w.size = sizeof w;
        if (const auto bad = bln_wave_window_at(wave.get(), &w, err); bad != BLN_OK) return bad;
        windows.push_back(w);
        if (const auto bad = append(bln_wave_channels, channels, of_channel, channel_values, channel_why, err);
            bad != BLN_OK)
            return bad;
        return append(bln_wave_groups, groups, of_group, group_values, group_why, err);
    }
    template <class F>
    bln_status append(F f, std::size_t n, const Numbers& q, std::vector<double>& values, std::vector<std::uint8_t>& why,
                      bln_error** err) {
        const std::size_t at = values.size(), more = n * q.size();
        values.resize(at + more);
        why.resize(at + more);
        return more == 0 ? BLN_OK : f(wave.get(), 0, n, q.data(), q.size(), values.data() + at, why.data() + at, err);
    }
    [[nodiscard]] py::tuple take() const {
        py::list rows;
        for (const bln_wave_window& w : windows)
            rows.append(py::make_tuple(w.number, w.start_samples, w.length_samples, w.cycles, w.frequency_hz,
                                       w.frequency_measured != 0, w.highest_order));
        return py::make_tuple(rows, bytes(channel_values), bytes(channel_why), bytes(group_values), bytes(group_why));
    }
    const Wave& wave;
    std::size_t channels, groups;
    const Numbers &of_channel, &of_group;
    std::vector<bln_wave_window> windows;
    std::vector<double> channel_values, group_values;
    std::vector<std::uint8_t> channel_why, group_why;
};

py::tuple wave_push(const Wave& wave, const py::tuple& samples, std::size_t channels, std::size_t groups,
                    const Numbers& of_channel, const Numbers& of_group) {
    std::vector<std::unique_ptr<Column>> held;
    std::vector<bln_column> columns;
    for (const auto& source : samples) {
        held.push_back(std::make_unique<Column>(py::reinterpret_borrow<py::object>(source), "a signal"));
        same_length(held.front()->size(), *held.back(), "a signal");
        columns.push_back(held.back()->get());
    }
    const std::size_t n = held.empty() ? 0 : held.front()->size();
    Windows out(wave, channels, groups, of_channel, of_group);
    call_unlocked([&](bln_error** err) {
        std::size_t done = 0;
        for (;;) {
            std::size_t taken = 0;
            std::int32_t ready = 0;
            bln_status status =
                bln_wave_push(wave.get(), columns.data(), columns.size(), done, n - done, &taken, &ready, err);
            if (status != BLN_OK) return status;
            done += taken;
            if (ready == 0) return status;
            status = out.add(err);
            if (status != BLN_OK) return status;
        }
    });
    return out.take();
}

py::tuple wave_finish(const Wave& wave, std::size_t channels, std::size_t groups, const Numbers& of_channel,
                      const Numbers& of_group) {
    std::int32_t ready = 0;
    double remainder = 0;
    call([&](bln_error** err) { return bln_wave_finish(wave.get(), &ready, &remainder, err); });
    Windows out(wave, channels, groups, of_channel, of_group);
    if (ready != 0) call([&](bln_error** err) { return out.add(err); });
    return py::make_tuple(out.take(), remainder);
}

py::tuple wave_spectrum(const Wave& wave, std::size_t signal) {
    bln_wave_window w{};
    w.size = sizeof w;
    call([&](bln_error** err) { return bln_wave_window_at(wave.get(), &w, err); });
    std::vector<double> re(w.highest_order + 1), im(re.size());
    call([&](bln_error** err) { return bln_wave_spectrum(wave.get(), signal, re.data(), im.data(), re.size(), err); });
    return py::make_tuple(bytes(re), bytes(im));
}

}  // namespace

void bind_quantities(py::module_& m) {
    m.attr("DEFINED") = static_cast<int>(BLN_DEFINED);
    m.attr("REASON") = py::dict(py::arg("defined") = static_cast<int>(BLN_DEFINED),
                                py::arg("input") = static_cast<int>(BLN_UNDEFINED_INPUT),
                                py::arg("voltage") = static_cast<int>(BLN_UNDEFINED_VOLTAGE),
                                py::arg("current") = static_cast<int>(BLN_UNDEFINED_CURRENT),
                                py::arg("power") = static_cast<int>(BLN_UNDEFINED_POWER),
                                py::arg("fundamental") = static_cast<int>(BLN_UNDEFINED_FUNDAMENTAL),
                                py::arg("sequence") = static_cast<int>(BLN_UNDEFINED_SEQUENCE),
                                py::arg("triangle") = static_cast<int>(BLN_UNDEFINED_TRIANGLE),
                                py::arg("scope") = static_cast<int>(BLN_UNDEFINED_SCOPE));
    m.attr("VALUES") = py::dict(py::arg("rms") = static_cast<int>(BLN_VALUES_RMS),
                                py::arg("peak") = static_cast<int>(BLN_VALUES_PEAK));
    m.attr("PHASORS") = py::dict(py::arg("rectangular") = static_cast<int>(BLN_PHASORS_RECTANGULAR),
                                 py::arg("polar") = static_cast<int>(BLN_PHASORS_POLAR));
    m.attr("REGISTER") = py::dict(py::arg("net_then_split") = static_cast<int>(BLN_REGISTER_NET_THEN_SPLIT),
                                  py::arg("clamp_each") = static_cast<int>(BLN_REGISTER_CLAMP_EACH),
                                  py::arg("absolute") = static_cast<int>(BLN_REGISTER_ABSOLUTE));
    m.attr("SAMPLE_TYPES") = py::dict(
        py::arg("int16") = static_cast<int>(BLN_TYPE_I16), py::arg("int32") = static_cast<int>(BLN_TYPE_I32),
        py::arg("float32") = static_cast<int>(BLN_TYPE_F32), py::arg("float64") = static_cast<int>(BLN_TYPE_F64));
    m.def("quantities", &quantities);
    m.def("quantities_of_spectrum", &of_spectrum);
    m.def("quantities_of_three_spectra", &of_three_spectra);
    m.def("quantities_of_phasors", &of_phasors);
    m.def("power_of_snapshots", &power_of_snapshots);
    m.def("unbalance_of_lines", &unbalance_of_lines);
    m.def("import_export", &import_export);
    py::class_<Wave>(m, "Wave")
        .def(py::init(&wave))
        .def("push", &wave_push)
        .def("finish", &wave_finish)
        .def("spectrum", &wave_spectrum);
}

}  // namespace binding
