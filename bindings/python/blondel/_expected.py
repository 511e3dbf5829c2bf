"""Expected readings: what every channel should read once power is on."""

from __future__ import annotations

from typing import NamedTuple

from . import _blondel

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterator
    from typing import Any

    import pandas

    from ._report import Policy
    from ._view import View


def _words(numbers: dict[str, int]) -> dict[int, str]:
    return {number: word for word, number in numbers.items()}


_STATE = _words(_blondel.EXPECT)
_LEAST_BY = _words(_blondel.LEAST_BY)


class ExpectedReading(NamedTuple):
    """What one channel should read. Numbers are None unless ``state`` is ``known``."""

    state: str  #: known, zero_volts, no_current, unknown
    channel: str
    device: str
    circuit: str
    point: str
    conductors: str  #: through its CTs, such as A or A-B
    reference: str
    load: str
    why: str  #: of unknown: the missing fact
    input: int
    flags: frozenset[str]  #: what was assumed, and what is peculiar
    sign: int | None  #: of the active power: 1, -1, or 0 for either
    least_by: str | None  #: rating, floor, noise, power, class
    load_phases: int | None
    offset_low_deg: float | None  #: what reference and arrangement add to the load's own angle
    offset_high_deg: float | None
    angle_low_deg: float | None
    angle_high_deg: float | None
    heater_low_deg: float | None
    heater_high_deg: float | None
    volts: float | None
    volts_low: float | None
    volts_high: float | None
    gate_amps: float | None  #: least current at which a live check judges the channel
    least_amps: float | None  #: least current at which the class of the CT stands behind the angle, too
    least_watts: float | None  #: the load that draws it
    load_volts: float | None


class ExpectedReadings:
    """A sheet of expected readings: a sequence of :class:`ExpectedReading`, by channel of the record."""

    __slots__ = ("_handle", "_rows")

    def __init__(self, view: View, policy: Policy | None = None) -> None:
        self._handle = _blondel.Expect(view._handle, None if policy is None else policy._handle)

        def row(r: list[Any]) -> ExpectedReading:
            flags = frozenset(word for word, bit in _blondel.EXPECT_FLAG.items() if r[10] & bit)
            least = None if r[12] is None else _LEAST_BY.get(r[12], str(r[12]))
            return ExpectedReading(_STATE.get(r[0], str(r[0])), *r[1:10], flags, r[11], least, *r[13:])

        self._rows = tuple(row(r) for r in self._handle.rows())

    def __len__(self) -> int:
        return len(self._rows)

    def __iter__(self) -> Iterator[ExpectedReading]:
        return iter(self._rows)

    def __getitem__(self, channel: str | int) -> ExpectedReading:
        if isinstance(channel, int):
            return self._rows[channel]
        for row in self._rows:
            if row.channel == channel:
                return row
        raise KeyError(channel)

    def text(self) -> str:
        """The sheet for people, by device and input, with cautions."""
        return self._handle.text()

    def csv(self) -> str:
        """The sheet as CSV (RFC 4180)."""
        return self._handle.csv()

    def to_frame(self) -> pandas.DataFrame:
        """A pandas DataFrame: one row a channel."""
        from ._frames import rows_frame

        return rows_frame(self._rows, ExpectedReading, "channel")

    def __repr__(self) -> str:
        counts = {s: sum(r.state == s for r in self._rows) for s in _STATE.values()}
        return "<ExpectedReadings: " + ", ".join(f"{n} {s}" for s, n in counts.items() if n) + ">"


def expected_readings(view: View, policy: Policy | None = None) -> ExpectedReadings:
    """What every channel should read once power is on. ``policy`` is one of the domain ``live``: the bands are those
    that :func:`blondel.live_check` holds readings to."""
    return ExpectedReadings(view, policy)
