"""Live check and roll-up of the demo building, through the binding."""

import json
from datetime import timedelta
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import blondel

STEP = 900_000_000


@pytest.fixture(scope="module")
def live(root, mill):
    readings = blondel.Readings.from_file(root / "examples/harbour-mill/readings.csv")
    assert len(readings) > 0
    return blondel.live_check(mill.view(), readings)


def test_every_channel_and_point_has_its_row(live, mill):
    assert tuple(c.channel for c in live.channels) == mill.ids("channel")
    assert tuple(p.point for p in live.points) == mill.ids("point")
    proofs = {"wrong", "undecided", "not_proven", "likely", "right"}
    assert {c.proof for c in live.channels} | {p.proof for p in live.points} <= proofs
    assert any(c.proof == "wrong" for c in live.channels)


def test_a_point_is_as_good_as_its_weakest_channel(live, mill):
    order = ["wrong", "undecided", "not_proven", "likely", "right"]
    proof = {c.channel: c.proof for c in live.channels}
    points = mill.view().point
    for row in live.points:
        channels = points[row.point].elements or {}
        if channels:
            assert row.proof == min((proof[c] for c in channels), key=order.index)


def test_sums_are_stated(live):
    assert live.sums
    for row in live.sums:
        assert row.verdict in ("right", "wrong", "undecided", "not_checked")
        assert row.tolerance_watts >= 0


def test_live_report(live):
    assert live.report
    assert all(f.title() and f.text() for f in live.report)
    wrong = {c.channel for c in live.channels if c.proof == "wrong"}
    told = {s.id for f in live.report for s in f.subjects if s.kind == "channel"}
    assert wrong <= told


def test_policy_of_another_domain(mill, root):
    readings = blondel.Readings.from_file(root / "examples/harbour-mill/readings.csv")
    with pytest.raises(blondel.ArgumentError):
        blondel.live_check(mill.view(), readings, blondel.Policy("check"))
    blondel.live_check(mill.view(), readings, blondel.Policy("live"))


def test_csv_and_columns_agree(one_panel):
    csv = "channel,watts,vars\nM-4,1000,100\nM-5,900,\nM-7,-50,3\n"
    watts = np.array([1000.0, 900, -50])
    variances = blondel.Column(np.array([100.0, 0, 3]), np.array([True, False, True]))
    one = blondel.live_check(one_panel.view(), blondel.Readings.read_csv(csv))
    other = blondel.live_check(one_panel.view(), blondel.Readings(["M-4", "M-5", "M-7"], watts=watts, vars=variances))
    assert one.channels == other.channels
    assert one.points == other.points
    row = next(c for c in one.channels if c.channel == "M-5")
    assert (row.watts, row.vars) == (900.0, None)


def energies(site, data, **more):
    ids = site.ids("channel")
    n, m = data.shape
    channel = np.repeat(np.arange(n, dtype=np.int32), m)
    at = np.tile(np.arange(m, dtype=np.int64) * STEP, n)
    return blondel.Intervals(ids, channel=channel, at=at, net_p=data.reshape(-1), duration=timedelta(minutes=15),
                             wh_per_count=Fraction(1, 10), **more)


@given(st.integers(1, 8), st.randoms(use_true_random=False))
def test_nothing_is_lost_in_any_interval(one_panel, intervals, random):
    """Points and the unallocated rest divide the channels, exactly, in every interval."""
    ids = one_panel.ids("channel")
    data = np.array([[random.randint(-(10**12), 10**12) for _ in range(intervals)] for _ in ids], np.int64)
    statement = blondel.rollup(one_panel, energies(one_panel, data))
    total = np.zeros(intervals, object)
    for row in statement:
        if row.kind in ("point", "unallocated"):
            counts, valid = statement.series(row)
            assert valid.all()
            assert sum(int(c) for c in counts) == row.net == row.import_p - row.export_p
            total += np.array([int(c) * statement.quantum for c in counts], object)
    assert list(total) == [Fraction(int(s), 10) for s in data.sum(axis=0)]


def test_statement_rows_and_json(one_panel):
    data = np.full((len(one_panel.ids("channel")), 4), 100, np.int64)
    statement = blondel.rollup(one_panel, energies(one_panel, data))
    points = [r.id for r in statement if r.kind in ("point", "check")]
    assert sorted(points) == sorted(one_panel.ids("point"))
    assert statement.as_dict() == json.loads(statement.json())
    assert statement[0] == statement.rows[0]
    assert statement.wh(statement[0].net) == statement[0].net * statement.quantum
    with pytest.raises(KeyError):
        statement.row("point", "nothing")


def test_cancel_of_a_rollup(one_panel):
    data = np.zeros((len(one_panel.ids("channel")), 4), np.int64)
    with pytest.raises(blondel.CancelledError):
        blondel.rollup(one_panel, energies(one_panel, data), progress=lambda done, total: True)


def test_empty_intervals(one_panel):
    none = np.zeros(0, np.int64)
    made = blondel.Intervals(one_panel.ids("channel"), channel=none, at=none, net_p=none,
                             duration=timedelta(minutes=15), wh_per_count=1)
    assert (len(made), made.first, made.channels) == (0, None, one_panel.ids("channel"))


def test_interval_csv(one_panel):
    csv = "channel,start,net_p\nM-4,2026-03-01T00:00:00Z,5\nM-4,2026-03-01T00:15:00Z,7\n"
    rule = {"duration": timedelta(minutes=15), "wh_per_count": 1}
    made = blondel.Intervals.read_csv(csv, **rule)
    assert (len(made), made.channels) == (2, ("M-4",))
    ends = csv.replace("start", "end")
    assert blondel.Intervals.read_csv(ends, stamp="end", **rule).first == made.first - STEP
    with pytest.raises(blondel.UnknownFieldError):
        blondel.Intervals.read_csv(ends, **rule)
    with pytest.raises(blondel.Error) as caught:
        blondel.Intervals.read_csv(csv.replace("7", "7.5"), **rule)
    assert caught.value.line == 3
