"""Quantities against NumPy and SciPy: other readers of the same numbers."""

import threading

import numpy
import pytest
import scipy.fft
from hypothesis import given
from hypothesis import strategies as st

import blondel

ORDERS = [(1, 230.0, 0.3, 10.0, -0.2), (2, 3.0, 0.1, 0.4, 0.0), (3, 10.0, 1.0, 4.0, 2.0), (7, 5.0, 0.0, 2.0, 0.1)]


def wave(orders, frequency, rate, n, current, shift=0.0):
    t = numpy.arange(n) / rate
    a, b = (3, 4) if current else (1, 2)
    return sum(numpy.sqrt(2) * o[a] * numpy.cos(2 * numpy.pi * frequency * o[0] * t + o[b] + o[0] * shift)
               for o in orders)


def stream(**changes):
    settings = dict(rate=4000, nominal=50, types=["float64"] * 2, channels=[(0, 1)])
    return blondel.WaveStream(**(settings | changes))


def test_spectrum_agrees_with_an_fft_over_whole_cycles():
    v, i = (wave(ORDERS, 50, 4000, 4000, c) for c in (False, True))
    s = stream()
    assert len(s.push([v, i]).windows) == 5
    for signal, x in ((0, v), (1, i)):
        whole = scipy.fft.rfft(x[3200:]) / 800 * numpy.sqrt(2)
        whole[0] /= numpy.sqrt(2)
        ours = s.spectrum(signal)
        assert numpy.allclose(ours, whole[: len(ours) * 10 : 10], atol=1e-9)


def test_sums_agree_with_numpy_and_parseval_holds():
    v, i = (wave(ORDERS, 50, 4000, 800, c) for c in (False, True))
    q = stream(frequency=50.0).push([v, i]).channels
    assert q["v_rms"][0, 0] == pytest.approx(numpy.sqrt(numpy.mean(v * v)), rel=1e-12)
    assert q["p"][0, 0] == pytest.approx(numpy.mean(v * i), rel=1e-12)
    s = blondel.spectrum_quantities(
        [o[0] for o in ORDERS], numpy.array([o[1] * numpy.exp(1j * o[2]) for o in ORDERS]),
        numpy.array([o[3] * numpy.exp(1j * o[4]) for o in ORDERS]))
    for name, value in s.items():
        if name != "frequency":
            assert q[name][0, 0] == pytest.approx(value, rel=1e-6, abs=1e-5), name


def test_quarter_cycle_shift_agrees_with_a_shifted_wave():
    v, i = (wave(ORDERS, 50, 4000, 880, c) for c in (False, True))
    q = stream(frequency=50.0).push([v[20:820], i[20:820]]).channels
    assert q["q_quarter"][0, 0] == pytest.approx(numpy.mean(v[:800] * i[20:820]), rel=1e-9)


@pytest.mark.parametrize("dtype", ["int16", "int32", "float32", "float64"])
def test_types_strides_and_blocks(dtype):
    scale = {"int16": 0.02, "int32": 1e-5}.get(dtype, 1.0)
    both = numpy.empty((8000, 2), dtype)
    for c in (0, 1):
        x = wave(ORDERS, 50.03, 4000, 8000, c == 1) / scale
        both[:, c] = numpy.round(x) if dtype.startswith("int") else x
    before = both.copy()
    s = stream(types=[dtype] * 2, scales=[scale] * 2)
    found = [s.push([both[k : k + 700, 0], both[k : k + 700, 1]]) for k in range(0, 8000, 700)]
    p = numpy.concatenate([r.channels["p"][:, 0] for r in found])
    truth = sum(o[1] * o[3] * numpy.cos(o[2] - o[4]) for o in ORDERS)
    assert len(p) == 9
    # An ampere signal of 10 A in steps of 20 mA is what limits 16 bits here.
    assert numpy.allclose(p, truth, rtol=1e-3 if dtype == "int16" else 2e-4)
    assert (both == before).all()


def test_three_phases_of_a_wave_agree_with_their_spectra():
    shifts = [0.0, -2 * numpy.pi / 3, 2 * numpy.pi / 3]
    signals = [wave(ORDERS, 49.9, 8000, 8000, c, s) * (1 + 0.1 * k)
               for k, s in enumerate(shifts) for c in (False, True)]
    s = stream(rate=8000, types=["float64"] * 6, channels=[(0, 1), (2, 3), (4, 5)], groups=[(0, 1, 2, 4)])
    last = s.push(signals).groups
    phases = [([o[0] for o in ORDERS],
               numpy.array([o[1] * numpy.exp(1j * (o[2] + o[0] * s)) for o in ORDERS]) * (1 + 0.1 * k),
               numpy.array([o[3] * numpy.exp(1j * (o[4] + o[0] * s)) for o in ORDERS]) * (1 + 0.1 * k))
              for k, s in enumerate(shifts)]
    for name, value in blondel.three_phase_spectra(phases, wires=4).items():
        if not name.endswith("_deg"):
            assert last[name][-1, 0] == pytest.approx(value, rel=1e-5, abs=1e-4), name


complex_numbers = st.complex_numbers(max_magnitude=1000, allow_nan=False, allow_infinity=False)


@given(st.lists(st.tuples(complex_numbers, complex_numbers), min_size=1, max_size=20))
def test_snapshots_agree_with_numpy(rows):
    v, i = (numpy.array([r[k] for r in rows]) for k in (0, 1))
    p, q, s = blondel.snapshot_power(v, i)
    power = v * numpy.conj(i)
    assert numpy.allclose(p, power.real, atol=1e-9) and numpy.allclose(q, power.imag, atol=1e-9)
    assert numpy.allclose(s, abs(power), atol=1e-9)


def test_snapshots_in_threads_on_parts():
    n = 200_000
    rng = numpy.random.default_rng(1)
    v, i = (rng.normal(size=n) + 1j * rng.normal(size=n) for _ in range(2))
    p, q = numpy.empty(n), numpy.empty(n)
    parts = [slice(k * n // 4, (k + 1) * n // 4) for k in range(4)]
    threads = [threading.Thread(target=lambda c=c: blondel.snapshot_power(v[c], i[c], p=p[c], q=q[c], s=False))
               for c in parts]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    assert numpy.array_equal(p, v.real * i.real + v.imag * i.imag)
    assert numpy.array_equal(q, v.imag * i.real - v.real * i.imag)


def test_undefined_is_said_and_never_nan():
    table = blondel.phasor_quantities(numpy.array([230 + 0j, 0, 230]), numpy.array([0j, 5, 5]))
    assert numpy.isfinite(table.values).all()
    assert list(table.defined("pf")) == [False, False, True]
    assert table.reasons("pf") == ["current", "voltage", "defined"]
    q = blondel.spectrum_quantities([1], [230.0], [0.0])
    assert q["pf"] is None and q.why("pf") == "current"


def test_register_policies():
    watts = [numpy.array([900.0, -900.0]), numpy.array([-400.0, 400.0])]
    assert blondel.import_export(watts, hours=1) == (500, 500, True)
    assert blondel.import_export(watts, hours=1, policy="clamp_each") == (1300, 1300, False)
    assert blondel.import_export(watts, hours=1, policy="absolute") == (2600, 0, False)


def refused(error, text, function, *arguments, **named):
    with pytest.raises(error) as caught:
        function(*arguments, **named)
    assert text in str(caught.value)


def test_bad_input_is_refused_precisely():
    one, bad = numpy.ones(900), numpy.ones(900)
    bad[700] = numpy.nan
    refused(blondel.NotFiniteError, "sample 700 of signal 1", stream().push, [one, bad])
    refused(blondel.RangeError, "899", stream().push, [one, one[:899]])
    refused(blondel.FieldTypeError, "another type", stream().push, [one, one.astype("f4")])
    refused(blondel.RangeError, "not below half the sampling rate", stream, highest_order=40)
    refused(blondel.RangeError, "three samples", stream, rate=100)
    s = stream()
    s.push([one[:70], one[:70]])
    refused(blondel.AbsentError, "less than two cycles", s.finish)
    v = numpy.array([1 + 1j, complex("inf"), 2])
    refused(blondel.NotFiniteError, "row 1", blondel.snapshot_power, v, v)
    refused(blondel.NotFiniteError, "item 1", blondel.phasor_quantities, v, numpy.ones(3))
    refused(blondel.RangeError, "items", blondel.phasor_quantities, v[:1], numpy.ones(3))
    refused(blondel.DuplicateError, "twice", blondel.spectrum_quantities, [1, 1], [1.0, 1.0], [1.0, 1.0])
    refused(blondel.ConventionError, "how their phasors", blondel._blondel.quantities_of_phasors,
            (one, one), (one, one), 0, 1, 0, [130])
    refused(blondel.AbsentError, "triangle", blondel.unbalance_of_lines, 400, 100, 100)
    refused(blondel.NotFiniteError, "element 1, row 1", blondel.import_export,
            [numpy.ones(2), numpy.array([1, numpy.nan])], hours=1)


def test_stream_ends_with_the_cycles_that_are_left():
    v, i = (wave(ORDERS, 50, 4000, 1200, c) for c in (False, True))
    s = stream()
    assert len(s.push([v, i]).windows) == 1
    last, remainder = s.finish()
    assert last.windows[0].cycles == 5 and remainder == 0
    refused(blondel.StateError, "ended", s.push, [v, i])
