"""Block and rolling demand."""

from datetime import timedelta
from fractions import Fraction

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st

import blondel

MINUTE = 60_000_000
QUARTER = 15 * MINUTE


@given(st.lists(st.integers(0, 10**9), min_size=6, max_size=200), st.sampled_from([2, 3, 6]))
def test_block_and_rolling_bound_each_other(counts, n):
    """For load that never feeds back: block <= rolling <= 2 block, steps aligned (two blocks cover any window)."""
    step = timedelta(minutes=5)
    window = n * step
    counts += [0] * (-len(counts) % n)
    block = blondel.Demand(counts, first=0, duration=step, window=window).peak()
    rolling = blondel.Demand(counts, first=0, duration=step, window=window, step=step).peak()
    assert block.value <= rolling.value <= 2 * block.value


@given(st.lists(st.tuples(st.integers(-10**6, 10**6), st.integers(-10**6, 10**6)), min_size=3, max_size=60))
def test_against_numpy(pairs):
    p, q = (numpy.array(column, "i8") for column in zip(*pairs))
    demand = blondel.Demand(p, q=q, first=0, duration=5 * MINUTE, window=QUARTER, step=5 * MINUTE, wh_per_count=100)
    sums = [numpy.convolve(column, [1, 1, 1], "valid") for column in (p, q)]
    # the grid begins with the data here, so that every window of three intervals is one of ours
    assert [w.p for w in demand] == list(sums[0]) and [w.q for w in demand] == list(sums[1])
    assert demand.scale == 400
    peak = demand.peak()
    assert peak.window == int(numpy.argmax(sums[0])) and peak.value == sums[0].max() * 400
    apparent = demand.peak("apparent")
    assert apparent.value == pytest.approx(400 * numpy.sqrt((sums[0]**2 + sums[1]**2).max()), rel=1e-14)
    assert demand[peak.window].voltamperes >= abs(demand[peak.window].watts)


def test_incomplete_windows_are_not_billable():
    p = (numpy.array([1, 1, 99, 99, 2, 2], "i8"), numpy.array([1, 1, 1, 0, 1, 1], bool))
    demand = blondel.Demand(p, first=0, duration=QUARTER, window=2 * QUARTER)
    assert [w.complete for w in demand] == [True, False, True]
    peak = demand.peak()
    assert (peak.start, peak.value, peak.billable, peak.left_out) == (4 * QUARTER, 8, 2, 1)
    # a power-up in the middle of a window
    demand = blondel.Demand([5, 1, 1], first=QUARTER, duration=QUARTER, window=2 * QUARTER)
    assert [w.complete for w in demand] == [False, True]


def test_a_clock_change_cuts_windows_only_where_it_moves_the_grid():
    """Berlin's clocks move by whole hours; Lord Howe Island's by half an hour, which cuts an hour."""
    for name, day, cut in (("Europe/Berlin", "2026-10-25", 0), ("Australia/Lord_Howe", "2026-04-05", 1)):
        zone = blondel.Zone.from_tzdata(name)
        since, until = zone.period("day", day)
        n = (until - since) // QUARTER
        demand = blondel.Demand([1] * n, first=since, duration=QUARTER, window=4 * QUARTER, zone=zone)
        assert sum(not w.complete for w in demand) == cut
        assert all(zone.local(w.start).minute == 0 for w in demand if w.complete)
        assert sum(w.p for w in demand) == n


def test_windows_stand_on_local_time():
    zone = blondel.Zone.from_tzdata("Asia/Kathmandu")  # 5 h 45 min
    since, _ = zone.period("day", "2026-06-01")
    demand = blondel.Demand([1] * 96, first=since, duration=QUARTER, window=4 * QUARTER, zone=zone)
    assert len(demand) == 24 and all(w.complete for w in demand)


def test_the_earliest_of_equal_peaks_and_the_period():
    demand = blondel.Demand([3, 7, 7, 1], first=0, duration=QUARTER, window=QUARTER)
    assert demand.peak().start == QUARTER
    assert demand.peak(start=2 * QUARTER).start == 2 * QUARTER
    assert demand.peak(start=3 * QUARTER, end=4 * QUARTER).value == 4
    assert demand.peak(start=10 * QUARTER) is None
    assert demand.as_dict()["active"]["watts"] == 28


def test_coincidence():
    a = blondel.Demand([10, 2, 5], first=0, duration=QUARTER, window=QUARTER)
    b = blondel.Demand([1, 9, 8], first=0, duration=QUARTER, window=QUARTER)
    main = blondel.Demand([11, 11, 13], first=0, duration=QUARTER, window=QUARTER)
    found = blondel.coincidence(main, {"a": a, "b": b})
    assert found.own == {"a": 40, "b": 36} and found.coincident == {"a": 20, "b": 32}
    assert sum(found.coincident.values()) == found.peak.value <= sum(found.own.values())
    assert found.factor == pytest.approx(52 / 76)


@pytest.mark.parametrize(("arguments", "words"), [
    ({"window": 0}, "window"), ({"window": 7 * QUARTER, "step": 2 * QUARTER}, "multiple of its step"),
    ({"window": 7 * MINUTE}, "a day is no multiple"), ({"window": 5 * MINUTE}, "no multiple of the intervals"),
    ({"window": QUARTER, "first": MINUTE}, "grid"), ({"window": QUARTER, "duration": 0}, "duration"),
    ({"window": QUARTER, "wh_per_count": 0}, "ratio"), ({"window": QUARTER, "p": [2**63 - 1, -2**63]}, "64 bits"),
])
def test_refused(arguments, words):
    given_arguments = {"p": [1, 2, 3], "first": 0, "duration": QUARTER, **arguments}
    with pytest.raises(blondel.Error) as e:
        blondel.Demand(given_arguments.pop("p"), **given_arguments)
    assert words in str(e.value)


def test_apparent_needs_reactive_energy():
    demand = blondel.Demand([1], first=0, duration=QUARTER, window=QUARTER)
    with pytest.raises(blondel.Error):
        demand.peak("apparent")
    q = (numpy.array([4, 4], "i8"), numpy.array([True, False]))
    demand = blondel.Demand([3, 30], q=q, first=0, duration=QUARTER, window=QUARTER)
    peak = demand.peak("apparent")
    assert (peak.value, peak.left_out) == (20, 1) and demand.peak().value == 120
    assert demand.scale == Fraction(4)
