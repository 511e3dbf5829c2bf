"""The closed forms of the trade, worked out by plain complex arithmetic, against the form: errors of arrangements, factors
of wrong channels, and the 48 and 24 wirings of a point. Formulas follow from circuit laws (docs/theory/form.md); the
two anchors 75 % and 100 % of one element with the line voltage on two legs of a wye are those of training pages of
meteringforlinemen.com."""

import itertools
import math

import numpy as np
import pytest

import blondel
from blondel import Arrangement, Hypotheses

ROWS = 200
TURN = np.exp(-2j * np.pi / 3)
POWER_FACTORS = [1, 0.99, 0.98, 0.95, 0.9, 0.85, 0.8, 0.5]


def tan_of(pf):
    return math.sqrt(1 - pf * pf) / pf


# load, arrangement, service, registered and error by terminal voltages and currents. E: potential of a floating common.
ARRANGEMENTS = [
    ("AN", "line_to_neutral", "single_phase_two_wire", lambda v, i: v.A * i.A, lambda v, i: 0),
    ("AB", "line_to_line", "four_wire_wye", lambda v, i: (v.A - v.B) * i.A, lambda v, i: 0),
    ("ABN", "line_to_line", "four_wire_wye", lambda v, i: (v.A - v.B) * i.A, lambda v, i: -v.B * (i.A + i.B)),
    ("ABN", "line_to_neutral", "single_phase_three_wire", lambda v, i: v.A * i.A + v.B * i.B, lambda v, i: 0),
    ("ABN", "opposed_ct_line_to_line", "single_phase_three_wire", lambda v, i: (v.A - v.B) / 2 * (i.A - i.B),
     lambda v, i: -(v.A + v.B) / 2 * (i.A + i.B)),
    ("ABN", "opposed_ct_line_to_neutral", "single_phase_three_wire", lambda v, i: v.A * (i.A - i.B),
     lambda v, i: -(v.A + v.B) * i.B),
    ("ABN", "both_legs_one_ct", "single_phase_three_wire", lambda v, i: v.A * (i.A + i.B), lambda v, i: (v.A - v.B) * i.B),
    ("AB", "one_ct_doubled", "four_wire_wye", lambda v, i: 2 * v.A * i.A, lambda v, i: (v.A + v.B) * i.A),
    ("ABCN", "two_wattmeter", "four_wire_wye", lambda v, i: (v.A - v.B) * i.A + (v.C - v.B) * i.C,
     lambda v, i: -v.B * (i.A + i.B + i.C)),
    ("ABCN", "floating_common", "four_wire_wye", lambda v, i: (v.A - v.E) * i.A + (v.B - v.E) * i.B + (v.C - v.E) * i.C,
     lambda v, i: -v.E * (i.A + i.B + i.C)),
    ("ABCN", "two_and_a_half_element", "four_wire_wye", lambda v, i: v.A * (i.A - i.B) + v.C * (i.C - i.B),
     lambda v, i: -(v.A + v.B + v.C) * i.B),
    ("ABCN", "virtual_third_current", "four_wire_wye", lambda v, i: v.A * i.A + v.C * i.C - v.B * (i.A + i.C),
     lambda v, i: -v.B * (i.A + i.B + i.C)),
    ("ABCN", "one_ct_tripled", "four_wire_wye", lambda v, i: 3 * v.A * i.A,
     lambda v, i: 2 * v.A * i.A - v.B * i.B - v.C * i.C),
    ("ABCN", "two_cts_for_three", "four_wire_wye", lambda v, i: 1.5 * (v.A * i.A + v.C * i.C),
     lambda v, i: (v.A * i.A + v.C * i.C) / 2 - v.B * i.B),
    ("ABCN", "high_leg_two_element", "high_leg_delta", lambda v, i: (v.A - v.C) / 2 * (i.A - i.C) + v.B * i.B,
     lambda v, i: -(v.A + v.C) / 2 * (i.A + i.C)),
    ("ABC", "two_wattmeter", "corner_grounded_delta", lambda v, i: (v.A - v.B) * i.A + (v.C - v.B) * i.C, lambda v, i: 0),
]


class Named:
    def __init__(self, values):
        self.__dict__.update(values)


@pytest.mark.parametrize("load, name, service, registered, error", ARRANGEMENTS,
                         ids=lambda x: x if isinstance(x, str) else "")
def test_arrangements_register_their_closed_form(load, name, service, registered, error):
    rng = np.random.default_rng(5)

    def phasors(scale):
        return scale * (rng.normal(size=ROWS) + 1j * rng.normal(size=ROWS))

    form = Arrangement(service, load).use(name).form()
    common = [t for e in form.elements for t in e.volts if t.startswith("floating")]
    volts = {t: phasors(200) for t in load if t != "N"}
    if "N" in load:
        volts["N"] = np.zeros(ROWS, complex)
    for t in set(common):
        volts[t] = phasors(30)
    amps = [phasors(20) for _ in load[:-1]]
    amps.append(-sum(amps))
    v = Named({t if len(t) == 1 else "E": x for t, x in volts.items()})
    i = Named({t: x.conj() for t, x in zip(load, amps)})
    got = form.evaluate(volts, amps)
    np.testing.assert_allclose(got.registered, registered(v, i), rtol=1e-12, atol=1e-8)
    np.testing.assert_allclose(got.registered - got.truth, error(v, i) + np.zeros(ROWS), rtol=1e-9, atol=1e-8)
    assert form.exact == (np.max(np.abs(error(v, i) + np.zeros(ROWS))) == 0)


def test_the_reference_may_be_moved_at_the_price_of_the_sum_of_currents():
    # sum (V_x - E) I_x* = S - E I_sum*
    form = Arrangement("four_wire_wye", "ABCN").use("floating_common").form()
    assert form.words("error") == "−E·I_Σ*"
    assert Arrangement("four_wire_wye", "ABC").use("floating_common").form().exact


@pytest.mark.parametrize("pf", POWER_FACTORS)
def test_one_ct_doubled_on_two_legs_of_a_wye(pf):
    t = tan_of(pf)
    for leads, sign in (("AB", 1), ("BA", -1)):
        form = Arrangement("four_wire_wye", leads).use("one_ct_doubled").form()
        factor = form.registration(0, 1)
        assert factor.real - factor.imag * t == pytest.approx(1 + sign * t / math.sqrt(3), abs=1e-12)
        assert abs(factor) == pytest.approx(2 / math.sqrt(3))
        # P_true = 3/4 (P_reg -+ Q_reg / sqrt 3): the complex weight in place of 2.
        (weight,) = form.recompute()
        assert weight / 2 == pytest.approx(0.75 * (1 + sign * 1j / math.sqrt(3)))
    split = Arrangement("single_phase_three_wire", "AB").use("one_ct_doubled").form()
    assert split.registration(0, 1) == pytest.approx(1)


@pytest.mark.parametrize("pf", POWER_FACTORS)
def test_one_element_with_the_line_voltage_on_two_legs_of_a_wye(pf):
    t, form = tan_of(pf), Arrangement("two_legs_of_wye", "ABN").use("opposed_ct_line_to_line").form()
    read = [f.real - f.imag * t for f in (form.registration(0, 2), form.registration(1, 2), form.registration(0, 1))]
    assert read == pytest.approx([0.75 - math.sqrt(3) / 4 * t, 0.75 + math.sqrt(3) / 4 * t, 1])
    assert (read[0] + read[1]) / 2 == pytest.approx(0.75)


def test_two_wattmeters_on_four_wires_by_phase():
    form = Arrangement("four_wire_wye", "ABCN").use("two_wattmeter").form()
    assert form.registration(1, 3) == pytest.approx(0)
    assert form.registration(0, 3) == pytest.approx(1.5 + 0.5j * math.sqrt(3))
    assert form.registration(2, 3) == pytest.approx(1.5 - 0.5j * math.sqrt(3))


@pytest.mark.parametrize("off", [-0.03, 0.01, 0.05])
def test_summed_currents_when_one_voltage_is_off(off):
    """V_B = V (1 + e): a balanced load reads -e/(3 + e) off, one all on B -e/(1 + e)."""
    form = Arrangement("four_wire_wye", "ABCN").use("two_and_a_half_element").form()
    volts = {"A": 120 + 0j, "B": 120 * (1 + off) * TURN, "C": 120 * TURN**2, "N": 0j}
    for amps, expected in (([volts[t] / 6 for t in "ABC"], None), ([0j, volts["B"] / 6, 0j], -off / (1 + off))):
        got = form.evaluate(volts, [*(np.array([a]) for a in amps), None])
        relative = (got.registered[0] - got.truth[0]) / got.truth[0]
        if expected is None:
            i = [120 / 6, 120 / 6 * TURN, 120 / 6 * TURN**2]  # a load of equal currents
            got = form.evaluate(volts, [*(np.array([a]) for a in i), None])
            relative = (got.registered[0] - got.truth[0]) / got.truth[0]
            expected = -off / (3 + off)
        assert relative == pytest.approx(expected, rel=1e-9)


def test_summed_currents_make_arithmetic_volt_amperes_wrong():
    """Currents I_A - I_B and I_C - I_B of a balanced load of power factor 1: 2 sqrt(3) / 3 of the true volt-amperes."""
    i = [1, TURN, TURN**2]
    assert (abs(i[0] - i[1]) + abs(i[2] - i[1])) / 3 == pytest.approx(1.1547, abs=5e-5)


# offset of the observed angle, P_true from registered P and Q
WAYS = {"right": (None, False, 0), "reversed": (None, True, 180), "next lagging": (1, False, 120),
        "next lagging, reversed": (1, True, -60), "next leading": (2, False, -120), "next leading, reversed": (2, True, 60)}


@pytest.mark.parametrize("pf", [1, 0.95, 0.9, 0.85, 0.8, 0.7, 0.5])
@pytest.mark.parametrize("way", WAYS)
def test_one_channel_on_the_wrong_conductor(way, pf):
    on, turned, offset = WAYS[way]
    form = Arrangement("four_wire_wye", "ABCN").use("line_to_neutral").form()
    if on is not None:
        form = form.fault("on_conductor", 0, 0, on)
    if turned:
        form = form.fault("reversed", 0)
    factor, phi = 3 * form.balanced(0), math.acos(pf)
    expected = math.cos(phi + math.radians(offset)) / pf
    assert factor.real - factor.imag * math.tan(phi) == pytest.approx(expected, abs=1e-12)
    (k,) = blondel.correction_curve(factor, [math.degrees(phi)])
    assert k is None if abs(expected) < 1e-12 else k == pytest.approx(1 / expected)
    # Exactly from P and Q: S_true = S_reg over the unit factor.
    p, q = factor.real - factor.imag * math.tan(phi), factor.imag + factor.real * math.tan(phi)
    weight = 1 / factor
    assert weight.real * p - weight.imag * q == pytest.approx(1)


def test_a_channel_that_looks_right_at_one_power_factor():
    form = Arrangement("four_wire_wye", "ABCN").use("line_to_neutral").form()
    factor = 3 * form.fault("on_conductor", 0, 0, 1).fault("reversed", 0).balanced(0)
    assert factor.real - factor.imag * math.tan(math.radians(30)) == pytest.approx(1)


def expected_total(on, sign):
    """Sum of V_x (s I_y)* over the elements, for a balanced load with V_x I_x* = 1/3."""
    return sum(s * np.conj(TURN**y / TURN**x) / 3 for x, (y, s) in enumerate(zip(on, sign)))


def placed(all_, h):
    count = len(all_.form(0).elements)
    spots = [all_.placement(h, e) for e in range(count)]
    return tuple(p.on for p in spots), tuple(p.sign for p in spots)


def classes_by(values):
    found = []
    for v in values:
        if not any(abs(v - f) < 1e-9 for f in found):
            found.append(v)
    return found


def test_48_wirings_of_three_elements_have_19_totals_and_8_families():
    form = Arrangement("four_wire_wye", "ABCN").use("line_to_neutral").form()
    all_ = Hypotheses(form, ("reversed", "each_once"))
    seen, by_class, of = set(), {}, all_.classes("total", "balanced").of
    for h in range(len(all_)):
        on, sign = placed(all_, h)
        seen.add((on, sign))
        factor = all_.form(h).balanced()
        assert factor == pytest.approx(expected_total(on, sign), abs=1e-12)
        by_class.setdefault(of[h], []).append(factor)
    assert seen == set(itertools.product(itertools.permutations(range(3)), itertools.product((1, -1), repeat=3)))
    assert len(by_class) == 19 == len(classes_by(f[0] for f in by_class.values()))
    assert all(np.ptp(np.abs(np.array(f) - f[0])) < 1e-12 for f in by_class.values())
    assert sorted(len(f) for f in by_class.values()) == [1] * 6 + [3] * 12 + [6]
    # All 48 leave the arithmetic volt-amperes alone, and fall into 8 families of 6 while the angle is not known.
    families = all_.classes("shape", "balanced")
    assert families.count == 8 and np.all(np.bincount(families.of) == 6)


TWO_ELEMENTS = {  # printed factors of the trade's table, 0.577 = 1/sqrt(3)
    "AC++": 1, "AC+-": 1j / math.sqrt(3), "AC-+": -1j / math.sqrt(3), "AC--": -1, "CA++": 0, "CA--": 0,
    "CA+-": -2j / math.sqrt(3), "CA-+": 2j / math.sqrt(3), "AB++": 0, "AB--": 0, "BC++": 0, "BC--": 0,
    "AB+-": 1 + 1j / math.sqrt(3), "BC-+": 1 - 1j / math.sqrt(3), "BA--": TURN.conj() * -1, "CB--": -TURN,
    "BA++": TURN.conj(), "CB++": TURN,
}


def test_24_wirings_of_two_elements_have_19_totals():
    form = Arrangement("three_wire_delta", "ABC").use("two_wattmeter").form()
    all_ = Hypotheses(form, ("reversed", "each_once"))
    assert len(all_) == 24
    assert all_.classes("total", "balanced").count == 19
    factors = {}
    for h in range(24):
        on, sign = placed(all_, h)
        factors["".join("ABC"[y] for y in on) + "".join("+" if s > 0 else "-" for s in sign)] = all_.form(h).balanced()
    assert len(classes_by(factors.values())) == 19
    for code, expected in TWO_ELEMENTS.items():
        assert factors[code] == pytest.approx(expected, abs=1e-12), code


def test_orders_at_which_summed_currents_fail():
    form = Arrangement("four_wire_wye", "ABCN").use("two_and_a_half_element").form()
    assert set(range(1, 16)) - form.nominal.right == {3, 6, 9, 12, 15}
    for h in range(1, 16):
        volts = form.nominal_volts(1, h)
        assert abs(volts["A"] + volts["B"] + volts["C"]) == pytest.approx(3 if h % 3 == 0 else 0, abs=1e-12)
    # An arrangement of one's own: the same elements by hand, and one that fails at every order but the third's.
    own = Arrangement("four_wire_wye", "ABCN").element("A-N", {0: 1, 1: -1}).element("C-N", {2: 1, 1: -1}).form()
    assert own.nominal == form.nominal and own.words("error") == form.words("error")
    assert own.reuse("ABCN") == form.reuse("ABCN")
