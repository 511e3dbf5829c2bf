"""The metering form through the binding."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import blondel
from blondel import Arrangement, Form

WYE = {"A": 120, "B": 120 * np.exp(-2j * np.pi / 3), "C": 120 * np.exp(2j * np.pi / 3)}


def test_named_arrangements_are_named():
    names = Arrangement.names()
    assert "two_wattmeter" in names
    assert all(names.values())


def test_two_wattmeters_on_three_wires():
    form = Arrangement("four_wire_wye", "ABC").use("two_wattmeter").form()
    assert form.built and form.exact
    assert form.fewest_elements == 2
    assert not any(x for row in form.residual.matrix for x in row)
    assert form.words("error") == "0"
    assert form.words() and form.words("registered")


def test_the_same_on_four_wires_is_not_exact():
    form = (Arrangement("four_wire_wye", "ABCN").element("A-B", {0: 1}).element("C-B", {2: 1})).form()
    assert not form.exact
    assert form.fewest_elements == 3
    residual = form.residual
    assert any(x for row in residual.matrix for x in row)
    assert all(isinstance(x, Fraction) for row in residual.matrix for x in row)
    assert len(residual.matrix) == len(residual.terminals)
    assert all(len(row) == len(residual.conductors) for row in residual.matrix)
    assert form.realise() is None


def test_weights_that_make_it_exact():
    form = Arrangement("four_wire_wye", "AN").element("A-N", [1, 0], Fraction(1, 2)).form()
    assert not form.exact
    assert form.realise() == ((Fraction(1),), True)
    assert form.elements[0].volts == {"A": 1, "N": -1}
    assert form.elements[0].weight == Fraction(1, 2)


def test_registration_of_one_doubled_ct():
    """One CT doubled on two legs of a wye: 1 - j/sqrt(3) (circuit laws)."""
    form = Arrangement("two_legs_of_wye", "AB").element("A-N", {0: 1}, 2).form()
    factor = form.registration(0, 1)
    assert factor == pytest.approx(complex(1, -1 / np.sqrt(3)), abs=1e-12) or factor == pytest.approx(
        complex(1, 1 / np.sqrt(3)), abs=1e-12)
    nominal = form.nominal
    assert nominal.without <= nominal.right


def test_a_split_phase_leg_doubled_is_right_at_nominal():
    form = Arrangement("single_phase_three_wire", "AB").element("A-N", {0: 1}, 2).form()
    assert not form.exact
    assert form.registration() == pytest.approx(1)
    assert 1 in form.nominal.right


@given(st.integers(0, 2**32))
def test_exact_forms_register_the_truth_of_any_phasors(seed):
    random = np.random.default_rng(seed)

    def phasors():
        return random.normal(size=50) + 1j * random.normal(size=50)

    form = Arrangement("four_wire_wye", "ABCN")
    for k, name in enumerate("ABC"):
        form.element(f"{name}-N", {k: 1})
    form = form.form()
    v = {name: phasors() for name in "ABCN"}
    i = [phasors() for _ in range(3)]
    result = form.evaluate(v, [*i, None], elements=True)
    truth = sum((v[name] - v["N"]) * i[k].conj() for k, name in enumerate("ABC"))
    np.testing.assert_allclose(result.registered, truth, rtol=1e-12, atol=1e-12)
    np.testing.assert_allclose(result.truth, truth, rtol=1e-12, atol=1e-12)
    np.testing.assert_allclose(sum(result.elements), truth, rtol=1e-12, atol=1e-12)


def test_evaluate_takes_strided_columns_and_single_numbers():
    form = Arrangement("four_wire_wye", "ABC").use("two_wattmeter").form()
    table = np.zeros((5, 3), complex)
    table[:, 0], table[:, 1] = 10, -4
    table[:, 2] = -table[:, 0] - table[:, 1]
    volts = {name: np.full(5, v, complex) for name, v in WYE.items()}
    columns = form.evaluate(volts, list(table.T))
    one = form.evaluate(WYE, {0: 10, 1: -4})
    assert columns.registered.shape == (5,)
    np.testing.assert_allclose(columns.registered, np.full(5, one.registered[0]))
    np.testing.assert_allclose(one.registered, one.truth)
    assert columns.elements == ()
    single = form.evaluate({k: v.astype(np.complex64) for k, v in volts.items()}, list(table.T))
    np.testing.assert_allclose(single.registered, columns.registered, rtol=1e-5)


def test_a_phasor_that_is_not_finite_is_absent():
    form = Arrangement("four_wire_wye", "ABC").use("two_wattmeter").form()
    volts = {name: np.full(2, v, complex) for name, v in WYE.items()}
    volts["A"][1] = np.nan
    result = form.evaluate(volts, {0: np.ones(2, complex), 1: np.zeros(2, complex)})
    assert np.isfinite(result.registered[0])
    assert np.isnan(result.registered[1])


def test_evaluate_refuses_what_does_not_fit():
    form = Arrangement("four_wire_wye", "ABC").use("two_wattmeter").form()
    with pytest.raises(blondel.RangeError):
        form.evaluate(WYE, {0: 1, 7: 1})
    with pytest.raises(blondel.RangeError):
        form.evaluate({"Z": 1}, {0: 1, 1: 1})
    with pytest.raises(blondel.RangeError):
        form.evaluate({**WYE, "A": np.ones(3, complex)}, {0: np.ones(2, complex), 1: 0})
    with pytest.raises(blondel.Error):
        form.evaluate({}, {0: 1, 1: 1})
    with pytest.raises(blondel.Error):
        form.evaluate(WYE, {0: 1})


def test_arrangements_refuse_nonsense():
    with pytest.raises(blondel.UnknownNameError):
        Arrangement("seven_phase")
    with pytest.raises(blondel.FieldValueError):
        Arrangement("three_wire_delta", "AN")
    with pytest.raises(blondel.UnknownNameError):
        Arrangement("four_wire_wye", "ABCN").use("by_hope")
    with pytest.raises(blondel.FieldValueError):
        Arrangement("four_wire_wye", "AN").element({"A": 1}, {0: 1})
    with pytest.raises(blondel.FieldTypeError):
        Arrangement("four_wire_wye", "AN").element("A-N", {0: 0.5})
    with pytest.raises(blondel.RangeError):
        Arrangement("four_wire_wye", "AN").element("A-N", {5: 1})
    with pytest.raises(blondel.StateError):
        Arrangement("four_wire_wye").form()


def test_floating_common():
    arrangement = Arrangement("four_wire_wye", "ABC")
    star = arrangement.floating()
    for k, name in enumerate("ABC"):
        arrangement.element({name: 1, star: -1}, {k: 1})
    assert arrangement.form().exact


def test_every_point_of_the_demo_has_an_exact_form(mill):
    view = mill.view()
    for point in view.point:
        form = Form.of_point(view, point)
        assert form.built, (point, form.notes)
        assert form.exact, (point, form.words())
        assert {c.circuit for c in form.conductors if c.counted} <= set(view.point[point].circuits)
        assert {e.channel for e in form.elements} == set(view.point[point].elements)
        assert form.as_dict()


def test_a_point_of_which_nothing_is_known():
    view = blondel.Draft().add("point", "P").freeze().view()
    form = Form.of_point(view, "P")
    assert not form.built
    assert any(note.stops for note in form.notes)
    with pytest.raises(blondel.StateError):
        _ = form.exact
    with pytest.raises(blondel.NoEntityError):
        Form.of_point(view, "Q")
