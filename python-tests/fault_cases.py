"""The job "form-fault": published registrations under wiring faults. Format: tests/cases/faults/README.md."""

import math
from fractions import Fraction

import blondel


def keys(data, required, optional=()):
    assert isinstance(data, dict)
    assert set(required) <= data.keys() <= set(required) | set(optional)


def faulty(case):
    settings = dict(case["service"])
    form = blondel.Arrangement(settings.pop("kind"), case["load"], **settings).use(case["arrangement"]).form()
    assert case["faults"]
    for fault in case["faults"]:
        keys(fault, {"kind"}, {"element", "x", "y", "ratio"})
        form = form.fault(fault["kind"], fault.get("element"), fault.get("x"), fault.get("y"),
                          Fraction(fault.get("ratio", 1)))
    return form


def run(folder, case):
    keys(case, {"job", "id", "title", "source", "provenance", "service", "load", "arrangement", "faults", "expected"},
         {"notes"})
    assert case["provenance"] in ("published: seen", "published: from memory", "common practice, no source")
    assert len(case["source"]) > 10
    form = faulty(case)
    expected = case["expected"]
    keys(expected, {"registration", "exact"}, {"correction_factor", "correction_percent"})
    registration = expected["registration"]
    keys(registration, {"angle_deg", "value", "tolerance"})
    assert len(registration["angle_deg"]) == len(registration["value"]) > 0
    factor = form.balanced()
    for angle, value in zip(registration["angle_deg"], registration["value"]):
        reads = factor.real - factor.imag * math.tan(math.radians(angle))
        assert abs(reads - value) <= registration["tolerance"]
    (k,) = blondel.correction_curve(factor, registration["angle_deg"][:1])
    assert (k is not None) == (abs(registration["value"][0]) > registration["tolerance"])
    if "correction_factor" in expected:
        value, tolerance = expected["correction_factor"]
        assert abs(k - value) <= tolerance
    if "correction_percent" in expected:
        value, tolerance = expected["correction_percent"]
        assert abs(100 * (k - 1) - value) <= tolerance
    assert (form.realise() is not None) == expected["exact"]
