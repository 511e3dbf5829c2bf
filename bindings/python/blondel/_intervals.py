"""Intervals of channels: from columns, from Arrow, from CSV as a whole and as a stream."""

from __future__ import annotations

import json as _json
from collections.abc import Iterator
from typing import Any, NamedTuple

from . import _blondel
from ._columns import columns, microseconds, named
from .errors import RangeError

TYPE_CHECKING = False
if TYPE_CHECKING:
    import os
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import timedelta
    from fractions import Fraction

    import numpy
    import pandas
    from numpy.typing import NDArray
    from typing_extensions import Buffer

_NOTE = {number: word for word, number in _blondel.NOTE.items()}
_QUANTITY = {number: word for word, number in _blondel.QUANTITY.items()}


def _rule(stamp: str, duration: timedelta | int, wh_per_count: int | Fraction, read_from: str) -> tuple[Any, ...]:
    return (named(_blondel.STAMP, stamp, "stamp"), microseconds(duration), wh_per_count,
            named(_blondel.READ_FROM, read_from, "read_from"))


def _text(value: Mapping[str, Any] | str | None) -> str | None:
    return value if value is None or isinstance(value, str) else _json.dumps(value)


class IntervalNote(NamedTuple):
    """Something about the rows that no error is, and that somebody should know."""

    kind: str  #: conflict, rollover, jitter, exchange, gap, backwards, too_fast, too_long, cut_off
    channel: str
    quantity: str
    start: int  #: start of the interval, or time of the reading before; microseconds
    end: int  #: end of the interval, or time of the reading after
    before: int  #: reading, or count of the first row
    after: int  #: reading, or count of the second row
    energy: int  #: counts between two readings; 0 where they are left out


class Arrival(NamedTuple):
    """How the rows of a channel came."""

    rows: int
    repeated: int
    out_of_order: int


class Intervals:
    """Energy of channels in equal intervals, in counts. Immutable.

    Long form: row i is channel ``ids[channel[i]]`` at ``at[i]`` (microseconds or datetime64[us]), with any of
    ``net_p``, ``net_q``, ``import_p``, ``export_p``, ``import_q``, ``export_q``, ``q1`` to ``q4``, ``apparent``, and
    ``quality`` (codes). Counts are exact: integers only, never floats.
    ``duration`` is a timedelta or microseconds, ``wh_per_count`` an int or Fraction, ``stamp`` start or end.
    ``read_from``: device, head_end or billing, the place whose scaling the counts have behind them.
    ``registers``: a register rule (mapping or JSON; may be empty): the counts are then readings at ``at``.
    """

    __slots__ = ("_handle",)

    def __init__(self, ids: Iterable[str], *, channel: Any, at: Any, duration: timedelta | int,
                 wh_per_count: int | Fraction, stamp: str = "start", read_from: str = "device", net_p: Any = None,
                 net_q: Any = None, import_p: Any = None, export_p: Any = None, import_q: Any = None,
                 export_q: Any = None, q1: Any = None, q2: Any = None, q3: Any = None, q4: Any = None,
                 apparent: Any = None, quality: Any = None, registers: Mapping[str, Any] | str | None = None) -> None:
        given = columns(channel=channel, at=at, net_p=net_p, net_q=net_q, import_p=import_p, export_p=export_p,
                        import_q=import_q, export_q=export_q, q1=q1, q2=q2, q3=q3, q4=q4, apparent=apparent,
                        quality=quality)
        self._handle = _blondel.Intervals(ids, given, _rule(stamp, duration, wh_per_count, read_from),
                                          _text(registers))

    @classmethod
    def _of(cls, handle: _blondel.Intervals) -> Intervals:
        self = cls.__new__(cls)
        self._handle = handle
        return self

    @classmethod
    def wide(cls, ids: Iterable[str], quantity: str, *, at: Any, counts: Sequence[Any], duration: timedelta | int,
             wh_per_count: int | Fraction, stamp: str = "start", read_from: str = "device",
             quality: Sequence[Any] | None = None) -> Intervals:
        """Wide form: one instant a row, and one column of counts (and of quality codes) for each channel."""
        given = [columns(counts=c)["counts"] for c in counts]
        codes = None if quality is None else [columns(quality=c)["quality"] for c in quality]
        return cls._of(_blondel.Intervals.wide(ids, named(_blondel.QUANTITY, quantity, "quantity"),
                                               columns(at=at)["at"], given, codes,
                                               _rule(stamp, duration, wh_per_count, read_from)))

    @classmethod
    def from_arrow(cls, table: Any, *, duration: timedelta | int, wh_per_count: int | Fraction, stamp: str = "start",
                   read_from: str = "device", wide: str | None = None, columns: Mapping[str, str] | None = None,
                   registers: Mapping[str, Any] | str | None = None) -> Intervals:
        """Takes any table with ``__arrow_c_stream__`` or ``__arrow_c_array__`` (pyarrow, Polars, pandas, DuckDB).

        The columns are read where they lie; only a table of several batches is joined first. They are called
        ``channel`` (texts or a dictionary of texts), ``at``, ``start`` or ``end`` (timestamp[us] with a zone, or int64
        microseconds), ``quality`` and the quantities; ``columns`` says what other names mean, or "ignored".
        ``wide``: a quantity; every column but the time is then a channel.
        """
        return cls._of(_blondel.Intervals.arrow(table, wide, dict(columns or {}),
                                                _rule(stamp, duration, wh_per_count, read_from), _text(registers)))

    @classmethod
    def read_csv(cls, text: str | Buffer, *, duration: timedelta | int, wh_per_count: int | Fraction,
                 stamp: str = "start", read_from: str = "device", map: Mapping[str, Any] | str | None = None,
                 max_bytes: int | None = None) -> Intervals:
        """Reads CSV (RFC 4180) from str or bytes. ``map``: a column map (mapping or JSON), see the guide
        "Energy input"; without one the file is in long form and has our names."""
        return cls._of(_blondel.Intervals.read_csv(text, _text(map), _rule(stamp, duration, wh_per_count, read_from),
                                                   max_bytes))

    @classmethod
    def from_file(cls, path: str | os.PathLike[str], *, duration: timedelta | int, wh_per_count: int | Fraction,
                  stamp: str = "start", read_from: str = "device", map: Mapping[str, Any] | str | None = None,
                  max_bytes: int | None = None) -> Intervals:
        """Reads a CSV file block by block: memory grows with the energy in it, not with the file."""
        reader = IntervalReader(duration=duration, wh_per_count=wh_per_count, stamp=stamp, read_from=read_from,
                                map=map, max_bytes=max_bytes)
        with open(path, "rb") as file:
            while block := file.read(1 << 20):
                reader.push(block)
        return reader.intervals()

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

    def _position(self, channel: str | int) -> int:
        return channel if isinstance(channel, int) else self.channels.index(channel)

    def series(self, channel: str | int, quantity: str = "net_p") -> tuple[NDArray[numpy.int64], NDArray[numpy.bool_]]:
        """Counts of a channel, and which of them are there."""
        import numpy

        into = numpy.zeros(len(self), numpy.int64)
        bits = numpy.zeros((len(self) + 7) // 8, numpy.uint8)
        self._handle.series(self._position(channel), named(_blondel.QUANTITY, quantity, "quantity"), into, bits)
        return into, numpy.unpackbits(bits, count=len(self), bitorder="little").astype(bool)

    def quality(self, channel: str | int) -> NDArray[numpy.uint8]:
        """Quality codes of a channel; 0, valid, where none was given."""
        import numpy

        return numpy.frombuffer(self._handle.quality(self._position(channel)), numpy.uint8)

    def arrival(self, channel: str | int) -> Arrival:
        """How the rows of a channel came."""
        return Arrival(*self._handle.arrival(self._position(channel)))

    @property
    def notes(self) -> tuple[IntervalNote, ...]:
        """Contradictions, and what was not plain in registers."""
        return tuple(IntervalNote(_NOTE.get(n[0], str(n[0])), n[1], _QUANTITY.get(n[2], ""), *n[3:])
                     for n in self._handle.notes())

    def __len__(self) -> int:
        return self._handle.count()

    def __repr__(self) -> str:
        return f"<Intervals: {len(self)} of {len(self.channels)} channels>"


class IntervalReader:
    """Reads CSV that comes in blocks of bytes, cut anywhere.

    ``keep=True``: :meth:`intervals` makes them of everything that was pushed. ``keep=False``: :meth:`rows` hands
    blocks of rows out, and memory does not grow, however long the stream.
    """

    __slots__ = ("_handle",)

    def __init__(self, *, duration: timedelta | int, wh_per_count: int | Fraction, stamp: str = "start",
                 read_from: str = "device", map: Mapping[str, Any] | str | None = None, keep: bool = True,
                 max_bytes: int | None = None) -> None:
        self._handle = _blondel.IntervalReader(_text(map), keep, _rule(stamp, duration, wh_per_count, read_from),
                                               max_bytes)

    def push(self, block: str | Buffer) -> None:
        """Adds bytes. With ``keep=False``, take :meth:`rows` before pushing more."""
        self._handle.push(block)

    def finish(self) -> None:
        """With ``keep=False``: nothing more comes; :meth:`rows` then yields a last record without line end."""
        self._handle.finish()

    def intervals(self) -> Intervals:
        """With ``keep=True``: nothing more comes; raises all errors of cells, or gives the intervals."""
        return Intervals._of(self._handle.intervals())

    def rows(self, *quantities: str, most: int = 65536) -> Iterator[dict[str, Any]]:
        """With ``keep=False``: everything that can be read of what was pushed, in blocks: NumPy arrays ``channel``
        (position in :attr:`channels`), ``at``, ``line``, ``quality`` (255 where none), and for each quantity its
        counts and ``<quantity>_valid``."""
        import numpy

        if most < 1:
            raise RangeError("a block has at least one row")
        names = ("channel", "at", "line", "quality", *quantities)
        for name in quantities:
            named(_blondel.QUANTITY, name, "quantity")
        while True:
            arrays = {name: numpy.zeros(most, numpy.int64) for name in names}
            bits = {name: numpy.zeros((most + 7) // 8, numpy.uint8) for name in ("quality", *quantities)}
            taken = self._handle.take({name: (arrays[name], bits.get(name)) for name in names}, most)
            if taken == 0:
                return
            block: dict[str, Any] = {name: array[:taken] for name, array in arrays.items()}
            for name, packed in bits.items():
                valid = numpy.unpackbits(packed, count=taken, bitorder="little").astype(bool)
                if name == "quality":
                    block[name] = numpy.where(valid, block[name], 255)
                else:
                    block[name + "_valid"] = valid
            yield block

    @property
    def channels(self) -> tuple[str, ...]:
        """Ids of the channels seen so far."""
        return self._handle.channels()

    @property
    def refused(self) -> int:
        """Number of cells and records refused so far."""
        return self._handle.refused()

    def check(self) -> None:
        """Raises the first 100 refusals, if there are any."""
        self._handle.check()
