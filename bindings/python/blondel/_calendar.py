"""Zone rules, local time, billing periods, and time-of-use tables."""

from __future__ import annotations

import json as _json
from typing import Any, NamedTuple

from . import _blondel
from ._columns import columns, counts, microseconds, named
from ._time import instant

TYPE_CHECKING = False
if TYPE_CHECKING:
    from datetime import date, datetime, timedelta
    from fractions import Fraction

    from typing_extensions import Buffer

    from ._energy import Statement, StatementRow
    from ._site import Site
    from ._time import Instant


class LocalTime(NamedTuple):
    """What a clock on the wall shows."""

    year: int
    month: int
    day: int
    hour: int
    minute: int
    second: int
    microsecond: int
    weekday: int  #: 1 Monday to 7 Sunday
    offset_seconds: int  #: local time minus UTC
    summer: bool  #: the rules call it daylight saving time
    repeated: bool  #: the second of two instants at which clocks show this time
    letters: str


class Zone:
    """Rules of one time zone from the bytes of a TZif file (RFC 9636). Immutable.

    ``version`` is the edition of the rules, such as ``2026a``; it stands in every result.
    """

    __slots__ = ("_handle",)

    def __init__(self, name: str, tzif: Buffer, version: str) -> None:
        self._handle = _blondel.Zone(name, tzif, version)

    @classmethod
    def from_tzdata(cls, name: str) -> Zone:
        """Takes the rules from the package ``tzdata``, which must be installed. Nothing of the system is read."""
        from importlib.resources import files

        import tzdata

        path = files("tzdata").joinpath("zoneinfo", *name.split("/"))
        return cls(name, path.read_bytes(), tzdata.IANA_VERSION)

    @property
    def name(self) -> str:
        """Name in the IANA database."""
        return self._handle.name()

    @property
    def version(self) -> str:
        """Edition of the rules."""
        return self._handle.version()

    @property
    def digest(self) -> str:
        """SHA-256 of the bytes."""
        return self._handle.digest()

    def check(self, site: Site) -> None:
        """Raises unless this is the zone that the record names."""
        self._handle.matches(site._handle)

    def local(self, at: Instant | str) -> LocalTime:
        """Local time of an instant."""
        return LocalTime(*self._handle.local(instant(at)))

    def instants(self, local: str | datetime) -> tuple[int, ...]:
        """The instants at which clocks show a local time: one; two where it is repeated; none where it is skipped.
        ``local`` is a naive datetime or a text like 2026-10-25T02:30:00."""
        count, earlier, later = self._handle.moments(_local_text(local))
        return (earlier, later)[:count]

    def skipped_at(self, local: str | datetime) -> int | None:
        """The instant at which clocks were put forward over a local time; None when they show it."""
        count, earlier, _ = self._handle.moments(_local_text(local))
        return None if count else earlier

    def period(self, kind: str, date: str | date) -> tuple[int, int]:
        """The day, week, month, quarter or year [from, to) that holds a local date, from midnight to midnight."""
        return self._handle.period(named(_blondel.PERIOD, kind, "kind"), str(date))

    def dates(self, first: str | date, after: str | date) -> tuple[int, int]:
        """[from, to) from midnight of one local date to midnight of another."""
        return self.period("day", first)[0], self.period("day", after)[0]

    def __repr__(self) -> str:
        return f"<Zone {self.name} ({self.version})>"


def _local_text(local: str | datetime) -> str:
    return local if isinstance(local, str) else local.isoformat()


class BinRow(NamedTuple):
    """Energy of one bin in counts."""

    bin: str
    count: int  #: whole counts: the bins add up to the total
    exact: Fraction  #: before rounding
    intervals: int
    divided: int
    missing: int
    time: int  #: elapsed microseconds


class Bins(tuple[BinRow, ...]):
    """The bins of a table with their energy, in the order of the table."""

    _handle: _blondel.Bins

    @classmethod
    def _of(cls, handle: _blondel.Bins) -> Bins:
        self = cls(BinRow(r[0], r[1], r[2] + r[3], *r[4:]) for r in handle.rows())
        self._handle = handle
        return self

    @property
    def total(self) -> int:
        """Sum of the series, and so of the bins, in counts."""
        return self._handle.total()

    def as_dict(self) -> dict[str, Any]:
        """The result as its JSON reads, with the editions of what it rests on."""
        return _json.loads(self._handle.json())

    def json(self) -> str:
        """The same as JSON text."""
        return self._handle.json()


class TimeOfUse:
    """A time-of-use table: which bin each minute of the local calendar falls into. Immutable."""

    __slots__ = ("_handle",)

    def __init__(self, table: str | Buffer | dict[str, Any], *, max_depth: int | None = None,
                 max_bytes: int | None = None) -> None:
        text = _json.dumps(table) if isinstance(table, dict) else table
        self._handle = _blondel.TimeOfUse(text, max_depth, max_bytes)

    @property
    def bins(self) -> tuple[str, ...]:
        """Names of the bins."""
        return self._handle.bins()

    def at(self, local: str | datetime) -> str:
        """The bin of a local time."""
        return self._handle.at(_local_text(local))

    def divide(self, zone: Zone, p: Any, *, first: Instant, duration: timedelta | int, wh_per_count: int | Fraction = 1,
               straddle: str = "refuse") -> Bins:
        """Divides energy in equal intervals among the bins by the local time at each interval's start.

        ``p``: integers, or ``(integers, validity)`` as :meth:`Statement.series` gives them; an incomplete item counts as the known part that it holds.
        ``straddle``: ``refuse``, or ``divide`` an interval in which the bin changes by time, exactly."""
        given = columns(p=counts(p))["p"]
        return Bins._of(self._handle.divide(zone._handle, first, microseconds(duration), wh_per_count, given,
                                            named(_blondel.STRADDLE, straddle, "straddle")))

    def divide_row(self, zone: Zone, statement: Statement, row: StatementRow | int, *, first: Instant,
                   duration: timedelta | int, straddle: str = "refuse") -> Bins:
        """The same for a row of a statement whose intervals begin at ``first``."""
        return self.divide(zone, statement.series(row), first=first, duration=duration,
                           wh_per_count=statement.quantum, straddle=straddle)
