"""DataFrames in and out."""

from datetime import timedelta
from fractions import Fraction

import pytest

pandas = pytest.importorskip("pandas")

import blondel  # noqa: E402


def test_collection_out_and_in(one_panel):
    view = one_panel.view()
    frame = view.circuit.to_frame()
    assert list(frame.index) == list(view.circuit)
    assert frame.loc["P-1", "breaker_amps"] == 60
    draft = blondel.Draft().extend("circuit", frame)
    again = draft.freeze().view()
    assert [c.as_dict() for c in again.circuit.values()] == [c.as_dict() for c in view.circuit.values()]


def test_every_collection_of_the_mill_goes_there_and_back(mill):
    view = mill.view()
    draft = blondel.Draft()
    for kind in mill.kinds:
        if kind != "site":
            draft.extend(kind, view[kind].to_frame())
    again = draft.freeze().view()
    for kind in mill.kinds:
        if kind != "site":
            assert [e.as_dict() for e in again[kind].values()] == [e.as_dict() for e in view[kind].values()]


def test_a_bad_row_changes_nothing():
    frame = pandas.DataFrame({"breaker_amps": [20.0, -5.0]}, index=["A", "B"])
    draft = blondel.Draft().add("circuit", "Z")
    with pytest.raises(blondel.FieldValueError) as caught:
        draft.extend("circuit", frame)
    assert caught.value.subject == "B"
    assert draft.freeze().ids("circuit") == ("Z",)
    with pytest.raises(blondel.UnknownFieldError):
        draft.extend("circuit", pandas.DataFrame({"colour": ["red"]}, index=["A"]))


def test_missing_cells_stay_unknown():
    frame = pandas.DataFrame({"spaces": [24, None], "name": ["left", None]}, index=["A", "B"])
    view = blondel.Draft().extend("panel", frame).freeze().view()
    assert (view.panel["A"].spaces, view.panel["A"].name) == (24, "left")
    assert (view.panel["B"].spaces, view.panel["B"].name) == (None, None)


def test_report_frame(mill_mistakes):
    report = blondel.check(mill_mistakes.view())
    frame = report.to_frame()
    assert len(frame) == len(report) > 0
    assert set(frame["identity"]) == report.identities()
    empty = blondel.check(blondel.Draft().freeze().view())
    assert list(empty.to_frame().columns) == list(frame.columns)


def test_interval_frame(one_panel):
    at = pandas.to_datetime(["2026-03-01T00:00Z", "2026-03-01T00:15Z", "2026-03-01T00:00Z"])
    frame = pandas.DataFrame({"channel": ["M-4", "M-4", "M-5"], "at": at,
                              "net_p": pandas.array([10, None, 30], "Int64")})
    rule = {"duration": timedelta(minutes=15), "wh_per_count": Fraction(1, 2)}
    made = blondel.Intervals.from_frame(frame, **rule)
    assert (len(made), made.channels) == (2, ("M-4", "M-5"))
    assert made.first == blondel.instant("2026-03-01T00:00:00Z")
    statement = blondel.rollup(one_panel, made)
    assert len(statement.to_frame()) == len(statement)
    with pytest.raises(blondel.FieldTypeError):
        blondel.Intervals.from_frame(frame.assign(net_p=[1.0, 2.0, 3.0]), **rule)
    with pytest.raises(blondel.FieldTypeError):
        blondel.Intervals.from_frame(frame.assign(at=at.tz_localize(None)), **rule)
    with pytest.raises(blondel.UnknownFieldError):
        blondel.Intervals.from_frame(frame.assign(colour="red"), **rule)


def test_live_frame(one_panel):
    live = blondel.live_check(one_panel.view(), blondel.Readings.read_csv("channel,watts\nM-4,1000\n"))
    frame = live.to_frame()
    assert list(frame.index) == list(one_panel.ids("channel"))
    assert frame.loc["M-4", "watts"] == 1000
