"""Uncertainties beside the package `uncertainties` (linear propagation) and Monte Carlo (NumPy)."""

import cmath
import math

import numpy
import pytest
from uncertainties import correlated_values_norm, ufloat, umath

import blondel

MINUTE = math.pi / 10800


def test_the_error_of_power_is_that_of_the_phasors():
    rng = numpy.random.default_rng(4)
    for _ in range(200):
        v, i = cmath.rect(rng.uniform(50, 400), rng.uniform(-3, 3)), cmath.rect(rng.uniform(0.1, 90), rng.uniform(-3, 3))
        ev, ei = rng.uniform(-5, 5, 2)
        dv, di = rng.uniform(-300, 300, 2)
        true = v * i.conjugate()
        registered = (v * (1 + ev / 100) * cmath.exp(1j * dv * MINUTE)
                      * (i * (1 + ei / 100) * cmath.exp(1j * di * MINUTE)).conjugate())
        got = blondel.power_error(true, volts_ratio_percent=ev, volts_phase_minutes=dv, amps_ratio_percent=ei,
                                  amps_phase_minutes=di)
        assert complex(got.watts, got.vars) == pytest.approx(registered - true, rel=1e-9, abs=1e-9 * abs(true))
        tan = true.imag / true.real
        linear = (ev + ei) / 100 + tan * (di - dv) * MINUTE
        assert got.watts_linear == pytest.approx(true.real * linear, rel=1e-9, abs=1e-9 * abs(true))


@pytest.mark.parametrize("angle", [0, 36.87, 60, -25])
def test_a_point_of_one_element_beside_linear_propagation_and_monte_carlo(angle):
    ct = blondel.Limits(ratio_percent=0.5, phase_minutes=30)
    meter = blondel.Limits(power_percent=0.6)
    true = cmath.rect(1000, math.radians(angle))
    got = blondel.power_uncertainty(true, ct=ct, meter=meter)
    ratio, phase = ufloat(0, 0.005 / math.sqrt(3)), ufloat(0, 30 * MINUTE / math.sqrt(3))
    factor = ufloat(0, 0.006 / math.sqrt(3))
    phi = math.radians(angle)
    watts = 1000 * (1 + ratio) * umath.cos(phi - phase) * (1 + factor)
    assert got.watts == pytest.approx(watts.std_dev, rel=1e-9)
    rng = numpy.random.default_rng(8)
    n = 400_000
    e, d, m = (rng.uniform(-a, a, n) for a in (0.005, 30 * MINUTE, 0.006))
    drawn = 1000 * (1 + e) * numpy.cos(phi - d) * (1 + m)
    assert got.watts == pytest.approx(drawn.std(), rel=0.01)
    assert abs(drawn - true.real).max() <= got.watts_limit
    # The limit is tight: the worst corner comes within a hundredth of it.
    corners = [1000 * (1 + s * 0.005) * math.cos(phi - t * 30 * MINUTE) * (1 + u * 0.006)
               for s in (-1, 1) for t in (-1, 1) for u in (-1, 1)]
    assert max(abs(c - true.real) for c in corners) >= 0.99 * got.watts_limit


def test_main_minus_branches_beside_linear_propagation_and_monte_carlo():
    branches = [120.0, 80.0, -15.0, 300.0]
    random = [0.7, 0.5, 0.1, 1.2]
    common = [ufloat(0, 0.003), ufloat(0, 0.002)]
    groups = [0, 0, 0, 1]
    main = ufloat(490, 1.4)
    difference = main - sum(e * (1 + common[g]) + ufloat(0, r) for e, r, g in zip(branches, random, groups))
    got = blondel.combine([490, *branches], random=[1.4, *random], coefficients=[1, -1, -1, -1, -1],
                          shared=[0, *(abs(e) * (0.003, 0.002)[g] for e, g in zip(branches, groups))],
                          groups=[9, *groups])
    assert got.value == pytest.approx(difference.nominal_value)
    assert got.combined == pytest.approx(difference.std_dev, rel=1e-12)
    rng = numpy.random.default_rng(15)
    n = 400_000
    shared = [rng.normal(0, 0.003, n), rng.normal(0, 0.002, n)]
    drawn = rng.normal(490, 1.4, n) - sum(e * (1 + shared[g]) + rng.normal(0, r, n)
                                          for e, r, g in zip(branches, random, groups))
    assert got.combined == pytest.approx(drawn.std(), rel=0.01)


def test_correlated_quantities_beside_uncertainties():
    """JCGM 100:2008, H.2: resistance from correlated voltage, current and angle."""
    matrix = [[1, -0.36, 0.86], [-0.36, 1, -0.65], [0.86, -0.65, 1]]
    values = [(4.999, 0.0032), (0.019661, 0.0000095), (1.04446, 0.00075)]
    v, i, phi = correlated_values_norm(values, numpy.array(matrix))
    volts, amps, angle = (x for x, _ in values)
    c, s = math.cos(angle), math.sin(angle)
    cases = [(v / i * umath.cos(phi), [c / amps, -volts * c / amps**2, -volts * s / amps]),
             (v / i * umath.sin(phi), [s / amps, -volts * s / amps**2, volts * c / amps]),
             (v / i, [1 / amps, -volts / amps**2, 0])]
    for quantity, slopes in cases:
        assert blondel.propagate(slopes, [u for _, u in values], matrix) == pytest.approx(quantity.std_dev, rel=1e-6)
    with pytest.raises(blondel.RangeError):
        blondel.propagate([1, 1, 1], [1, 1, 1], [[1, -1, -1], [-1, 1, -1], [-1, -1, 1]])


def classes(site, ct="0.5", meter="0.5S"):
    draft = site.draft()
    for kind, name in (("ct_type", ct), ("profile", meter)):
        for i in site.ids(kind):
            draft.set(kind, i, "accuracy_class", name)
    return draft.freeze()


def test_points_and_sums_of_a_record(mill):
    view = classes(mill).view()
    point = next(p for p in view.point.values() if p.elements)
    n = len(point.elements)
    amps = [0.5 * 1.0 * view.ct_type[view.ct[next(iter(view.channel[c].cts))].type].primary_amps
            for c in point.elements]
    got = blondel.point_uncertainty(view, point.id, [1000] * n, amps)
    one = blondel.power_uncertainty(1000, ct=blondel.accuracy_limits("ct", "0.5", 50),
                                    meter=blondel.accuracy_limits("meter", "0.5S", 50))
    assert got.watts == 1000 * n
    # CTs by squares, the one meter in line.
    assert got.uncertainty == pytest.approx(math.hypot(math.sqrt(n) * one.watts_ct, n * one.watts_meter))
    assert got.from_memory
    with pytest.raises(blondel.AbsentError):
        blondel.point_uncertainty(view, point.id, [1000] * n, [0.01] * n)
    with pytest.raises(blondel.Error):
        blondel.point_uncertainty(view, point.id, [1000] * (n + 1), [1] * (n + 1))
    rollup = next(r for r in view.rollup.values() if r.against)
    energies = {p.id: 100.0 for p in view.point.values()}
    total = blondel.rollup_uncertainty(view, rollup.id, energies, percent=50, shared_percent=0.3)
    assert total.has_main and total.difference == pytest.approx(total.sum - total.main)
    assert total.difference_combined > 0
    none = blondel.rollup_uncertainty(view, rollup.id, energies, percent=50)
    assert none.sum_shared == 0 and none.difference_combined < total.difference_combined
    with pytest.raises(blondel.AbsentError):
        blondel.rollup_uncertainty(view, rollup.id, {}, percent=50)
    without = mill.draft()
    for i in mill.ids("profile"):
        without.clear("profile", i, "accuracy_class")
    with pytest.raises(blondel.AbsentError) as refused:
        blondel.point_uncertainty(without.freeze().view(), point.id, [1000] * n, amps)
    assert refused.value.items[0].pointer.endswith("/accuracy_class")


def test_references_and_sequence():
    wye = blondel.Arrangement("four_wire_wye")
    found = blondel.recognise_references(wye, 120, {"A-N": 208, "B-N": 120, "C-N": 208, "A-B": 120, "B-C": 120,
                                                    "C-A": 208})
    assert [(e.landing, e.terminals) for e in found] == [("neutral_exchanged", "A=A B=N C=C N=B")]
    healthy = blondel.recognise_references(wye, 120, {"A-N": 120, "B-N": 120, "C-N": 120, "A-B": 208,
                                                      "B-C": 208, "C-A": 208})
    assert {e.landing for e in healthy} == {"right", "swapped", "rotated", "neutral_floating"}
    assert all(e.next for e in healthy)
    cross = blondel.cross_references(120, [[62, 232, 170], [170, 62, 232], [232, 170, 62]])
    assert [e.landing for e in cross] == ["foreign"]
    phasors = [cmath.rect(120, math.radians(d)) for d in (5, 125, -115)]
    assert blondel.phase_sequence(phasors).sequence == "ACB"
    assert blondel.phase_sequence_indicator(180, 48) == "ABC"
    with pytest.raises(blondel.AbsentError):
        blondel.recognise_references(wye, 120)
    with pytest.raises(blondel.RangeError):
        blondel.recognise_references(wye, 120, {"A-D": 1})
