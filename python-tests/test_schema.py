"""The JSON Schema of the site file against general-purpose validators of JSON Schema 2020-12."""

from __future__ import annotations

import copy
import json
from pathlib import Path

import jsonschema
import pytest

ROOT = Path(__file__).resolve().parent.parent
SCHEMA = json.loads((ROOT / "docs/schema/site.schema.json").read_text(encoding="utf-8"))
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)


def record_files() -> list[Path]:
    """Every record of the repository that is meant to load."""
    found = {p for p in (ROOT / "examples").rglob("*.json") if p.name.startswith("site") or p.name.endswith(".site.json")}
    found |= {p for p in (ROOT / "tests/cases").rglob("site.json") if "refuse" not in p.parts}
    return sorted(found)


# One record that uses every kind, every type of field and the dated form.
GOOD = {
    "blondel": "1",
    "name": "Weaver's Yard",
    "zone": "Europe/Berlin",
    "ext": {"color": None, "list": [1, {"a": True}]},
    "services": {"S1": {"kind": "four_wire_wye", "volts_ln": 230, "volts_ll": 398.37, "frequency_hz": 50, "rotation": "ABC"}},
    "panels": {"P1": {"service": "S1", "spaces": 24, "numbering": "two_columns", "bus": "BCA"}},
    "circuits": {
        "C1": {"name": "flat 1", "panel": "P1", "spaces": [1, 3], "breaker_amps": 20, "neutral": True, "role": "premises"},
        "C2": {
            "panel": "P1",
            "phases": "CAB",
            "breaker_amps": {
                "dated": [
                    {"value": 16.5},
                    {
                        "from": "2026-03-01T00:00:00Z",
                        "to": "2027-03-01T00:00:00.25+01:00",
                        "recorded_at": "2026-03-02T00:00:00-05:00",
                        "reason": "breaker exchanged",
                        "evidence": "E1",
                        "value": 20,
                    },
                ]
            },
        },
    },
    "ct_types": {"T1": {"primary_amps": 60, "secondary": 20, "output": "milliamps", "core": "split", "mark_faces": "source"}},
    "cts": {"X1": {"type": "T1", "passes": {"C1:1": 1, "C1:N": -1, "C2": 2}, "mark_faces": "load"}, "dated": {"passes": {"dated": 1}}},
    "profiles": {"F1": {"inputs": 10, "groups": [5, 5], "references": ["A", "B", "C", "N"], "full_scale": 0.1}},
    "devices": {"D1": {"profile": "F1", "service": "S1", "landed": ["A", "B", "none", "N"], "scaled_by": "head_end"}},
    "channels": {
        "K1": {"device": "D1", "input": 1, "cts": {"X1": -1}, "reference": "A-N", "polarity": "inverted", "multiplier": "1/2"},
        "K2": {"device": "D1", "input": 2, "cts": {"dated": [{"value": {"X1": 1}}]}, "multiplier": -2},
    },
    "premises": {"A-1": {"occupancy": "tenant", "occupant": "whoever rents it", "area_m2": 61.5}},
    "points": {"M1": {"premises": "A-1", "circuits": ["C1", "C2"], "elements": {"K1": 1, "K2": "-1/3"}}},
    "rollups": {"R1": {"points": {"M1": 1}, "rollups": {"R0": 1}, "against": "M1", "tolerance_percent": 2}},
    "evidence": {"E1": {"at": "2026-02-28T10:00:00Z", "what": "clamp", "about": ["ct:X1"], "value": 3.25, "unit": "A"}},
    "waivers": {"W1": {"finding": "ct-smaller-than-breaker|circuit:C1,ct:X1|", "reason": "load limited by contract", "by": "owner"}},
}

SPOILED = {
    "no version": lambda r: r.pop("blondel"),
    "a later version": lambda r: r.update(blondel="2"),
    "version as a number": lambda r: r.update(blondel=1),
    "unknown collection": lambda r: r.update(meters={}),
    "collection as a list": lambda r: r.update(panels=[]),
    "id with a blank": lambda r: r["panels"].update({"P 1": {}}),
    "empty id": lambda r: r["panels"].update({"": {}}),
    "id of 65 characters": lambda r: r["panels"].update({"x" * 65: {}}),
    "id with an umlaut": lambda r: r["panels"].update({"K\u00fcche": {}}),
    "unknown field": lambda r: r["panels"]["P1"].update(colour="grey"),
    "known quantity in another unit": lambda r: r["circuits"]["C1"].update(breaker_milliamps=20000),
    "null": lambda r: r["circuits"]["C1"].update(breaker_amps=None),
    "number as a text": lambda r: r["circuits"]["C1"].update(breaker_amps="20 A"),
    "number below its range": lambda r: r["circuits"]["C1"].update(breaker_amps=0),
    "number above its range": lambda r: r["rollups"]["R1"].update(tolerance_percent=100.5),
    "fraction where a whole number stands": lambda r: r["channels"]["K1"].update(input=1.5),
    "boolean as a number": lambda r: r["circuits"]["C1"].update(neutral=1),
    "unknown word": lambda r: r["channels"]["K1"].update(reference="A-D"),
    "word in capitals": lambda r: r["channels"]["K1"].update(polarity="INVERTED"),
    "text that is a number": lambda r: r["panels"]["P1"].update(name=7),
    "phase twice": lambda r: r["circuits"]["C2"].update(phases="AA"),
    "four phases": lambda r: r["panels"]["P1"].update(bus="ABCA"),
    "weight of zero": lambda r: r["channels"]["K1"].update(multiplier=0),
    "zero numerator": lambda r: r["channels"]["K1"].update(multiplier="0/2"),
    "ratio with zero below": lambda r: r["channels"]["K1"].update(multiplier="1/0"),
    "ratio with a blank": lambda r: r["channels"]["K1"].update(multiplier="1 /2"),
    "ratio as a real": lambda r: r["channels"]["K1"].update(multiplier=0.5),
    "pole 4": lambda r: r["cts"]["X1"].update(passes={"C1:4": 1}),
    "101 turns": lambda r: r["cts"]["X1"].update(passes={"C1": 101}),
    "terms as a list": lambda r: r["points"]["M1"].update(elements=["K1"]),
    "ref twice": lambda r: r["points"]["M1"].update(circuits=["C1", "C1"]),
    "ref as an object": lambda r: r["panels"]["P1"].update(service={"id": "S1"}),
    "instant without an offset": lambda r: r["evidence"]["E1"].update(at="2026-02-28T10:00:00"),
    "date alone": lambda r: r["evidence"]["E1"].update(at="2026-02-28"),
    "month 13": lambda r: r["evidence"]["E1"].update(at="2026-13-28T10:00:00Z"),
    "timeless field with dates": lambda r: r["panels"]["P1"].update(spaces={"dated": [{"value": 24}]}),
    "empty history": lambda r: r["panels"]["P1"].update(service={"dated": []}),
    "assignment without a value": lambda r: r["panels"]["P1"].update(service={"dated": [{"from": "2026-01-01T00:00:00Z"}]}),
    "assignment with an unknown key": lambda r: r["panels"]["P1"].update(service={"dated": [{"value": "S1", "till": "x"}]}),
    "something beside dated": lambda r: r["panels"]["P1"].update(service={"dated": [{"value": "S1"}], "value": "S1"}),
    "dated value of the wrong type": lambda r: r["circuits"]["C1"].update(breaker_amps={"dated": [{"value": "20"}]}),
    "ext that is no object": lambda r: r["panels"]["P1"].update(ext="free"),
    "U+0000 in a text": lambda r: r["panels"]["P1"].update(name="a\x00b"),
}


def test_the_schema_follows_its_metaschema() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_every_reference_resolves_and_every_form_is_used() -> None:
    text = json.dumps(SCHEMA)
    used = {part.split('"')[0] for part in text.split('"#/$defs/')[1:]}
    assert used == set(SCHEMA["$defs"])


def test_a_record_that_uses_everything_is_valid() -> None:
    assert [e.message for e in VALIDATOR.iter_errors(GOOD)] == []
    assert set(GOOD) - {"blondel", "name", "address", "zone", "ext"} == {
        key for key, form in SCHEMA["properties"].items() if "propertyNames" in form
    }


@pytest.mark.parametrize("what", SPOILED)
def test_a_spoiled_record_is_not_valid(what: str) -> None:
    record = copy.deepcopy(GOOD)
    SPOILED[what](record)
    assert json.dumps(record) != json.dumps(GOOD)
    assert list(VALIDATOR.iter_errors(record)), f"{what}: accepted"


@pytest.mark.parametrize("path", record_files(), ids=lambda p: str(p.relative_to(ROOT)))
def test_every_record_of_the_repository_is_valid(path: Path) -> None:
    errors = [f"{e.json_path}: {e.message}" for e in VALIDATOR.iter_errors(json.loads(path.read_text(encoding="utf-8")))]
    assert errors == []


@pytest.mark.parametrize("what", SPOILED)
def test_the_reader_refuses_what_the_schema_refuses(what: str) -> None:
    blondel = pytest.importorskip("blondel")
    record = copy.deepcopy(GOOD)
    blondel.Site.read(json.dumps(record))
    SPOILED[what](record)
    with pytest.raises(blondel.Error):
        blondel.Site.read(json.dumps(record))
