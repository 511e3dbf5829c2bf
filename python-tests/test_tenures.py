"""Who held a point from when to when: tenures, the demand of a bin, and what registers tell, through the binding."""

import json
from datetime import timedelta
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import blondel

QUARTER = timedelta(minutes=15)
BEGIN = 1_772_323_200_000_000  # 2026-03-01T00:00:00Z


def site_with_moves(seconds):
    """One point whose premises change hands at these seconds after the begin."""
    borders = [blondel.instant_text(BEGIN + s * 1_000_000) for s in seconds]
    dated = [{"value": f"account {k}", **({"from": borders[k - 1]} if k else {}),
              **({"to": borders[k]} if k < len(borders) else {})} for k in range(len(borders) + 1)]
    return blondel.Site.read(json.dumps({
        "blondel": "1", "channels": {"a": {}, "b": {}}, "premises": {"flat": {"occupant": {"dated": dated}}},
        "points": {"P": {"elements": {"a": 1, "b": "1/3"}, "premises": "flat"}, "Q": {"elements": {"b": "2/3"}}}}))


def counts_of(data):
    n = len(data[0])
    return blondel.Intervals(["a", "b"], channel=np.repeat(np.arange(2, dtype=np.int32), n),
                             at=np.tile(BEGIN + np.arange(n, dtype=np.int64) * 900_000_000, 2),
                             net_p=np.array(data, np.int64).reshape(-1), duration=QUARTER, wh_per_count=1)


@given(st.lists(st.tuples(st.integers(-10**9, 10**9), st.integers(-10**9, 10**9)), min_size=2, max_size=20),
       st.sets(st.integers(1, 17_000), max_size=4), st.sampled_from([None, 1, 7, Fraction(5, 3)]))
def test_tenures_add_up_to_the_row(data, moves, quantum):
    moves = [m for m in sorted(moves) if m < len(data) * 900]
    statement = blondel.rollup(site_with_moves(moves), counts_of(list(zip(*data))), quantum=quantum)
    row = statement.row("point", "P")
    mine = [t for t in statement.tenures if t.point == "P"]
    assert [t.occupant for t in mine] == [f"account {k}" for k in range(len(moves) + 1)]
    assert mine[0].begin == BEGIN and mine[-1].end == BEGIN + len(data) * 900_000_000
    assert all(a.end == b.begin for a, b in zip(mine, mine[1:]))
    for member in ("net", "import_p", "export_p"):
        assert sum(getattr(t, member) for t in mine) == getattr(row, member)
    # By fractions: what a perfect division by time gives, within a count for each border.
    unit = statement.quantum
    borders = [0, *moves, len(data) * 900]
    for t, low, high in zip(mine, borders, borders[1:]):
        exact = sum((Fraction(p) + Fraction(q, 3)) * max(0, min(high, 900 * k + 900) - max(low, 900 * k)) / 900
                    for k, (p, q) in enumerate(data))
        assert abs(t.net * unit - exact) <= 2 * unit + Fraction(8, 3)


def test_tenures_as_csv_json_and_frame():
    statement = blondel.rollup(site_with_moves([1200]), counts_of([[10, 20, 30], [0, 0, 3]]))
    lines = statement.tenures_csv().split("\r\n")
    assert len(lines) == 1 + 3 + 1 and lines[1].startswith("point,P,flat,,account 0,2026-03-01T00:00:00Z,")
    read = statement.as_dict()["tenures"]
    assert [int(t["net"]) for t in read] == [t.net for t in statement.tenures]
    pytest.importorskip("pandas")
    frame = statement.tenures_frame()
    assert list(frame["net"]) == [t.net for t in statement.tenures]
    assert frame.groupby("point")["net"].sum()["P"] == statement.row("point", "P").net


def test_a_tenure_that_ends_is_told():
    statement = blondel.rollup(site_with_moves([1200]), counts_of([[10, 20, 30], [0, 0, 3]]))
    told = [f for f in statement.report if f.code == "tenure-ended"]
    assert len(told) == 1 and "account 0" in told[0].text() and "account 1" in told[0].text()


TABLE = {"time_of_use": "1", "name": "t", "bins": ["high", "low"], "holidays": [], "tables": [
    {"from": "2026-01-01", "to": "2027-01-01", "seasons": [{"days": [
        {"on": ["weekday", "weekend", "holiday"], "ranges": [{"from": "06:00", "to": "22:00", "bin": "high"}],
         "rest": "low"}]}]}]}


@given(st.lists(st.integers(0, 1000), min_size=96, max_size=96), st.integers(0, 95))
def test_demand_of_a_bin_is_that_of_its_windows(counts, missing):
    pytest.importorskip("tzdata")
    zone = blondel.Zone.from_tzdata("UTC")
    table = blondel.TimeOfUse(TABLE)
    valid = np.ones(96, bool)
    valid[missing] = False
    demand = blondel.Demand((np.array(counts, np.int64), valid), first=BEGIN, duration=QUARTER, window=2 * QUARTER,
                            step=QUARTER, zone=zone)
    for name, inside in (("high", lambda k: 24 <= k < 88), ("low", lambda k: not 24 <= k < 88)):
        whole = [k for k in range(95) if inside(k) and inside(k + 1)]
        good = [k for k in whole if missing not in (k, k + 1)]
        peak = demand.peak(table=table, zone=zone, bin=name)
        assert (peak.billable, peak.left_out, peak.straddling) == (len(good), len(whole) - len(good), 2)
        assert peak.value == 2 * max(counts[k] + counts[k + 1] for k in good)
    with pytest.raises(blondel.RangeError):
        demand.peak(table=table, zone=zone, bin="noon")


def test_what_registers_do_becomes_findings():
    site = blondel.Site.read(json.dumps({"blondel": "1", "channels": {"a": {}},
                                         "points": {"P": {"elements": {"a": 1}}}}))
    readings = [990, 5, 4, 20, None, 40, 10, 500]
    rows = [(BEGIN + k * 900_000_000, v) for k, v in enumerate(readings) if v is not None]
    made = blondel.Intervals(["a"], channel=np.zeros(len(rows), np.int32), at=np.array([r[0] for r in rows]),
                             import_p=np.array([r[1] for r in rows]), duration=QUARTER, wh_per_count=1,
                             registers={"modulus": 1000, "max_watts": 200})
    statement = blondel.rollup(site, made)
    codes = {f.code: f for f in statement.report if f.code.startswith("register-")}
    assert set(codes) == {"register-rollover", "register-jitter", "register-gap", "register-backwards",
                          "register-too-fast"}
    assert "20 Wh" in codes["register-gap"].text() or "0.02 kWh" in codes["register-gap"].text()
    assert codes["register-gap"].severity == "warning" and codes["register-jitter"].severity == "note"
    assert all(f.title() and f.action() for f in codes.values())
