"""Faults seeded into published and measured sets of readings, which no simulator of ours has made.

Reversing or exchanging CTs is done to the phasors of the set: V_x (s I_y)*.
"""

import cmath
import csv
import gzip
import itertools
import json
import math
import os
from pathlib import Path

import numpy as np
import pytest

import blondel

DATA = os.environ.get("BLONDEL_DATA")
pytestmark = pytest.mark.skipif(not DATA, reason="BLONDEL_DATA not set")


def polar(magnitude, degrees):
    return cmath.rect(float(magnitude), math.radians(float(degrees)))


def table(name):
    path = Path(DATA) / name
    with (gzip.open(path, "rt", encoding="utf-8") if name.endswith(".gz") else path.open(encoding="utf-8")) as file:
        return list(csv.DictReader(file))


def record(service, circuits, rating):
    """A record with one point for each circuit: id -> (poles, references, neutral, load or None)."""
    out = {"blondel": "1", "services": {"s": service}, "panels": {"panel": {"service": "s"}}, "circuits": {},
           "ct_types": {"t": {"primary_amps": rating, "secondary": 100, "output": "milliamps", "accuracy_class": "1",
                              "mark_faces": "source"}},
           "cts": {}, "profiles": {"m": {"references": ["A", "B", "C", "N"] if service["kind"] != "single_phase_two_wire"
                                         else ["A", "N"]}}, "devices": {}, "channels": {}, "points": {}}
    for id, (poles, references, neutral, load) in circuits.items():
        # A device for each point: they are different buildings.
        out["devices"][f"d{id}"] = {"profile": "m", "service": "s"}
        out["circuits"][id] = {"panel": "panel", "phases": poles, "breaker_amps": rating, "neutral": neutral}
        if load:
            out["circuits"][id]["load"] = load
        for e, reference in enumerate(references):
            out["cts"][f"{id}{e}"] = {"type": "t", "passes": {f"{id}:{e + 1}": 1}, "mark_faces": "source"}
            out["channels"][f"{id}{e}"] = {"device": f"d{id}", "input": e + 1, "cts": {f"{id}{e}": 1},
                                           "reference": reference, "primary_amps": rating, "secondary": 100}
        out["points"][id] = {"circuits": [id], "elements": {f"{id}{e}": 1 for e in range(len(references))}}
    return blondel.Site.read(json.dumps(out))


def proved(site, powers):
    """`powers`: channel -> (volts, complex power)."""
    volts, power = zip(*powers.values(), strict=True)
    return blondel.prove(site, blondel.Readings(
        list(powers), volts=np.abs(volts), watts=np.real(power).copy(), vars=np.imag(power).copy()))


def wirings():
    """Words, positions and signs of the currents: as published, each reversed, each pair exchanged, all reversed."""
    yield "as recorded", (0, 1, 2), (1, 1, 1)
    for e in range(3):
        yield f"element {e + 1} reversed", (0, 1, 2), tuple(-1 if i == e else 1 for i in range(3))
    for a, b in itertools.combinations(range(3), 2):
        on = [0, 1, 2]
        on[a], on[b] = b, a
        yield f"element {a + 1} on {'ABC'[b]}; element {b + 1} on {'ABC'[a]}", tuple(on), (1, 1, 1)


def three_phase_sets():
    """Service, whether a neutral goes to the load, rating, voltages to neutral and currents."""
    balanced = {"kind": "four_wire_wye", "volts_ln": 2000}
    volts = {r["id"]: [polar(r[f"volt_{k}"], r[f"deg_{k}"]) for k in "ABC"]
             for r in table("ieee_feeders/ieee4_balanced_grYgrY_sdpf_volts_phase.csv")}
    for r in table("ieee_feeders/ieee4_balanced_grYgrY_sdpf_current_flow.csv"):
        if r["to"] == "4":
            yield "IEEE 4-node, grounded wye", balanced, True, 1500, volts["4"], [
                polar(r[f"amp_out_I_ph{k}"], r[f"deg_out_I_ph{k}"]) for k in (1, 2, 3)]
    rows = table("ieee_feeders/ieee4_open_wye_open_delta_opendss_branch_LINE2_at_N3.csv")
    for case in ("OYODBal", "OYODUnBal"):
        here = [r for r in rows if r["case"] == case]
        yield f"IEEE 4-node, {case}", {"kind": "four_wire_wye", "volts_ln": 2300}, False, 800, [
            cmath.rect(float(r["V"]), float(r["V_angle_rad"])) for r in here], [
            cmath.rect(float(r["I"]), float(r["I_angle_rad"])) for r in here]
    p = {r["symbol"]: polar(r["magnitude"], r["angle_deg"]) for r in table("ieee_4wire_delta/published_phasors.csv")
         if r["connection"] == "grounded_wye_delta"}
    yield "IEEE four-wire delta, motor", {"kind": "high_leg_delta", "volts_ln": 120, "high_leg": "C"}, False, 100, [
        p["VLan"], -p["VLnb"], p["VLca"] + p["VLan"]], [p["IMa"], p["IMb"], p["IMc"]]


def test_three_phase_sets():
    seen = 0
    for name, service, neutral, rating, volts, amps in three_phase_sets():
        cases = list(wirings())
        site = record(service, {f"c{i}": ("ABC", ("A-N", "B-N", "C-N"), neutral, "motor") for i in range(len(cases))},
                      rating)
        powers = {f"c{i}{e}": (volts[e], volts[e] * (sign[e] * amps[on[e]]).conjugate())
                  for i, (_, on, sign) in enumerate(cases) for e in range(3)}
        proof = proved(site, powers)
        for i, (words, _, _) in enumerate(cases):
            point = proof[f"c{i}"]
            first = [m.words for m in point.classes[0].members] if point.classes else []
            said = (name, words, point.verdict, first, point.evidence)
            assert words in first, said
            assert point.verdict == "wrong" if i else point.verdict in ("proven", "likely"), said
            seen += 1
    assert seen == 4 * 7


def test_customers_of_a_low_voltage_feeder():
    """IEEE European LV feeder: 55 customers of known phase at power factor 0.95, at the greatest load of the day."""
    loads = table("ieee_european_lv/loads.csv")
    profiles = table("ieee_european_lv/load_profiles_1min_kW.csv")
    peak = {r["name"]: max(float(row[r["name"]]) for row in profiles) * 1000 for r in loads}
    site = record({"kind": "four_wire_wye", "volts_ln": 230},
                  {r["name"]: (r["phase"], (f"{r['phase']}-N",), True, "mixed") for r in loads}, 60)
    phi = math.acos(0.95)
    powers, wrong = {}, {}
    for i, r in enumerate(loads):
        s = cmath.rect(peak[r["name"]] / 0.95, phi)
        if i % 3 == 1:
            s, wrong[r["name"]] = -s, "element 1 reversed"
        elif i % 3 == 2:
            # On the next phase: its current lags the reference by 120 degrees more.
            next_phase = "ABC"["ABC".index(r["phase"]) - 2]
            s *= cmath.rect(1, math.radians(120))
            wrong[r["name"]] = f"element 1 on {next_phase} of another circuit"
        powers[r["name"] + "0"] = (230, s)
    proof = proved(site, powers)
    named = 0
    for p in proof.points:
        if p.point not in wrong:
            assert p.verdict in ("proven", "likely"), (p.point, p.verdict, p.evidence)
        else:
            assert p.verdict in ("wrong", "open"), (p.point, p.verdict, p.evidence)
            named += any(wrong[p.point] in m.words for m in p.classes[0].members)
    assert len(wrong) == 36 and named >= 35


def test_a_household_main():
    """Measured V, P and Q of a household (UCI "Individual household electric power consumption"), as found and reversed."""
    rows = [r for r in table("uci_household/household_power_2006-12-16_to_24.csv.gz")
            if r["Voltage"] != "?" and float(r["Global_active_power"]) > 1.2][::25][:300]
    assert len(rows) >= 100
    site = record({"kind": "single_phase_two_wire", "volts_ln": 240},
                  {f"c{i}": ("A", ("A-N",), True, "mixed") for i in range(len(rows))}, 40)
    powers = {f"c{i}0": (float(r["Voltage"]), (-1 if i % 4 == 0 else 1) * 1000 * complex(
        float(r["Global_active_power"]), float(r["Global_reactive_power"]))) for i, r in enumerate(rows)}
    for i, p in enumerate(proved(site, powers).points):
        if i % 4:
            assert p.verdict in ("proven", "likely"), (rows[i], p.verdict, p.evidence)
        else:
            assert p.verdict == "wrong" and "element 1 reversed" in [m.words for m in p.classes[0].members], p.evidence


def test_a_laboratory_of_heater_and_cleaner():
    """Measured P and S with distortion and without a voltage column (laboratory set): never called wrong."""
    rows = [(k, r) for k, name in (("resistive", "kettle"), ("mixed", "vacuum"))
            for r in table(f"lab_kettle_vacuum/3combi_train_data_{name}.csv") if float(r["Active (W)"]) > 200][::7]
    assert len(rows) > 20
    site = record({"kind": "single_phase_two_wire", "volts_ln": 240},
                  {f"c{i}": ("A", ("A-N",), True, k) for i, (k, _) in enumerate(rows)}, 20)
    readings = blondel.Readings([f"c{i}0" for i in range(len(rows))], **{
        name: np.array([float(r[column]) for _, r in rows])
        for name, column in (("amps", "RMS Current"), ("watts", "Active (W)"), ("volt_amps", "Apparent (W)"))})
    assert not [p for p in blondel.prove(site, readings).points if p.verdict == "wrong"]
