"""Common energy divided among parties."""

import itertools
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

import blondel

PERIOD = {"start": 0, "end": 30 * 86_400_000_000}
DAY = 86_400_000_000
WEIGHTS = st.dictionaries(st.text("abcXYZ019", min_size=1, max_size=4),
                          st.fractions(0, 1000, max_denominator=60), min_size=1, max_size=12)


def largest_remainder(total, weights):
    """The rule, written once more with Python's own exact numbers."""
    whole = sum(weights.values())
    exact = {k: Fraction(total) * w / whole for k, w in weights.items()}
    parts = {k: x.__floor__() for k, x in exact.items()}
    order = sorted(exact, key=lambda k: (-(exact[k] - parts[k]), k))
    for k in order[:total - sum(parts.values())]:
        parts[k] += 1
    return parts, exact


@given(WEIGHTS, st.integers(-2**63, 2**63 - 1))
def test_the_parts_are_the_whole(weights, total):
    if not any(weights.values()):
        return
    found = blondel.apportion(total, weights=weights, **PERIOD)
    parts, exact = largest_remainder(total, weights)
    assert sum(found.parts.values()) == total
    assert found.parts == parts
    assert {s.id: s.exact for s in found} == exact
    assert all(abs(s.exact - s.part) < 1 for s in found)


@given(WEIGHTS, st.integers(-10**6, 10**6), st.randoms())
def test_order_does_not_matter(weights, total, rng):
    if not any(weights.values()):
        return
    keys = list(weights.items())
    rng.shuffle(keys)
    assert blondel.apportion(total, weights=dict(keys), **PERIOD).parts == blondel.apportion(
        total, weights=weights, **PERIOD).parts


@given(WEIGHTS, st.integers(0, 10**6), st.data())
def test_caps_hold_and_nothing_is_lost(weights, total, data):
    weights = {k: w + 1 for k, w in weights.items()}
    caps = {k: data.draw(st.integers(0, total)) for k in weights if data.draw(st.booleans())}
    room = sum(caps.values()) if len(caps) == len(weights) else total
    if room < total:
        with pytest.raises(blondel.Error) as e:
            blondel.apportion(total, weights=weights, caps=caps, **PERIOD)
        assert "cannot hold the whole" in str(e.value)
        return
    found = blondel.apportion(total, weights=weights, caps=caps, **PERIOD)
    assert sum(found.parts.values()) == total
    assert all(found.parts[k] <= cap for k, cap in caps.items())
    free = [s for s in found if not s.capped]
    # Those below their caps stand in the proportion of their weights.
    for a, b in itertools.pairwise(free):
        assert a.exact * weights[b.id] == b.exact * weights[a.id]


@given(st.lists(st.tuples(st.integers(1, 29), st.integers(0, 9), st.integers(1, 9)), min_size=1, max_size=6),
       st.integers(-10**9, 10**9))
def test_dated_weights_go_by_time(moves, total):
    """Each party's weight changes on its own day; another's never does."""
    weights = {f"p{i}": [(None, day * DAY, before), (day * DAY, None, after)]
               for i, (day, before, after) in enumerate(moves)}
    found = blondel.apportion(total, weights={**weights, "z": 5}, **PERIOD)
    exact = dict.fromkeys([*weights, "z"], Fraction(0))
    for day in range(30):
        now = {f"p{i}": (before if day < change else after) for i, (change, before, after) in enumerate(moves)}
        now["z"] = 5
        for k, w in now.items():
            exact[k] += Fraction(total, 30) * w / sum(now.values())
    assert {s.id: s.exact for s in found} == exact
    assert sum(found.parts.values()) == total


def test_equal_shares_ignore_weights_and_exclusions_are_told():
    found = blondel.apportion(100, "equal", weights={"a": 5, "b": 7, "c": 9, "d": 1}, excluded={"d": "has its own meter"},
                              **PERIOD)
    assert found.parts == {"a": 34, "b": 33, "c": 33, "d": 0}
    assert "d takes no part: has its own meter." in found.words()


def test_premises_of_a_record():
    site = blondel.Site.read("""{"blondel":"1","premises":{
        "shop":{"area_m2":125.5,"occupancy":"tenant"},"flat":{"area_m2":88.2},"attic":{"area_m2":61.3,"occupancy":"vacant"},
        "stairs":{"occupancy":"common"}}}""")
    found = blondel.apportion(1000, "area", site=site, unit="kWh", **PERIOD)
    assert found.parts == {"attic": 223, "flat": 321, "shop": 456, "stairs": 0}
    assert found.parts["shop"] + found.parts["flat"] + found.parts["attic"] == 1000
    assert blondel.apportion(10, "equal", site=site, **PERIOD).parts == {"attic": 4, "flat": 3, "shop": 3, "stairs": 0}
    with pytest.raises(blondel.Error) as e:
        blondel.apportion(1, "area", site=site, excluded=["cellar"], **PERIOD)
    assert "cellar" in str(e.value)
    site = blondel.Site.read('{"blondel":"1","premises":{"a":{"area_m2":10},"b":{}}}')
    with pytest.raises(blondel.Error) as e:
        blondel.apportion(1, "area", site=site, **PERIOD)
    assert "no area" in str(e.value)
    assert blondel.apportion(9, "area", site=site, excluded=["b"], **PERIOD).parts == {"a": 9, "b": 0}


def test_a_record_that_changes():
    site = blondel.Site.read("""{"blondel":"1","premises":{"a":{"area_m2":100},"b":{"area_m2":{"dated":[
        {"to":"1970-01-16T00:00:00Z","value":100},{"from":"1970-01-16T00:00:00Z","value":300}]}}}}""")
    found = blondel.apportion(800, "area", site=site, **PERIOD)  # half of the time 1:1, half 1:3
    assert found.parts == {"a": 300, "b": 500}
    assert [s.kind for s in found.working].count("span") == 2


def test_the_working_is_shown():
    found = blondel.apportion(10, weights={"a": 1, "b": 1, "c": 1}, caps={"a": 2}, unit="kWh", **PERIOD)
    assert found.parts == {"a": 2, "b": 4, "c": 4}
    assert [s.kind for s in found.working] == ["span", *["weight"] * 3, *["share"] * 3, "cap", *["rounding"] * 3]
    words = found.words().splitlines()
    assert words[0].startswith("10 kWh are divided by given weights")
    assert any(line.startswith("a would take 3.333333 and is capped at 2 kWh") for line in words)
    data = found.as_dict()
    assert [p["part"] for p in data["parts"]] == ["2", "4", "4"] and len(data["working"]) == len(found.working)


@pytest.mark.parametrize(("arguments", "words"), [
    ({"weights": {}}, "nobody"), ({"weights": {"a": 0, "b": 0}}, "all weights are zero"),
    ({"weights": {"a": -1, "b": 2}}, "negative"), ({"weights": {"a": 1}, "end": 0}, "no length"),
    ({"weights": {"a": 1}, "caps": {"a": 9}}, "cannot hold the whole: 1 counts"),
    ({"weights": {"a": 1}, "caps": {"a": -1}}, "cap of a"),
    ({"weights": {"a": [(None, None, 1), (5, None, 2)]}}, "two weights"),
    ({"weights": {"a": [(None, 5, 1)]}}, "all weights are zero"), ({"weights": {"a": 1}, "excluded": ["a"]}, "nobody"),
    ({"weights": {"a": [(7, 7, 1)]}}, "ends before it begins"), ({"weights": {"": 1}}, "no id"),
])
def test_refused(arguments, words):
    with pytest.raises(blondel.Error) as e:
        blondel.apportion(10, **{**PERIOD, **arguments})
    assert words in str(e.value)


def test_no_length_of_numbers_overflows():
    weights = {f"p{i:03}": [(None, (i + 1) * 1_234_567, Fraction(2**62 + i, 2**61 - i)),
                            ((i + 1) * 1_234_567, None, Fraction(2**60 - i, 3**30 + i))] for i in range(12)}
    found = blondel.apportion(2**63 - 1, weights=weights, **PERIOD)
    assert sum(found.parts.values()) == 2**63 - 1
    assert sum(s.exact for s in found) == 2**63 - 1
