"""Arrays enter where they lie: type, stride, byte order and validity are checked, nothing is converted."""

import array
from datetime import timedelta
from fractions import Fraction

import numpy as np
import pytest

import blondel
from blondel import Column, Intervals, Readings

RULE = {"duration": timedelta(minutes=15), "wh_per_count": 1}
STEP = 900_000_000


def intervals(at=None, channel=None, **registers):
    first = next(iter(registers.values()))
    n = len(first.data if isinstance(first, Column) else first)
    at = np.arange(n, dtype=np.int64) * STEP if at is None else at
    channel = np.zeros(n, np.int32) if channel is None else channel
    return Intervals(["K"], at=at, channel=channel, **RULE, **registers)


@pytest.fixture(scope="module")
def site():
    """One channel, one point."""
    draft = blondel.Draft()
    draft.add("service", "S", kind="single_phase_two_wire", volts_ln=230)
    draft.add("panel", "P", service="S", spaces=2, bus="A", numbering="one_column")
    draft.add("circuit", "C", panel="P", spaces=[1], breaker_amps=16, role="premises")
    draft.add("ct_type", "T", primary_amps=60, secondary=20, output="milliamps", mark_faces="source")
    draft.add("ct", "X", type="T", passes={"C:1": 1}, mark_faces="source")
    draft.add("profile", "F", inputs=3, references=["A", "N"])
    draft.add("device", "D", profile="F", service="S")
    draft.add("channel", "K", device="D", input=1, cts={"X": 1}, reference="A-N", primary_amps=60, secondary=20)
    draft.add("premises", "M", occupancy="tenant")
    draft.add("point", "B", premises="M", circuits=["C"], elements={"K": 1})
    return draft.freeze()


def net(site, made):
    return blondel.rollup(site, made).row("point", "B").net * blondel.rollup(site, made).quantum


@pytest.mark.parametrize("dtype", [np.uint8, np.int16, np.int32, np.int64])
def test_integer_types(site, dtype):
    assert net(site, intervals(net_p=np.array([1, 2, 30], dtype))) == 33


@pytest.mark.parametrize("dtype", [np.float32, np.float64])
def test_floats_are_no_energy(dtype):
    with pytest.raises(blondel.FieldTypeError):
        intervals(net_p=np.array([1, 2, 3], dtype))


@pytest.mark.parametrize(
    "data",
    [
        np.array([1, 2, 3], ">i8"),
        np.array([1, 2, 3], np.uint32),
        np.array([1, 2, 3], np.uint64),
        np.array([1, 2, 3], np.int8),
        np.array([True, False, True]),
        np.array([1, 2, 3], complex),
        np.array([1, 2, 3], object),
        np.array(["1", "2", "3"]),
        np.array([[1], [2], [3]]),
        np.array([1, 2, 3], "m8[us]"),
        [1, 2, 3],
        (1, 2, 3),
        range(3),
        "123",
    ],
    ids=lambda d: str(getattr(d, "dtype", type(d).__name__)),
)
def test_what_cannot_be_read_in_place_is_refused(data):
    with pytest.raises(blondel.FieldTypeError):
        intervals(net_p=data, at=np.arange(3) * STEP, channel=np.zeros(3, np.int32))


def test_strides(site):
    base = np.arange(100, dtype=np.int64)
    assert net(site, intervals(net_p=base[10:40:10])) == 10 + 20 + 30
    assert net(site, intervals(net_p=base[3:0:-1])) == 6
    table = np.arange(12, dtype=np.int32).reshape(4, 3)
    assert net(site, intervals(net_p=table[:, 1])) == 1 + 4 + 7 + 10
    record = np.zeros(3, [("a", "u1"), ("n", "<i8")])
    record["n"] = [5, 6, 7]
    assert net(site, intervals(net_p=record["n"])) == 18


def test_stride_of_zero_is_refused():
    with pytest.raises(blondel.RangeError):
        intervals(net_p=np.broadcast_to(np.int64(5), 3))


def test_nothing_is_copied_or_written():
    data = np.array([1, 2, 3], np.int64)
    data.setflags(write=False)
    intervals(net_p=data)
    assert list(data) == [1, 2, 3]


def test_other_buffers(site):
    assert net(site, intervals(net_p=array.array("q", [1, 2, 3]))) == 6
    assert net(site, intervals(net_p=memoryview(array.array("i", [1, 2, 3])))) == 6
    assert net(site, intervals(net_p=bytes([1, 2, 3]))) == 6


def test_array_interface(site):
    data = np.array([4, 5, 6], np.int64)

    class Wrapped:
        __array_interface__ = data.__array_interface__

        def __len__(self):
            return 3

    assert net(site, intervals(net_p=Wrapped())) == 15


def test_pandas_series(site):
    pandas = pytest.importorskip("pandas")
    assert net(site, intervals(net_p=pandas.Series([1, 2, 3]))) == 6
    with pytest.raises(blondel.FieldTypeError):
        intervals(net_p=pandas.Series([1.5, 2, 3]))


def test_lengths_must_agree():
    with pytest.raises(blondel.RangeError):
        Intervals(["K"], channel=np.zeros(2, np.int32), at=np.zeros(3, np.int64), net_p=np.zeros(3, np.int64), **RULE)
    with pytest.raises(blondel.RangeError):
        Readings(["K"], watts=np.zeros(2))


def test_validity(site):
    data = np.array([10, 20, 30], np.int64)
    mask = np.array([True, False, True])
    statement = blondel.rollup(site, intervals(net_p=Column(data, mask)))
    row = statement.row("point", "B")
    assert (row.net * statement.quantum, row.intervals, row.missing) == (40, 3, 1)
    counts, valid = statement.series(row)
    assert counts.dtype == np.int64
    assert valid.dtype == bool
    assert list(valid) == [True, False, True]
    bitmap = np.packbits(mask, bitorder="little")
    assert net(site, intervals(net_p=Column(data, bitmap))) == 40
    assert net(site, intervals(net_p=Column(data, bytes(bitmap)))) == 40
    assert net(site, intervals(net_p=Column(data, np.array([1, 1, 0, 0, 1, 1], bool)[::2]))) == 40


@pytest.mark.parametrize("mask", [np.array([True]), np.array([1, 0, 1]), np.array([1.0, 0, 1]), b"", np.ones((3, 1), bool)],
                         ids=str)
def test_wrong_validity(mask):
    with pytest.raises((blondel.RangeError, blondel.FieldTypeError)):
        intervals(net_p=Column(np.array([1, 2, 3]), mask))


def test_datetime64_columns(site):
    at = np.array(["2026-03-01T00:00", "2026-03-01T00:15"], "datetime64[us]")
    made = intervals(net_p=np.array([1, 2]), at=at)
    assert made.first == blondel.instant("2026-03-01T00:00:00Z")
    with pytest.raises(blondel.FieldTypeError):
        intervals(net_p=np.array([1, 2]), at=at.astype("datetime64[ns]"))
    with pytest.raises(blondel.FieldTypeError):
        intervals(net_p=np.array([1, 2]), at=np.array([0.0, 9e8]))


def test_series_into_memory_of_the_caller(site):
    statement = blondel.rollup(site, intervals(net_p=np.array([10, 20, 30])))
    row = statement.row("point", "B")
    fresh, valid = statement.series(row)
    table = np.full((3, 2), -1, np.int64)
    statement.series(row, into=table[:, 1])
    assert list(table[:, 1]) == list(fresh)
    assert list(table[:, 0]) == [-1, -1, -1]
    wh = np.zeros(3)
    statement.series(row, into=wh)
    assert list(wh) == [10.0, 20.0, 30.0]
    assert valid.all()
    assert [int(c) * statement.quantum for c in fresh] == [10, 20, 30]
    for bad in (np.zeros(2, np.int64), np.zeros(3, np.int16), np.zeros(3, np.float32)):
        with pytest.raises(blondel.Error):
            statement.series(row, into=bad)
    locked = np.zeros(3, np.int64)
    locked.setflags(write=False)
    with pytest.raises(blondel.FieldTypeError):
        statement.series(row, into=locked)
    with pytest.raises(blondel.RangeError):
        statement.series(99)
    with pytest.raises(blondel.RangeError):
        statement.series(row, "voltage")


def test_counts_keep_all_64_bits(site):
    big = 2**62 + 12345
    statement = blondel.rollup(site, intervals(net_p=np.array([big])))
    row = statement.row("point", "B")
    assert row.net * statement.quantum == big
    with pytest.raises(blondel.ExactOverflowError):
        blondel.rollup(site, intervals(net_p=np.array([2**63 - 1, 2**63 - 1])))


def test_wh_per_count_is_exact(site):
    made = Intervals(["K"], channel=np.zeros(3, np.int32), at=np.arange(3) * STEP, net_p=np.array([1, 1, 1]),
                     duration=timedelta(minutes=15), wh_per_count=Fraction(1, 3))
    assert len(made) == 3
    with pytest.raises(blondel.FieldTypeError):
        Intervals(["K"], channel=np.zeros(1, np.int32), at=np.zeros(1, np.int64), net_p=np.array([1]),
                  duration=timedelta(minutes=15), wh_per_count=0.5)


def test_conventions_are_required():
    with pytest.raises(blondel.ConventionError):
        Readings(["K"], angle_deg=np.array([10.0]))
    with pytest.raises(blondel.ConventionError):
        Readings(["K"], power_factor=np.array([0.9]))
    assert len(Readings(["K"], angle_deg=np.array([10.0]), angle_convention="v_minus_i")) == 1
    with pytest.raises(blondel.RangeError):
        Readings(["K"], angle_deg=np.array([10.0]), angle_convention="clockwise")


def test_readings_refuse_what_is_not_finite():
    with pytest.raises(blondel.NotFiniteError) as caught:
        Readings(["K", "K"], watts=np.array([1.0, np.nan]))
    assert caught.value.line == 2
    assert len(Readings(["K", "K"], watts=Column(np.array([1.0, np.nan]), np.array([True, False])))) == 2


def test_float_and_integer_readings():
    for dtype in (np.float32, np.float64, np.int32, np.int64, np.int16, np.uint8):
        assert len(Readings(["K"], volts=np.array([120], dtype))) == 1
