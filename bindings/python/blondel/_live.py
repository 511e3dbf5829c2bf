"""Readings against the record."""

from __future__ import annotations

from typing import Any, NamedTuple

from . import _blondel
from ._columns import columns, named
from ._report import _VERDICT, Report

TYPE_CHECKING = False
if TYPE_CHECKING:
    import os
    from collections.abc import Callable, Iterable

    import pandas
    from typing_extensions import Buffer

    from ._report import Policy
    from ._view import View

_PROOF = {number: word for word, number in _blondel.PROOF.items()}


class LiveChannel(NamedTuple):
    """How one channel reads. Numbers that are not known are None."""

    proof: str  #: wrong, undecided, not_proven, likely, right
    channel: str
    point: str
    reads_as: str  #: wirings that explain the angle
    row: int  #: row of the readings that was judged, or -1
    loaded: bool
    watts: float | None
    vars: float | None
    angle_deg: float | None
    band_low_deg: float | None
    band_high_deg: float | None


class LivePoint(NamedTuple):
    """How one point reads: the weakest of its channels."""

    proof: str
    point: str
    channels: int
    read: int
    loaded: int
    watts: float
    vars: float


class LiveSum(NamedTuple):
    """Branches against the main that feeds them."""

    verdict: str
    main: str
    phase: str
    main_watts: float
    branch_watts: float
    tolerance_watts: float
    circuits: int
    unread: int


class Readings:
    """Readings of channels, one item a row in each column. Immutable.

    ``channels`` are ids. The columns are arrays of numbers, or a :class:`blondel.Column` with validity; units
    are V, A, W, var, VA and degrees, ``at`` in microseconds or datetime64[us]. Angles and power factors are
    refused without their convention: ``v_minus_i`` or ``i_minus_v``; ``unsigned``, ``sign_of_watts``,
    ``lag_positive`` or ``lead_positive``.
    """

    __slots__ = ("_handle",)

    def __init__(self, channels: Iterable[str], *, at: Any = None, volts: Any = None, amps: Any = None,
                 watts: Any = None, vars: Any = None, volt_amps: Any = None, power_factor: Any = None,
                 angle_deg: Any = None, power_factor_convention: str | None = None,
                 angle_convention: str | None = None) -> None:
        angle = 0 if angle_convention is None else named(_blondel.ANGLE, angle_convention, "angle_convention")
        factor = (0 if power_factor_convention is None
                  else named(_blondel.POWER_FACTOR, power_factor_convention, "power_factor_convention"))
        given = columns(at=at, volts=volts, amps=amps, watts=watts, vars=vars, volt_amps=volt_amps,
                        power_factor=power_factor, angle_deg=angle_deg)
        self._handle = _blondel.Readings(channels, given, angle, factor)

    @classmethod
    def read_csv(cls, text: str | Buffer, *, max_bytes: int | None = None) -> Readings:
        """Reads CSV (RFC 4180) from str or bytes; the first record names the columns."""
        self = cls.__new__(cls)
        self._handle = _blondel.Readings.read_csv(text, max_bytes)
        return self

    @classmethod
    def from_file(cls, path: str | os.PathLike[str], *, max_bytes: int | None = None) -> Readings:
        """Reads a CSV file."""
        with open(path, "rb") as file:
            return cls.read_csv(file.read(), max_bytes=max_bytes)

    def __len__(self) -> int:
        return len(self._handle)

    def __repr__(self) -> str:
        return f"<Readings: {len(self)} rows>"


class Live:
    """What a live check found: ``channels``, ``points`` and ``sums`` in the order of the record."""

    __slots__ = ("_handle", "channels", "points", "report", "sums")

    def __init__(self, handle: _blondel.Live) -> None:
        self._handle = handle
        self.channels = tuple(LiveChannel(_PROOF.get(r[0], str(r[0])), *r[1:]) for r in handle.channels())
        self.points = tuple(LivePoint(_PROOF.get(r[0], str(r[0])), *r[1:]) for r in handle.points())
        self.sums = tuple(LiveSum(_VERDICT.get(r[0], str(r[0])), *r[1:]) for r in handle.sums())
        self.report = Report(handle.report())

    def to_frame(self) -> pandas.DataFrame:
        """A pandas DataFrame: one row a channel."""
        from ._frames import rows_frame

        return rows_frame(self.channels, LiveChannel, "channel")

    def __repr__(self) -> str:
        counts = {p: sum(c.proof == p for c in self.channels) for p in _PROOF.values()}
        return "<Live: " + ", ".join(f"{n} {p}" for p, n in counts.items() if n) + ">"


def live_check(view: View, readings: Readings, policy: Policy | None = None, *,
               progress: Callable[[int, int], object] | None = None) -> Live:
    """Judges readings against a view. A wrong wiring is a result. ``progress`` as in :func:`blondel.check`."""
    return Live(_blondel.live_check(view._handle, readings._handle, None if policy is None else policy._handle,
                                    progress))
