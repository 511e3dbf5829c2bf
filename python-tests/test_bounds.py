"""Bounds, other uses of channels, faults and look-alikes, against SciPy's optimiser and plain algebra."""

import math
from fractions import Fraction

import numpy as np
import pytest
from scipy.optimize import linprog, minimize

import blondel
from blondel import Arrangement, Form, Hypotheses

WYE = [("ABCN", "two_wattmeter"), ("ABCN", "two_and_a_half_element"), ("ABCN", "virtual_third_current"),
       ("ABCN", "one_ct_tripled"), ("ABCN", "two_cts_for_three"), ("ABN", "opposed_ct_line_to_line"),
       ("ABN", "opposed_ct_line_to_neutral"), ("AB", "one_ct_doubled")]
SPREAD = {"A": 4.0, "B": 6.0, "C": 5.0}


def arranged(load, name, service="four_wire_wye"):
    return Arrangement(service, load).use(name).form()


def worst_found(form, volts, amps, spread, rounds, seed):
    """The greatest error that a general optimiser finds, over magnitudes and angles of voltages and currents."""
    load = [c.terminal for c in form.conductors]
    free = len(load) - 1
    names = sorted(spread)
    rng = np.random.default_rng(seed)

    def state(x):
        current = [a * math.sin(m) * np.exp(1j * p) for a, m, p in zip(amps, x[:free], x[free:2 * free])]
        current.append(-sum(current))
        y = x[2 * free:]
        at = dict(volts)
        for name, m, p in zip(names, y[:len(names)], y[len(names):]):
            at[name] = volts[name] + spread[name] * math.sin(m) * np.exp(1j * p)
        return at, current

    def negative_error(x):
        at, current = state(x)
        over = max(0.0, abs(current[-1]) - amps[-1]) if math.isfinite(amps[-1]) else 0.0
        total = 0j
        for element in form.elements:
            v = sum(float(c) * at[t] for t, c in element.volts.items())
            i = sum(float(c) * current[k] for k, c in enumerate(element.amps))
            total += float(element.weight) * v * np.conj(i)
        total -= sum(at[t] * np.conj(i) for t, i in zip(load, current))
        return -abs(total) + 1e6 * over

    best = 0.0
    for _ in range(rounds):
        start = rng.uniform(-math.pi, math.pi, 2 * free + 2 * len(names))
        best = max(best, -minimize(negative_error, start, method="L-BFGS-B").fun)
    return best


OTHER = {
    "high leg, summed currents": lambda: arranged("ABCN", "two_and_a_half_element", "high_leg_delta"),
    "high leg, two elements": lambda: arranged("ABCN", "high_leg_two_element", "high_leg_delta"),
    "centre tap, opposed CT": lambda: arranged("ABN", "opposed_ct_line_to_line", "single_phase_three_wire"),
    "one of one's own": lambda: Arrangement("four_wire_wye", "ABCN").element("A-B", [1, 0, -1, 0], Fraction(2, 3))
        .element("C-N", [0, 1, 1, 0]).form(),
    "reversed and moved": lambda: arranged("ABCN", "line_to_neutral").fault("reversed", 0).fault("on_conductor", 1, 1, 2),
    "leads rotated": lambda: arranged("ABCN", "line_to_neutral").fault("volts_rotated"),
}


@pytest.mark.parametrize("load, name", [*WYE, *((None, name) for name in OTHER)])
def test_an_optimiser_stays_below_the_bound_and_comes_near_it(load, name, record_property):
    form = OTHER[name]() if load is None else arranged(load, name)
    load = "".join(c.terminal for c in form.conductors)
    amps = [40.0, 25.0, 60.0, math.inf][:len(load) - 1] + [math.inf]
    volts = form.nominal_volts(230)
    spread = {k: v for k, v in SPREAD.items() if k in load}
    bound = form.bound(volts, amps, spread)
    found = worst_found(form, volts, amps, spread, 4, 7)
    print(f"{name}: bound {bound.total:.1f} VA, library attains {bound.attained:.1f}, optimiser {found:.1f}")
    record_property("ratio", found / bound.total)
    assert found <= bound.total * (1 + 1e-6)
    assert found >= 0.7 * bound.total
    assert bound.attained >= 0.7 * bound.total
    assert bound.attained_at_voltages == pytest.approx(bound.at_voltages, abs=1e-6)


def test_real_weighted_medians_equal_a_linear_programme():
    # min over x of sum J |r - x| is a linear programme; a row of the residual is real, so from_spread is a sum of such.
    form = arranged("ABCN", "two_cts_for_three")
    amps = [40.0, 25.0, 60.0, 50.0]
    volts = form.nominal_volts(230)
    rows = {t: [0.0] * 4 for t in "ABCN"}
    for e in form.elements:
        for t, a in e.volts.items():
            for k, b in enumerate(e.amps):
                rows[t][k] += float(e.weight * a * b)
    for k, t in enumerate("ABCN"):
        rows[t][k] -= 1
    total = 0.0
    for t, eta in SPREAD.items():
        cost = [0.0, *amps]
        above = [[-1 if j == 0 else -(j == k + 1) for j in range(5)] for k in range(4)]
        below = [[1 if j == 0 else -(j == k + 1) for j in range(5)] for k in range(4)]
        limit = [-r for r in rows[t]] + rows[t]
        result = linprog(cost, A_ub=above + below, b_ub=limit, bounds=[(None, None)] + [(0, None)] * 4)
        total += eta * result.fun
    assert form.bound(volts, amps, SPREAD).from_spread == pytest.approx(total)


def test_complex_weights_at_measured_voltages():
    form = arranged("AB", "one_ct_doubled")
    rng = np.random.default_rng(2)
    volts = {"A": 118 + 3j, "B": -55 - 104j, "N": 0j}
    (weight,) = form.recompute(volts)
    current = rng.normal(size=50) + 1j * rng.normal(size=50)
    channel = volts["A"] * current.conj()
    truth = (volts["A"] - volts["B"]) * current.conj()
    assert np.allclose(weight * channel, truth)
    assert form.bound(volts, [10, 10], weights=[weight]).total == pytest.approx(0, abs=1e-9)
    (nominal,) = form.recompute()
    assert nominal == pytest.approx(1.5 + 0.5j * math.sqrt(3))
    off = {k: v for k, v in volts.items() if k != "B"}
    assert form.recompute(off) is None


def test_other_uses_of_channels():
    wrong = (Arrangement("four_wire_wye", "ABN").element("A-N", {0: 1}).element("C-N", {1: 1})).form()
    assert "repoint" in wrong.reuse("ABCN")
    assert [p.volts for p in wrong.repoint("ABCN")] == [None, "B-N"]
    assert arranged("ABN", "both_legs_one_ct").reuse("ABCN") == frozenset()
    assert arranged("ABCN", "line_to_neutral").reuse() == {"as_is"}
    assert wrong.words("correction").startswith("S = S1 − (0.5−j0.866)·S2")
    assert "exact" not in wrong.words("correction")


def test_a_fault_keeps_what_is_configured_and_composes():
    form = arranged("ABCN", "line_to_neutral")
    assert set(blondel.fault_kinds()) >= {"reversed", "floating", "also_round"}
    twice = form.fault("reversed", 1).fault("reversed", 1)
    assert twice.exact and twice.elements == form.elements
    assert form.fault("floating", x="N").words("error") == "−E·I_Σ*"
    assert form.fault("reversed", 0).words("correction") == "S = −S1 + S2 + S3, exact for every load"
    with pytest.raises(blondel.errors.UnknownNameError):
        form.fault("upside_down", 0)
    with pytest.raises(blondel.errors.RangeError):
        form.fault("reversed", 9)


def test_look_alikes_are_computed():
    form = arranged("ABCN", "line_to_neutral")
    all48 = Hypotheses(form, ("reversed", "each_once"))
    assert len(all48) == 48
    assert all48.classes("total", "balanced").count == 19
    assert all48.classes("shape", "balanced").count == 8
    assert all48.words(0) == "as recorded"
    factors = {complex(round(z.real, 9), round(z.imag, 9)) for z in (all48.form(i).balanced() for i in range(48))}
    assert len(factors) == 19
    two = Hypotheses(arranged("ABC", "two_wattmeter", "three_wire_delta"), ("reversed", "each_once"))
    assert (len(two), two.classes("total", "balanced").count) == (24, 19)
    pair = Hypotheses(arranged("AB", "line_to_neutral"))
    found = pair.classes()
    exchanged, both = [
        next(i for i in range(16) if [(p.on, p.sign) for p in (pair.placement(i, 0), pair.placement(i, 1))] == wanted)
        for wanted in ([(1, 1), (0, 1)], [(0, -1), (1, -1)])
    ]
    assert found.of[exchanged] == found.of[both] != found.of[0]
    z = all48.reads(0, 1)
    assert z[1] == pytest.approx(np.exp(-2j * np.pi / 3))
    assert [z[k] for k in (0, 2, 3)] == [0, 0, 0]
    with pytest.raises(blondel.errors.FieldValueError):
        all48.classes("shape", "any")
    assert isinstance(pair.form(3), Form)


def test_limits_of_corrections():
    assert blondel.correction_limit(1000, 0.02, [2, 1], [3, 4]) == pytest.approx(1000 * 0.02 + 2 * (6 + 4))
    x, y = 120 + 0j, 120 * np.exp(-2j * np.pi / 3)
    spread = blondel.ratio_spread(x, y, 3, 2)
    turns = np.exp(1j * np.linspace(0, 2 * np.pi, 73))
    changes = [abs((y + 2 * a) / (x + 3 * b) - y / x) for a in turns for b in turns]
    assert 0.95 * spread <= max(changes) <= spread * (1 + 1e-12)
    assert blondel.correction_curve(-0.5 + 0.5j * math.sqrt(3), [0, -30]) == [pytest.approx(-2), None]


def test_bad_limits_are_told():
    form = arranged("ABCN", "two_wattmeter")
    volts = form.nominal_volts(120)
    for amps, error in (([1, 1, 1, -1], blondel.errors.FieldValueError), ([1, math.inf, 1, math.inf], blondel.errors.AbsentError),
                        ([1, math.nan, 1, 1], blondel.errors.NotFiniteError), ([1, 1, 1], blondel.errors.ArgumentError)):
        with pytest.raises(error):
            form.bound(volts, amps)
    with pytest.raises(blondel.errors.AbsentError):
        arranged("ABCN", "floating_common").bound(volts, [1, 1, 1, 1])
