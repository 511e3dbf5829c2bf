"""The job "accuracy": published limits and uncertainties. Format: tests/cases/README.md."""

import pytest

import blondel


def limits(data):
    return None if data is None else blondel.Limits(**data)


def call(name, data):
    data = dict(data)
    if name == "limits":
        return blondel.accuracy_limits(data.pop("of"), data.pop("class"), **data)._asdict()
    if name == "power_error":
        return blondel.power_error(complex(data.pop("watts"), data.pop("vars")), **data)._asdict()
    if name == "power_uncertainty":
        power = complex(data.pop("watts"), data.pop("vars"))
        return blondel.power_uncertainty(power, **{key: limits(value) for key, value in data.items()})._asdict()
    if name == "combine":
        return blondel.combine(data.pop("values"), **data)._asdict()
    assert name == "propagate"
    return {"uncertainty": blondel.propagate(**data)}


def run(folder, case):
    assert set(case) <= {"job", "id", "title", "source", "provenance", "call", "rows", "notes"}
    assert case["provenance"] in ("published: seen", "published: from memory", "common practice, no source")
    assert len(case["source"]) > 10
    assert case["rows"]
    for row in case["rows"]:
        assert set(row) in ({"in", "expected"}, {"in", "refused"})
        if "refused" in row:
            assert row["refused"] == "absent"
            with pytest.raises(blondel.AbsentError):
                call(case["call"], row["in"])
            continue
        assert row["expected"]
        got = call(case["call"], row["in"])
        for name, wanted in row["expected"].items():
            if wanted is None:
                assert got[name] is None
            else:
                assert abs(got[name] - wanted[0]) <= wanted[1], (row, name, got[name])
