"""Streams of sampled waveforms: quantities window by window, in bounded memory."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from . import _blondel
from ._columns import column
from ._quantities import QuantityTable, _numbers, _table
from .errors import RangeError

TYPE_CHECKING = False
if TYPE_CHECKING:
    import numpy
    from numpy.typing import NDArray


class WaveWindow(NamedTuple):
    """A window of whole cycles; samples count from the first ever pushed."""

    number: int
    start: float  #: in samples
    length: float  #: in samples; the next window begins where this one ends
    cycles: int
    frequency: float  #: Hz
    measured: bool  #: False: the reference had no fundamental, and the latest or nominal frequency stands in
    highest_order: int


class WaveResult(NamedTuple):
    """What one push completed."""

    windows: list[WaveWindow]
    channels: QuantityTable  #: by window and channel
    groups: QuantityTable  #: by window and group


class WaveStream:
    """Sampled signals that become quantities, window by window. Memory is one window of samples, whatever is pushed.

    ``types`` are ``"int16"``, ``"int32"``, ``"float32"`` or ``"float64"``, one a signal; ``scales`` the volts or amperes
    of one unit. ``channels`` are pairs of signals (voltage, current), ``groups`` are three channels and 3 or 4 wires.
    Without ``frequency`` it is estimated in every window, from the signal ``reference``, within 15 % of ``nominal``.
    """

    def __init__(
        self,
        *,
        rate: float,
        nominal: float,
        types: Sequence[str],
        channels: Sequence[tuple[int, int]],
        scales: Sequence[float] | None = None,
        groups: Sequence[tuple[int, int, int, int]] = (),
        frequency: float | None = None,
        cycles: int = 0,
        highest_order: int = -1,
        reference: int = 0,
        wanted: Sequence[str] | None = None,
        wanted_groups: Sequence[str] | None = None,
    ) -> None:
        for word in types:
            if word not in _blondel.SAMPLE_TYPES:
                raise RangeError(f"a type is one of {', '.join(_blondel.SAMPLE_TYPES)}, not {word!r}")
        self._names, self._numbers = _numbers(wanted, False)
        self._group_names, self._group_numbers = _numbers(wanted_groups, True)
        self._count, self._groups = len(channels), len(groups)
        self._handle = _blondel.Wave(
            rate,
            nominal,
            0.0 if frequency is None else frequency,
            cycles,
            highest_order,
            reference,
            [_blondel.SAMPLE_TYPES[word] for word in types],
            list(scales) if scales is not None else [1.0] * len(types),
            [v for v, _ in channels],
            [i for _, i in channels],
            [n for group in groups for n in group],
        )

    def _result(self, found: tuple[Any, ...]) -> WaveResult:
        rows = [WaveWindow(*row) for row in found[0]]
        return WaveResult(
            rows,
            _table(self._names, found[1], found[2], (len(rows), self._count)),
            _table(self._group_names, found[3], found[4], (len(rows), self._groups)),
        )

    def _arguments(self) -> tuple[Any, ...]:
        return (self._count, self._groups, self._numbers, self._group_numbers)

    def push(self, samples: Sequence[Any]) -> WaveResult:
        """Takes one array a signal, all of one length. Nothing is copied but the samples of the window in the making,
        and other threads run on."""
        columns = tuple(column(one, "a signal") for one in samples)
        return self._result(self._handle.push(columns, *self._arguments()))

    def finish(self) -> tuple[WaveResult, float]:
        """Ends the stream: a last, shorter window if a cycle is left, and the samples that are in no window."""
        found, remainder = self._handle.finish(*self._arguments())
        return self._result(found), remainder

    def spectrum(self, signal: int) -> NDArray[numpy.complex128]:
        """RMS phasors of the orders 0, 1, 2, ... of a signal in the latest window; time begins with the window."""
        import numpy

        re, im = self._handle.spectrum(signal)
        return numpy.frombuffer(re, dtype="f8") + 1j * numpy.frombuffer(im, dtype="f8")
