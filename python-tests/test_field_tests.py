"""Expected readings, phase test and tracing against NumPy and against the live check."""

import csv
import io
import itertools
import json
import math

import blondel
import numpy
import pytest


def demo(root):
    return blondel.Site.from_file(root / "examples/harbour-mill/site.json").view()


def test_the_sheet_foretells_what_the_live_check_holds_readings_to(root):
    view = demo(root)
    sheet = blondel.expected_readings(view)
    live = blondel.live_check(view, blondel.Readings.from_file(root / "examples/harbour-mill/readings.csv"))
    compared = 0
    for channel in live.channels:
        row = sheet[channel.channel]
        if channel.band_low_deg is None or row.state != "known":
            continue
        for low, high in ((channel.band_low_deg, row.angle_low_deg), (channel.band_high_deg, row.angle_high_deg)):
            assert abs(math.remainder(low - high, 360)) < 1e-6, channel
        if channel.proof == "right":
            middle = (row.angle_low_deg + row.angle_high_deg) / 2
            assert abs(math.remainder(channel.angle_deg - middle, 360)) <= (row.angle_high_deg - row.angle_low_deg) / 2
            assert channel.watts * row.sign >= 0
        compared += 1
    assert compared > 40


def test_a_load_of_the_least_power_is_judged_and_a_smaller_one_is_not(root):
    view = demo(root)
    judged = 0
    for row in blondel.expected_readings(view):
        if row.state != "known" or row.circuit == "" or row.load_phases == 3:
            continue
        for factor, loaded in ((1.01, True), (0.99, False)):
            amps = row.gate_amps * factor
            angle = math.radians((row.angle_low_deg + row.angle_high_deg) / 2)
            readings = blondel.Readings([row.channel], amps=numpy.array([amps]), volts=numpy.array([row.volts]),
                                        watts=numpy.array([amps * row.volts * math.cos(angle)]),
                                        vars=numpy.array([amps * row.volts * math.sin(angle)]))
            channel = next(c for c in blondel.live_check(view, readings).channels if c.channel == row.channel)
            assert channel.loaded is loaded, row
            assert channel.proof != "wrong"
        judged += 1
        if judged == 12:
            break
    assert judged == 12


def test_sheet_as_text_table_and_frame(root):
    sheet = blondel.expected_readings(demo(root))
    table = list(csv.DictReader(io.StringIO(sheet.csv())))
    assert [r["channel"] for r in table] == [r.channel for r in sheet]
    for cells, row in zip(table, sheet, strict=True):
        assert cells["state"] == row.state
        if row.state == "known":
            assert abs(float(cells["angle_low_deg"]) - row.angle_low_deg) < 1e-6
            assert abs(float(cells["least_watts"]) - row.least_watts) < 1e-5
    text = sheet.text()
    assert all(row.channel in text for row in sheet)
    assert "does not prove a conductor dead" in text
    assert len(sheet.to_frame()) == len(sheet)
    with pytest.raises(KeyError):
        sheet["nobody"]
    with pytest.raises(blondel.ArgumentError):
        blondel.expected_readings(demo(root), blondel.Policy("energy"))


# Nominal potentials by service, written down here once more.
STAR = {c: numpy.exp(-2j * math.pi * k / 3) for k, c in enumerate("ABC")}
PLACES = {
    "single_phase_two_wire": (230, {"A": 1, "N": 0}),
    "single_phase_three_wire": (120, {"A": 1, "B": -1, "N": 0}),
    "two_legs_of_wye": (120, {"A": STAR["A"], "B": STAR["B"], "N": 0}),
    "four_wire_wye": (277, {**STAR, "N": 0}),
    "three_wire_delta": (480 / math.sqrt(3), STAR),
    "high_leg_delta": (120, {"A": 1, "B": -1j * math.sqrt(3), "C": -1, "N": 0}),
    "corner_grounded_delta": (240 / math.sqrt(3), {**STAR, "G": STAR["B"]}),
}


def service_view(kind, unit):
    between = kind in ("three_wire_delta", "corner_grounded_delta")
    record = {"kind": kind, "volts_ll" if between else "volts_ln": unit * (math.sqrt(3) if between else 1)}
    site = {"blondel": "1", "services": {"S": record}, "panels": {"P": {"service": "S", "spaces": 42}}}
    return blondel.Site.read(json.dumps(site)).view()


@pytest.mark.parametrize("kind", PLACES)
def test_every_phase_of_every_service_is_told(kind):
    unit, places = PLACES[kind]
    view = service_view(kind, unit)
    random = numpy.random.default_rng(4)
    phases = [p for p in places if p in "ABC"]
    for place in phases:
        for _ in range(20):
            readings = [("x", ref, abs(places[place] - v) * unit * random.uniform(0.96, 1.04) + random.uniform(0, 2))
                        for ref, v in places.items()]
            random.shuffle(readings)
            row = blondel.phase_test(view, readings).conductors[0]
            assert (row.verdict, row.phase) == ("proven", place)


def test_the_constant_rotation_of_a_bus_is_solved_for():
    view = service_view("four_wire_wye", 120)
    for order in itertools.permutations("ABC"):
        readings = [(f"P/{space}", ref, abs(STAR[order[row % 3]] - STAR[ref]) * 120)
                    for row, space in enumerate((1, 3, 6, 8)) for ref in "ABC"]
        test = blondel.phase_test(view, readings)
        panel = test.panels[0]
        assert panel.measured == "".join(order)
        assert panel.verdict == ("as_recorded" if order == ("A", "B", "C") else "rotated")
        assert panel.agree == panel.tested == 4


def test_phase_test_refuses_and_tells():
    view = service_view("four_wire_wye", 120)
    with pytest.raises(blondel.Error):
        blondel.phase_test(view, [("A", "B", 1)])
    with pytest.raises(blondel.NoEntityError):
        blondel.phase_test(view, [("x", "B", 1)], service="nobody")
    assert blondel.phase_test(view, []).conductors == ()
    test = blondel.phase_test(view, [("x", "N", 120)])
    assert test.conductors[0].next.startswith("measure to A: about 0 V means A")
    assert "zero does not prove" in test.text()
    assert len(test.to_frame()) == 1


def test_probabilities_are_those_of_bayes():
    random = numpy.random.default_rng(8)
    plan = blondel.Trace([f"b{i}" for i in range(11)], check="detect")
    words = numpy.array([[int(x) for x in b.word] for b in plan.breakers])
    words = numpy.vstack([numpy.zeros(plan.steps, int), words])
    noise, wander, wild = 0.05, 0.02, 0.01
    for _ in range(60):
        true = words[random.integers(len(words))]
        amps = random.uniform(0.5, 4)
        before = amps + random.normal(0, 0.1, plan.steps)
        off = numpy.abs(before * (1 - true) + random.normal(0, 0.35, plan.steps))
        row = plan.decode([("k", s + 1, before[s], off[s]) for s in range(plan.steps)])[0]
        if row.cause in ("no_load", "two_breakers"):
            continue
        sigma = numpy.hypot(noise, wander * before) * math.sqrt(2)
        use = before >= 5 * sigma
        left, sigma = off / before, sigma / before

        def likelihood(mean):
            z = (left - mean) / sigma
            return numpy.log((1 - wild) * numpy.exp(-z * z / 2) / (sigma * math.sqrt(2 * math.pi)) + wild / 2)

        score = numpy.where(words == 1, likelihood(0), likelihood(1))[:, use].sum(axis=1)
        best = numpy.sort(score)[::-1]
        assert row.probability == pytest.approx(1 / numpy.exp(score - best[0]).sum(), rel=1e-9)
        assert row.nats == pytest.approx(best[0] - best[1], rel=1e-9, abs=1e-9)


def test_plans_of_the_demo(root):
    view = demo(root)
    plain = blondel.Trace.of_view(view, check="plain")
    assert plain.steps == plain.least_steps == math.ceil(math.log2(plain.traced + 1))
    assert all(b.why for b in plain.breakers if not b.word)
    one = blondel.Trace.of_view(view, check="plain", most_off=1)
    assert one.steps == one.traced
    assert "Never switch off life safety" in plain.text()
    with pytest.raises(IndexError):
        plain.off(0)


def test_natural_steps_find_the_poles_of_one_circuit():
    random = numpy.random.default_rng(2)
    on = random.integers(0, 2, 60).repeat(10)
    amps = {name: 5.0 * on + random.normal(0, 0.03, on.size) for name in ("K1", "K2", "K3")}
    amps["K4"] = 5.0 * random.integers(0, 2, 60).repeat(10) + random.normal(0, 0.03, on.size)
    found = blondel.natural_steps(amps, [("boiler", int(at)) for at in numpy.flatnonzero(numpy.diff(on))[:6] + 1])
    assert found.together == [["K1", "K2", "K3"]]
    assert {m["channel"] for m in found.matches} == {"K1", "K2", "K3"}
