"""Allocations against an exact solver; conflicts; patches; sheets; schedules."""

import json
import os
import random

import pytest
from plan_oracle import connectors_of, fewest, site

import blondel

INSTANCES = 600 if os.environ.get("BLONDEL_LONG") == "1" else 100


def drawn(seed):
    """A small building at random."""
    r = random.Random(seed)
    circuits = {f"c{i}": r.randint(1, 3) for i in range(r.randint(2, 9))}
    profiles = {f"p{i}": [r.choice([3, 4, 5, 6, 7, 9, 10, 11]) for _ in range(r.randint(1, 2))] for i in range(r.randint(1, 2))}
    devices = {}
    if r.random() < 0.4:
        p = r.choice(list(profiles))
        n = sum(profiles[p])
        devices["d"] = (p, sorted(r.sample(range(1, n + 1), r.randint(0, n - 1))))
    points = {}
    if r.random() < 0.6:
        names = list(circuits)
        r.shuffle(names)
        while names:
            members, names = names[: r.randint(1, 4)], names[4:]
            points[members[0]] = sorted(members)
    pins = {}
    if devices and r.random() < 0.3:
        pins[r.choice(list(circuits))] = "d"
    return circuits, profiles, devices, points, pins, r.choice([0, 0, 10, 25]), r.random() < 0.2


def asked(circuits, profiles, devices, points, pins, spare, across, **more):
    view = blondel.Site.read(json.dumps(site(circuits, profiles, devices, points))).view()
    return blondel.plan(view, circuits=list(circuits), spare_percent=spare, across_connectors=across,
                        pins={c: {"device": d} for c, d in pins.items()}, **more)


def check_hard_rules(plan, circuits, profiles, devices, points, pins, spare, across):
    used = {(d, i) for d, (_, inputs) in devices.items() for i in inputs}
    by_circuit = {}
    for row in plan:
        assert (row.device, row.input) not in used
        used.add((row.device, row.input))
        by_circuit.setdefault(row.circuit, []).append(row)
    profile_of = {d.id: profiles[d.profile] for d in plan.devices}
    assert by_circuit.keys() == circuits.keys()
    for c, rows in by_circuit.items():
        assert sorted(r.pole for r in rows) == list(range(1, circuits[c] + 1))
        assert len({r.device for r in rows}) == 1
        groups = list(connectors_of(profile_of[rows[0].device]))
        assert all(r.input in groups[r.connector - 1] for r in rows)
        assert across or len({r.connector for r in rows}) == 1
        assert [r.reference for r in sorted(rows, key=lambda r: r.pole)] == [f"{r.conductor}-N" for r in sorted(rows, key=lambda r: r.pole)]
    for members in points.values():
        assert len({by_circuit[c][0].device for c in members}) == 1
    for c, d in pins.items():
        assert by_circuit[c][0].device == d
    inputs = sum(sum(profiles[p]) for p, _ in devices.values()) + sum(d.inputs for d in plan.devices if d.added)
    assert inputs - len(used) >= inputs * spare / 100 - 1e-9


@pytest.mark.parametrize("block", range(10))
def test_no_solver_finds_fewer_devices(block):
    for seed in range(block * INSTANCES // 10, (block + 1) * INSTANCES // 10):
        instance = drawn(seed)
        plan = asked(*instance)
        circuits, profiles, devices, points, pins, spare, across = instance
        expected = fewest(circuits, profiles, devices, points, pins, spare, across=across, most=len(circuits) + 1)
        assert plan.proven, seed
        assert plan.found == (expected is not None), seed
        if plan.found:
            assert sum(d.added for d in plan.devices) == expected, seed
            check_hard_rules(plan, *instance)


def first_fit_devices(groups, sizes):
    """Devices that first-fit by decreasing size needs."""
    rooms = []
    for k in sorted(sizes, reverse=True):
        at = next((i for i, room in enumerate(rooms) if room >= k), None)
        if at is None:
            rooms += groups
            at = next(i for i in range(len(rooms) - len(groups), len(rooms)) if rooms[i] >= k)
        rooms[at] -= k
    return len(rooms) // len(groups)


@pytest.mark.parametrize(("groups", "threes", "twos", "ones"),
                         [([7, 7], 2, 4, 0), ([9, 9, 9], 5, 6, 0), ([10, 10], 4, 4, 0), ([11, 11], 2, 8, 0)])
def test_first_fit_is_not_optimal_for_7_9_10_11(groups, threes, twos, ones):
    sizes = [3] * threes + [2] * twos + [1] * ones
    plan = asked({f"c{i}": k for i, k in enumerate(sizes)}, {"p": groups}, {}, {}, {}, 0, False)
    assert plan.found and plan.proven
    best = fewest({f"c{i}": k for i, k in enumerate(sizes)}, {"p": groups}, most=3)
    assert len(plan.devices) == best == 1
    assert first_fit_devices(groups, sizes) == 2


def test_a_thousand_circuits():
    circuits = {f"c{i}": 1 + i * 7 % 5 % 3 for i in range(1000)}
    record = site(circuits, {"p": [7, 9, 10, 11], "q": [4, 5, 4]})
    record["panels"]["P"]["spaces"] = 1000  # the numbers of spaces end there
    for name in circuits:
        record["circuits"][name]["phases"] = "ABC"[: circuits[name]]
        del record["circuits"][name]["spaces"]
    plan = blondel.plan(blondel.Site.read(json.dumps(record)).view(), circuits=list(circuits))
    assert plan.found and plan.proven and plan.wishes_proven
    channels = sum(circuits.values())
    assert len(plan) == channels
    assert sum(d.added for d in plan.devices) == -(-channels // 37)  # nothing is stranded


@pytest.mark.parametrize("seed", range(40))
def test_a_conflict_is_one_and_none_of_it_can_be_left_out(seed):
    r = random.Random(1000 + seed)
    circuits = {f"c{i}": r.randint(1, 3) for i in range(6)}
    request = {"circuits": list(circuits), "most_new_devices": r.randint(0, 1), "spare_percent": r.choice([0, 20, 60]),
               "spare_per_device": r.randint(0, 3), "reserved": {"d": [1, 2]},
               "pins": {c: {"device": "d", "inputs": list(range(at, at + circuits[c]))}
                        for c, at in (("c0", r.randint(1, 5)), ("c1", r.randint(1, 5)))}}
    view = blondel.Site.read(json.dumps(site(circuits, {"p": [4, 4]}, {"d": ("p", [8])}))).view()
    plan = blondel.plan(view, request)
    if plan.found:
        assert not plan.conflicts
        return
    assert plan.proven and plan.conflicts and len(plan) == 0

    def keeping(constraints):
        """The request with these constraints alone."""
        kinds = {c.kind for c in constraints}
        kept = {"circuits": list(circuits), "across_connectors": "whole_connectors" not in kinds,
                "split_points": "whole_points" not in kinds}
        for key in ("most_new_devices", "spare_percent", "spare_per_device", "reserved"):
            if key in kinds:
                kept[key] = request[key]
        kept["pins"] = {c.subject: request["pins"][c.subject] for c in constraints if c.kind == "pin"}
        return blondel.plan(view, kept)

    assert not keeping(plan.conflicts).found
    for left_out in plan.conflicts:
        assert keeping([c for c in plan.conflicts if c is not left_out]).found, (left_out, plan.conflicts)


def renovated(mill, root):
    draft = mill.draft()
    draft.patch((root / "examples/harbour-mill/renovation.json").read_text())
    return draft.freeze()


def test_patch_and_draft_agree_and_the_rules_have_no_objection(mill, root):
    changed = renovated(mill, root)
    plan = blondel.plan(changed.view(), (root / "examples/harbour-mill/renovation-request.json").read_text())
    draft = changed.draft()
    draft.patch(plan.patch())
    assert draft.freeze().digest() == plan.draft().freeze().digest()
    assert [f.code for f in blondel.check(plan.draft().freeze().view()) if f.severity == "error"] == []
    # A record in which a breaker was exchanged meanwhile is not patched.
    other = changed.draft()
    other.set("circuit", "R2-13", "breaker_amps", 40)
    with pytest.raises(blondel.PatchTestError):
        other.patch(plan.patch())
    # Every placed point is exact: Blondel's theorem says so.
    planned = plan.draft().freeze().view()
    for point in ("studio-5", "flat-9", "ventilation"):
        assert blondel.Form.of_point(planned, point).exact


def test_digests_depend_on_what_was_asked(mill, root):
    view = renovated(mill, root).view()
    one = blondel.plan(view, '{"points": ["flat-9"], "output": "millivolts"}')
    same = blondel.plan(view, '{"output":"millivolts",\n "points":["flat-9"]}')
    other = blondel.plan(view, points=["flat-9"], output="milliamps")
    assert one.request_sha256 == same.request_sha256 != other.request_sha256
    assert one.site_sha256 == view.site.digest()
    assert one.json() == same.json()


@pytest.mark.parametrize(("request_text", "error", "pointer"), [
    ("[]", blondel.FieldTypeError, ""),
    ('{"points": ["nobody"]}', blondel.NoEntityError, "/points/0"),
    ('{"points": ["bakery"]}', blondel.FieldValueError, "/points/0"),
    ('{"spare_percent": 101}', blondel.RangeError, "/spare_percent"),
    ('{"pins": {"R2-13": {"inputs": [1]}}}', blondel.Error, "/pins/R2-13"),
    ('{"colour": 1}', blondel.UnknownFieldError, "/colour"),
    ('{"order": ["panel_order"]}', blondel.Error, "/order"),
    ('{"points": ["flat-9"], "output": "millivolts", "pins": {"R2-13": {"device": "W3", "inputs": [1]}}}', blondel.Error,
     "/pins/R2-13"),
])
def test_mistakes_of_a_request_have_their_place(mill, root, request_text, error, pointer):
    with pytest.raises(error) as caught:
        blondel.plan(renovated(mill, root).view(), request_text)
    assert caught.value.items[0].pointer == pointer


def test_a_record_that_does_not_say_enough(mill, root):
    draft = renovated(mill, root).draft()
    draft.clear("circuit", "R2-13", "spaces")
    with pytest.raises(blondel.AbsentError) as caught:
        blondel.plan(draft.freeze().view(), points=["flat-9"], output="millivolts")
    assert caught.value.items[0].pointer == "/circuits/R2-13/spaces"


def test_a_sheet_of_everything_counts_every_ct(mill):
    sheet = blondel.plan_sheet(mill.view(), "json")
    rows = [r for p in sheet["panels"] for d in p["devices"] for r in d["rows"]]
    assert len(rows) == len(mill.ids("channel"))
    assert sum(m["count"] for m in sheet["materials"]["cts"]) == len(mill.ids("ct"))
    text = blondel.plan_sheet(mill.view())
    assert max(len(line) for line in text.splitlines()) <= 100
    assert "Short it" not in text and "milliamperes" in text
    lines = blondel.plan_sheet(mill.view(), "csv").splitlines()
    assert len(lines) == len(rows) + 1


def test_an_amperes_ct_brings_its_caution(mill):
    draft = mill.draft()
    for ct_type in mill.ids("ct_type"):
        draft.set("ct_type", ct_type, "output", "amps")
    assert "never open the secondary" in blondel.plan_sheet(draft.freeze().view(), points=["kiln"]).replace("\n    ", " ")


def test_a_sheet_comes_back_as_a_schedule(mill):
    """The CSV of the sheet, read as a channel schedule, joins the record without a contradiction."""
    csv = blondel.plan_sheet(mill.view(), "csv")
    draft = blondel.read_schedule(csv, columns={
        "device.id": "channel.device", "channel.id": "channel.id", "channel.input": "channel.input", "ct.id": "ct.id",
        "ct_type.id": "ct.type", "channel.reference": "channel.reference"}, others="ignore")
    record = mill.draft()
    record.merge(draft)
    assert record.freeze().digest() == mill.digest()


@pytest.mark.parametrize("codec", ["utf-8", "utf-8-sig", "utf-16-le", "utf-16-be", "latin-1"])
def test_encodings(codec):
    table = "circuit.id;circuit.name;circuit.breaker_amps\r\nx;Küche, Süd;20,5\r\n".encode(codec)
    stated = {"utf-16-le": "utf-16le", "utf-16-be": "utf-16be", "latin-1": "iso-8859-1"}.get(codec, "utf-8")
    circuit = blondel.read_schedule(table, encoding=stated, delimiter=";", decimal=",").freeze().view().circuit["x"]
    assert (circuit.name, circuit.breaker_amps) == ("Küche, Süd", 20.5)


def test_merging_is_all_or_nothing(mill):
    draft = mill.draft()
    before = draft.freeze().digest()
    other = blondel.Draft()
    other.add("circuit", "new", name="New")
    other.add("circuit", "R2-1", breaker_amps=63)
    with pytest.raises(blondel.Error) as caught:
        draft.merge(other)
    assert [i.pointer for i in caught.value.items] == ["/circuits/R2-1/breaker_amps"]
    assert draft.freeze().digest() == before
    draft.merge(other, replace=True)
    assert draft.freeze().view().circuit["R2-1"].breaker_amps == 63
