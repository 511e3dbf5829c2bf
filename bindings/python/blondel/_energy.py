"""Intervals of channels, rolled up through the dated record."""

from __future__ import annotations

import json as _json
from collections.abc import Sequence
from typing import Any, NamedTuple, overload

from . import _blondel
from ._columns import columns, microseconds, named
from ._report import _VERDICT, Report
from .errors import RangeError

TYPE_CHECKING = False
if TYPE_CHECKING:
    import os
    from collections.abc import Callable, Iterable
    from datetime import timedelta
    from fractions import Fraction

    import numpy
    import pandas
    from numpy.typing import NDArray
    from typing_extensions import Buffer

    from ._report import Policy
    from ._site import Site
    from ._time import Instant

_ROW = {number: word for word, number in _blondel.ROW.items()}


class Intervals:
    """Energy of channels in equal intervals, in counts. Immutable.

    Long form: row i is channel ``ids[channel[i]]`` at ``at[i]`` (microseconds or datetime64[us]), with any of
    ``net_p``, ``net_q``, ``import_p`` and ``export_p``. Counts are exact: integers only, never floats.
    ``duration`` is a timedelta or microseconds, ``wh_per_count`` an int or Fraction, ``stamp`` start or end.
    """

    __slots__ = ("_handle",)

    def __init__(self, ids: Iterable[str], *, channel: Any, at: Any, duration: timedelta | int,
                 wh_per_count: int | Fraction, stamp: str = "start", net_p: Any = None, net_q: Any = None,
                 import_p: Any = None, export_p: Any = None) -> None:
        given = columns(channel=channel, at=at, net_p=net_p, net_q=net_q, import_p=import_p, export_p=export_p)
        self._handle = _blondel.Intervals(ids, given, named(_blondel.STAMP, stamp, "stamp"), microseconds(duration),
                                          wh_per_count)

    @classmethod
    def read_csv(cls, text: str | Buffer, *, duration: timedelta | int, wh_per_count: int | Fraction,
                 stamp: str = "start", max_bytes: int | None = None) -> Intervals:
        """Reads CSV (RFC 4180) in long form from str or bytes; the first record names the columns."""
        self = cls.__new__(cls)
        self._handle = _blondel.Intervals.read_csv(text, named(_blondel.STAMP, stamp, "stamp"),
                                                   microseconds(duration), wh_per_count, max_bytes)
        return self

    @classmethod
    def from_file(cls, path: str | os.PathLike[str], *, duration: timedelta | int, wh_per_count: int | Fraction,
                  stamp: str = "start", max_bytes: int | None = None) -> Intervals:
        """Reads a CSV file."""
        with open(path, "rb") as file:
            return cls.read_csv(file.read(), duration=duration, wh_per_count=wh_per_count, stamp=stamp,
                                max_bytes=max_bytes)

    @classmethod
    def from_frame(cls, frame: pandas.DataFrame, *, duration: timedelta | int, wh_per_count: int | Fraction,
                   stamp: str = "start") -> Intervals:
        """Takes a pandas DataFrame with the columns channel (ids), at (aware datetimes) and counts. The
        columns are converted, and so copied; counts with gaps come as pandas' nullable Int64."""
        from ._frames import interval_columns

        ids, given = interval_columns(frame)
        return cls(ids, duration=duration, wh_per_count=wh_per_count, stamp=stamp, **given)

    @property
    def channels(self) -> tuple[str, ...]:
        """Ids of the channels, in the order in which they came."""
        return self._handle.channels()

    @property
    def first(self) -> int | None:
        """Start of the first interval in microseconds; None when there is none."""
        return self._handle.first() if len(self) else None

    def __len__(self) -> int:
        return self._handle.count()

    def __repr__(self) -> str:
        return f"<Intervals: {len(self)} of {len(self.channels)} channels>"


class StatementRow(NamedTuple):
    """Energy of a point, a roll-up, or the rest of one channel, in counts of the statement's quantum."""

    kind: str  #: point, check, rollup, unallocated
    id: str
    premises: str
    net: int
    import_p: int
    export_p: int
    net_q: int
    intervals: int
    missing: int
    mixed: int


class Reconciliation(NamedTuple):
    """A roll-up against its main, in counts of the quantum."""

    verdict: str
    rollup: str
    main: str
    main_net: int
    sum_net: int
    intervals: int
    left_out: int
    difference_percent: float
    tolerance_percent: float


class Suspicion(NamedTuple):
    """One explanation of a difference. A suspicion, never a proof."""

    rollup: str
    point: str
    channel: str
    hypothesis: str
    missing_wh: float
    explained: float


class Statement(Sequence[StatementRow]):
    """Energy of every point and roll-up, exact. A sequence of :class:`StatementRow`."""

    __slots__ = ("_handle", "_length", "quantum", "reconciliations", "report", "rows", "suspicions")

    def __init__(self, handle: _blondel.Statement, length: int) -> None:
        self._handle = handle
        self._length = length
        #: Wh of one count
        self.quantum: Fraction = handle.quantum()
        self.rows = tuple(StatementRow(_ROW.get(r[0], str(r[0])), *r[1:]) for r in handle.rows())
        self.reconciliations = tuple(
            Reconciliation(_VERDICT.get(r[0], str(r[0])), *r[1:]) for r in handle.reconciliations())
        self.suspicions = tuple(Suspicion(*r) for r in handle.suspicions())
        self.report = Report(handle.report())

    @overload
    def __getitem__(self, i: int) -> StatementRow: ...
    @overload
    def __getitem__(self, i: slice) -> tuple[StatementRow, ...]: ...
    def __getitem__(self, i):  # type: ignore[no-untyped-def]
        return self.rows[i]

    def __len__(self) -> int:
        return len(self.rows)

    def row(self, kind: str, id: str) -> StatementRow:
        """The row of this kind and id; KeyError when there is none."""
        for row in self.rows:
            if (row.kind, row.id) == (kind, id):
                return row
        raise KeyError((kind, id))

    def wh(self, counts: int) -> Fraction:
        """Counts of the quantum as an exact number of watt-hours."""
        return counts * self.quantum

    def series(self, row: StatementRow | int, what: str = "net", *, into: Any = None) -> tuple[Any, NDArray[numpy.bool_]]:
        """What a row used in each interval: NumPy arrays of exact int64 counts and of bools, False where an
        element is missing and the count holds the known part only.

        ``row`` is a :class:`StatementRow` or its position. ``into``: an array to write to, int64 for counts
        or float64 for watt-hours, of any stride.
        """
        import numpy

        at = self.rows.index(row) if isinstance(row, StatementRow) else row
        if at < 0 or at >= len(self.rows):
            raise RangeError(f"row {at} of {len(self.rows)}")
        if into is None:
            into = numpy.empty(self._length, numpy.int64)
        bits = numpy.zeros((self._length + 7) // 8, numpy.uint8)
        self._handle.series(at, named(_blondel.SERIES, what, "what"), into, bits)
        return into, numpy.unpackbits(bits, count=self._length, bitorder="little").astype(bool)

    def as_dict(self) -> dict[str, Any]:
        """The whole statement as its JSON reads."""
        return _json.loads(self._handle.json())

    def json(self) -> str:
        """The same as JSON text."""
        return self._handle.json()

    def to_frame(self) -> pandas.DataFrame:
        """A pandas DataFrame: one row a row of the statement, counts as int64."""
        from ._frames import rows_frame

        return rows_frame(self.rows, StatementRow, None)

    def __repr__(self) -> str:
        return f"<Statement: {len(self)} rows, {self._length} intervals, {self.quantum} Wh a count>"


def rollup(site: Site, intervals: Intervals, *, known: Instant | None = None, policy: Policy | None = None,
           progress: Callable[[int, int], object] | None = None) -> Statement:
    """Rolls intervals up through the dated record: every interval uses the record as it held then, as far as
    was recorded up to ``known`` (None: all). ``progress`` as in :func:`blondel.check`."""
    handle = _blondel.rollup(site._handle, known, intervals._handle, None if policy is None else policy._handle,
                             progress)
    return Statement(handle, len(intervals))
