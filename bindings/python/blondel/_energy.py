"""Intervals of channels, rolled up through the dated record."""

from __future__ import annotations

import json as _json
from collections.abc import Sequence
from typing import Any, NamedTuple, overload

from . import _blondel
from ._columns import microseconds, named
from ._intervals import Intervals
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

_BAR = {number: word for word, number in _blondel.APPARENT_BAR.items()}
#: codes of QualityOfReading in the ESPI schema
QUALITY = {"valid": 0, "manually_edited": 7, "estimated_reference_day": 8, "estimated_interpolated": 9,
           "questionable": 10, "derived": 11, "mixed": 13, "raw": 14, "validated": 17, "verified": 18,
           "revenue_quality": 19}
_ROW = {number: word for word, number in _blondel.ROW.items()}


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
    import_q: int
    export_q: int
    apparent: int | None  #: counts of VAh, root of the squares of P and Q of each interval; None: not stated
    apparent_intervals: int
    power_factor: float | None  #: of the period, over the same intervals
    apparent_bar: str  #: why apparent energy is not stated: none, reweighted_channel, summed_currents, part_without
    measured: int  #: intervals; measured + flagged + missing are all of them
    flagged: int
    flagged_net: int
    worst_quality: int | None  #: code of the worst interval that is there


class Tenure(NamedTuple):
    """The energy of one point while one holder paid for it, in counts of the quantum. Those of a point add up to its
    row: they follow one another without gaps, and an interval in which the holder changes is divided by time."""

    point: str
    premises: str
    occupancy: str
    occupant: str
    begin: int  #: microseconds since 1970-01-01 UTC
    end: int
    net: int
    import_p: int
    export_p: int
    net_q: int
    import_q: int
    export_q: int
    apparent: int | None  #: over whole intervals; None: not stated
    apparent_intervals: int
    power_factor: float | None
    measured: int  #: whole intervals, as flagged and missing
    flagged: int
    missing: int
    divided: int  #: intervals shared with the tenure before or after
    flagged_net: int


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

    __slots__ = ("_handle", "_length", "begin", "end", "known", "quantum", "reconciliations", "report", "rows",
                 "suspicions", "tenures")

    def __init__(self, handle: _blondel.Statement, length: int) -> None:
        self._handle = handle
        #: Wh of one count
        self.quantum: Fraction = handle.quantum()
        self.rows = tuple(StatementRow(_ROW.get(r[0], str(r[0])), *r[1:15], _BAR.get(r[15], str(r[15])), *r[16:])
                          for r in handle.rows())
        # A period has intervals of its own; a statement without rows has nothing to show of them.
        self._length = self.rows[0].intervals if self.rows else length
        #: the period, [begin, end), and what was known, in microseconds
        self.begin, self.end, self.known = handle.period()
        self.reconciliations = tuple(
            Reconciliation(_VERDICT.get(r[0], str(r[0])), *r[1:]) for r in handle.reconciliations())
        #: who held each point from when to when, and what came in that time
        self.tenures = tuple(Tenure(self.rows[t[0]].id, *t[1:]) for t in handle.tenures())
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

    def quality(self, row: StatementRow | int) -> dict[str, int]:
        """How many intervals of a row have which quality as their worst part: words of :data:`QUALITY`."""
        at = self.rows.index(row) if isinstance(row, StatementRow) else row
        counts = {word: self._handle.quality(at, code) for word, code in QUALITY.items()}
        return {word: n for word, n in counts.items() if n > 0}

    def column(self, what: str, *, into: Any = None) -> NDArray[Any]:
        """One member of every row as an array: int64 counts, or watt-hours where ``into`` is float64."""
        import numpy

        if into is None:
            into = numpy.empty(len(self.rows), numpy.float64 if what == "power_factor" else numpy.int64)
        self._handle.column(named(_blondel.OF_ROW, what, "what"), into, None)
        return into

    def csv(self) -> str:
        """The rows as CSV, each with period and quantum."""
        return self._handle.csv()

    def tenures_csv(self) -> str:
        """The tenures as CSV, each with its time and the quantum."""
        return self._handle.tenures_csv()

    def tenures_frame(self) -> pandas.DataFrame:
        """A pandas DataFrame: one row a tenure, counts as int64."""
        from ._frames import rows_frame

        return rows_frame(self.tenures, Tenure, None)

    @property
    def record_digest(self) -> str:
        """SHA-256 of the record."""
        return self._handle.record_digest()

    @property
    def input_digest(self) -> str:
        """SHA-256 of rule, channels and counts that went in; empty for a stream that was not told to keep one."""
        return self._handle.input_digest()

    def to_frame(self) -> pandas.DataFrame:
        """A pandas DataFrame: one row a row of the statement, counts as int64."""
        from ._frames import rows_frame

        return rows_frame(self.rows, StatementRow, None)

    def __repr__(self) -> str:
        return f"<Statement: {len(self)} rows, {self._length} intervals, {self.quantum} Wh a count>"


def rollup(site: Site, intervals: Intervals, *, begin: Instant | None = None, end: Instant | None = None,
           quantum: int | Fraction | None = None, known: Instant | None = None, policy: Policy | None = None,
           progress: Callable[[int, int], object] | None = None) -> Statement:
    """Rolls intervals up through the dated record: every interval uses the record as it held then, as far as
    was recorded up to ``known`` (None: all).

    ``begin`` and ``end`` (exclusive) cut a period, such as a month in local time; None: as far as the intervals
    go. ``quantum``: watt-hours of one count of the statement; None: the greatest that makes every energy whole.
    With a quantum, rounding is cumulative in time and by largest remainder across the parties: intervals add up
    to the period, and parties to the total. ``progress`` as in :func:`blondel.check`.
    """
    handle = _blondel.rollup(site._handle, begin, end, known, quantum, intervals._handle,
                             None if policy is None else policy._handle, progress)
    return Statement(handle, len(intervals))


class RollupStream:
    """A roll-up of intervals that come in blocks. Its memory does not grow with time.

    ``begin`` and ``end`` (exclusive) are the period, ``first`` the start of its first interval (None: ``begin``),
    ``channels`` the ids in the order of the rows of every block. ``reactive``: blocks bring reactive energy.
    ``digest``: keep a digest of all that comes. Belongs to one thread at a time; :meth:`push` frees the GIL.
    """

    __slots__ = ("_channels", "_handle")

    def __init__(self, site: Site, channels: Iterable[str], *, begin: Instant, end: Instant, duration: timedelta | int,
                 wh_per_count: int | Fraction, first: Instant | None = None, known: Instant | None = None,
                 quantum: int | Fraction | None = None, reactive: bool = False, digest: bool = False,
                 policy: Policy | None = None) -> None:
        ids = list(channels)
        flags = (_blondel.STREAM_REACTIVE if reactive else 0) | (_blondel.STREAM_DIGEST if digest else 0)
        self._channels = len(ids)
        self._handle = _blondel.RollupStream(site._handle, begin, end, known, quantum, first, microseconds(duration),
                                             wh_per_count, ids, flags, None if policy is None else policy._handle)

    def __len__(self) -> int:
        """Intervals of the period."""
        return self._handle.intervals()

    @property
    def done(self) -> int:
        """Intervals that have come."""
        return self._handle.done()

    @property
    def rows(self) -> list[str]:
        """Ids of the rows of the statement to come, in their order."""
        return self._handle.rows()

    def push(self, net_p: Any = None, net_q: Any = None, quality: Any = None, *, net_p_valid: Any = None,
             net_q_valid: Any = None, intervals: int | None = None, into: Any = None, into_q: Any = None,
             complete: Any = None, into_quality: Any = None) -> None:
        """Takes the next intervals of all channels: matrices of one row a channel and one column an interval.

        Int64 counts (uint8 quality codes) whose rows are contiguous are read where they lie. ``..._valid``: packed
        bits (``numpy.packbits(..., axis=1, bitorder="little")``). Without any matrix, ``intervals`` are missing.
        ``into`` and the like: matrices of one row a row of the statement, int64 (uint8 for ``complete`` and
        ``into_quality``), that take what every row used.
        """
        for matrix in (net_p, net_q):
            if intervals is None and matrix is not None:
                intervals = matrix.shape[1]
        if intervals is None:
            raise RangeError("a block without counts says how many intervals are missing")
        self._handle.push(self._channels, intervals, (net_p, net_p_valid, net_q, net_q_valid, quality),
                          (into, into_q, complete, into_quality))

    def finish(self) -> Statement:
        """The statement, once all intervals have come. It has no series and no suspicions."""
        return Statement(self._handle.finish(), len(self))

    def __repr__(self) -> str:
        return f"<RollupStream: {self.done} of {len(self)} intervals of {self._channels} channels>"
