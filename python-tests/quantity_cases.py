"""The job "quantities": published worked examples. Format: tests/cases/quantities/README.md."""

import cmath
import math

import blondel

OWN = {"channel": {"volts", "amps"}, "three_phase": {"wires", "volts", "amps"}, "spectrum": {"values", "orders"},
       "lines": {"volts"}}


def polar(magnitude, degrees):
    return cmath.rect(magnitude, math.radians(degrees))


def found(case):
    names = list(blondel.quantities())
    if case["kind"] == "lines":
        deviation, sequence = blondel.unbalance_of_lines(*case["volts"])
        return {"unbalance_line": deviation, "unbalance_lines": sequence}, {}
    if case["kind"] == "spectrum":
        import numpy

        rows = case["orders"]
        got = blondel.spectrum_quantities(
            [row[0] for row in rows], numpy.array([polar(*row[1:3]) for row in rows]),
            numpy.array([polar(*row[3:5]) for row in rows]), values=case["values"], wanted=names)
        return dict(got), {name: got.why(name) for name in names}
    one = case["kind"] == "channel"
    volts = [case["volts"]] if one else case["volts"]
    amps = [case["amps"]] if one else case["amps"]
    import numpy

    parts = [[numpy.array([float(pair[part])]) for pair in pairs] for pairs in (volts, amps) for part in (0, 1)]
    got = blondel.polar_quantities(*parts, wires=case.get("wires"), wanted=names)
    values = {name: float(got[name][0]) if got.defined(name)[0] else None for name in names}
    return values, {name: got.reasons(name)[0] for name in names}


def run(folder, case):
    wanted = {"job", "id", "title", "source", "provenance", "published_inputs", "notes", "kind", "expected"}
    wanted |= OWN[case["kind"]]
    assert wanted <= case.keys() <= wanted | {"undefined"}
    assert case["expected"]
    values, why = found(case)
    for name, (value, tolerance) in case["expected"].items():
        assert values[name] is not None, name
        assert abs(values[name] - value) <= tolerance, name
    for name, reason in case.get("undefined", {}).items():
        assert values[name] is None
        assert why[name] == reason
