"""Block and rolling demand, its peaks, and what coincides."""

from __future__ import annotations

import json as _json
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple, overload

from . import _blondel
from ._columns import columns, counts, microseconds, named
from .errors import RangeError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from datetime import timedelta
    from fractions import Fraction

    from ._calendar import TimeOfUse, Zone
    from ._time import Instant


class Window(NamedTuple):
    """One window. Energies are counts of the series."""

    start: int  #: microseconds since 1970-01-01 UTC
    end: int
    complete: bool  #: only a complete window is billable
    p: int
    q: int
    complete_q: bool
    watts: float
    voltamperes: float  #: by the vector definition


class Peak(NamedTuple):
    """A maximum of demand with its time."""

    window: int  #: position
    start: int  #: microseconds since 1970-01-01 UTC
    value: float  #: W or VA
    billable: int  #: windows compared
    left_out: int  #: incomplete windows
    straddling: int  #: windows of which only a part lies in the bin that was asked for


class Demand(Sequence[Window]):
    """Demand of one series: its windows in order. Immutable.

    ``window`` is the length; ``step`` that from one window to the next (None: block demand). The grid begins at
    local midnight of ``zone`` (None: UTC). ``p`` and ``q``: integers, or ``(integers, validity)``.
    """

    __slots__ = ("_handle",)

    def __init__(self, p: Any, *, first: Instant, duration: timedelta | int, window: timedelta | int,
                 step: timedelta | int | None = None, q: Any = None, wh_per_count: int | Fraction = 1,
                 zone: Zone | None = None) -> None:
        given = columns(p=counts(p), q=counts(q))
        self._handle = _blondel.Demand(None if zone is None else zone._handle, microseconds(window),
                                       microseconds(window if step is None else step), first, microseconds(duration),
                                       wh_per_count, given["p"], given.get("q"))

    @overload
    def __getitem__(self, i: int) -> Window: ...
    @overload
    def __getitem__(self, i: slice) -> tuple[Window, ...]: ...
    def __getitem__(self, i):  # type: ignore[no-untyped-def]
        if isinstance(i, slice):
            return tuple(self[k] for k in range(*i.indices(len(self))))
        if i < 0:
            i += len(self)
        if not 0 <= i < len(self):
            raise IndexError(i)
        return Window(*self._handle.at(i))

    def __len__(self) -> int:
        return len(self._handle)

    @property
    def scale(self) -> Fraction:
        """Watts of one count in a window, exactly."""
        return self._handle.scale()

    def find(self, start: Instant) -> Window | None:
        """The window that begins at an instant: with the start of another peak, the coincident demand."""
        at = self._handle.find(start)
        return None if at < 0 else self[at]

    def peak(self, kind: str = "active", *, start: Instant | None = None, end: Instant | None = None,
             table: TimeOfUse | None = None, zone: Zone | None = None, bin: str | None = None) -> Peak | None:
        """The largest active (W) or apparent (VA) demand among the complete windows in [start, end); None when there
        is none. With ``table``, ``zone`` and ``bin``: among those that lie wholly in that bin, such as on-peak."""
        at = 0
        if table is not None:
            if bin not in table.bins:
                raise RangeError(f"the table has no bin {bin!r}")
            at = table.bins.index(bin)
        found = self._handle.peak(named(_blondel.DEMAND, kind, "kind"), start, end,
                                  None if table is None else table._handle, None if zone is None else zone._handle, at)
        return Peak(*found[1:]) if found[0] else None

    def as_dict(self, *, start: Instant | None = None, end: Instant | None = None) -> dict[str, Any]:
        """The peaks of [start, end) as their JSON reads."""
        return _json.loads(self.json(start=start, end=end))

    def json(self, *, start: Instant | None = None, end: Instant | None = None) -> str:
        """The same as JSON text."""
        return self._handle.json(start, end)


class Coincidence(NamedTuple):
    """Own peaks of the parts, and their demand in the window of the main's peak; W."""

    peak: Peak  #: of the main
    own: dict[str, float]  #: non-coincident
    coincident: dict[str, float]  #: at the main's peak
    factor: float  #: sum coincident / sum non-coincident


def coincidence(main: Demand, parts: Mapping[str, Demand], *, start: Instant | None = None,
                end: Instant | None = None) -> Coincidence:
    """Coincident and non-coincident active demand of parts under a main; ValueError where a window is incomplete."""
    peak = main.peak(start=start, end=end)
    if peak is None:
        raise ValueError("the main has no complete window")
    own: dict[str, float] = {}
    at: dict[str, float] = {}
    for name, part in parts.items():
        highest = part.peak(start=start, end=end)
        window = part.find(peak.start)
        if highest is None or window is None or not window.complete:
            raise ValueError(f"{name} has no complete window at the main's peak")
        own[name], at[name] = highest.value, window.watts
    total = sum(own.values())
    return Coincidence(peak, own, at, sum(at.values()) / total if total else 0.0)
