"""Quantities of phasors, harmonic spectra and sampled waveforms."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from . import _blondel
from ._columns import column, named
from .errors import RangeError

TYPE_CHECKING = False
if TYPE_CHECKING:
    import numpy
    from numpy.typing import NDArray


class Quantity(NamedTuple):
    """One row of the table of quantities."""

    number: int
    name: str
    unit: str
    doc: str
    channel: bool  #: it is a quantity of one channel
    three_phase: bool  #: it is a quantity of three phases


def quantities() -> dict[str, Quantity]:
    """All quantities by name."""
    rows = (Quantity(*row[:4], bool(row[4] & 1), bool(row[4] & 2)) for row in _blondel.quantities())
    return {q.name: q for q in rows}


_REASONS = {number: word for word, number in _blondel.REASON.items()}


def _numbers(wanted: Sequence[str] | None, three_phase: bool) -> tuple[list[str], list[int]]:
    table = quantities()
    if wanted is None:
        wanted = [q.name for q in table.values() if (q.three_phase if three_phase else q.channel)]
    for name in wanted:
        if name not in table:
            raise RangeError(f"there is no quantity {name!r}")
    return list(wanted), [table[name].number for name in wanted]


class Quantities(Mapping[str, "float | None"]):
    """Values by name; None where a quantity does not exist, and :meth:`why` says the reason."""

    __slots__ = ("_names", "_values", "_why")

    def __init__(self, names: list[str], values: Any, why: Any) -> None:
        self._names, self._values, self._why = names, values, why

    def __getitem__(self, name: str) -> float | None:
        at = self._names.index(name) if name in self._names else -1
        if at < 0:
            raise KeyError(name)
        return float(self._values[at]) if self._why[at] == _blondel.DEFINED else None

    def __iter__(self) -> Iterator[str]:
        return iter(self._names)

    def __len__(self) -> int:
        return len(self._names)

    def why(self, name: str) -> str:
        """``"defined"``, or what a quantity lacks: ``input``, ``voltage``, ``current``, ``power``, ``fundamental``,
        ``sequence``, ``triangle``, ``scope``."""
        return _REASONS[int(self._why[self._names.index(name)])]

    def __repr__(self) -> str:
        return f"Quantities({dict(self)!r})"


class QuantityTable:
    """Values of many rows: ``table["p"]`` is an array. Where a quantity does not exist its item is 0 and
    ``table.defined("p")`` is False; :meth:`reasons` names the reason of every item."""

    __slots__ = ("names", "values", "why")

    def __init__(self, names: list[str], values: NDArray[numpy.float64], why: NDArray[numpy.uint8]) -> None:
        self.names = names
        self.values = values  #: the last axis is that of the names
        self.why = why  #: numbers of the reasons, 0: defined

    def __getitem__(self, name: str) -> NDArray[numpy.float64]:
        return self.values[..., self.names.index(name)]

    def defined(self, name: str) -> NDArray[numpy.bool_]:
        """Whether each item has a value."""
        defined: NDArray[numpy.bool_] = self.why[..., self.names.index(name)] == _blondel.DEFINED
        return defined

    def reasons(self, name: str) -> list[str]:
        """The reason of each item, "defined" where there is a value."""
        return [_REASONS[int(n)] for n in self.why[..., self.names.index(name)].ravel()]


def _table(names: list[str], values: bytearray, why: bytearray, shape: tuple[int, ...]) -> QuantityTable:
    import numpy

    return QuantityTable(
        names,
        numpy.frombuffer(values, dtype="f8").reshape(*shape, len(names)),
        numpy.frombuffer(why, dtype="u1").reshape(*shape, len(names)),
    )


def _parts(values: Any) -> tuple[Any, Any]:
    """Real and imaginary part, without a copy where they are an array of complex numbers."""
    import numpy

    array = numpy.asarray(values)
    if array.dtype.kind == "c":
        return array.real, array.imag
    array = array if array.dtype.kind == "f" else array.astype("f8")
    return array, numpy.zeros_like(array)


def _spectrum(orders: Any, v: Any, i: Any) -> tuple[Any, ...]:
    import numpy

    order = numpy.asarray(orders)
    if order.dtype.kind not in "iuf" or order.dtype.itemsize not in (4, 8):
        raise RangeError("orders are whole numbers")
    if order.dtype.kind == "u":
        order = order.astype("i8")
    return (order, *_parts(v), *_parts(i))


def spectrum_quantities(
    orders: Any, v: Any, i: Any, *, values: str = "rms", wanted: Sequence[str] | None = None
) -> Quantities:
    """Quantities of one channel from complex ``v`` and ``i`` of each order; order 0 is the direct part.
    ``values`` is ``"rms"`` or ``"peak"``."""
    names, numbers = _numbers(wanted, False)
    found, why = _blondel.quantities_of_spectrum(
        _spectrum(orders, v, i), named(_blondel.VALUES, values, "values"), numbers
    )
    row = _table(names, found, why, ())
    return Quantities(names, row.values, row.why)


def three_phase_spectra(
    phases: Sequence[tuple[Any, Any, Any]],
    *,
    wires: int,
    values: str = "rms",
    wanted: Sequence[str] | None = None,
) -> Quantities:
    """Quantities of three phases from ``(orders, v, i)`` of A, B and C. ``wires`` is 3 or 4."""
    if len(phases) != 3:
        raise RangeError(f"three phases, not {len(phases)}")
    names, numbers = _numbers(wanted, True)
    found, why = _blondel.quantities_of_three_spectra(
        *(_spectrum(*phase) for phase in phases), named(_blondel.VALUES, values, "values"), wires, numbers
    )
    row = _table(names, found, why, ())
    return Quantities(names, row.values, row.why)


def phasor_quantities(
    v: Any, i: Any, *, wires: int | None = None, wanted: Sequence[str] | None = None
) -> QuantityTable:
    """Quantities of complex RMS phasors, row by row. ``v`` and ``i`` are arrays of one channel, or, with ``wires`` 3 or
    4, three arrays each, of A, B and C."""
    names, numbers = _numbers(wanted, wires is not None)
    volts = [v] if wires is None else list(v)
    amps = [i] if wires is None else list(i)
    if wires is not None and (len(volts) != 3 or len(amps) != 3):
        raise RangeError("three phases have three voltages and three currents")
    columns = [tuple(part for one in many for part in _parts(one)) for many in (volts, amps)]
    found, why = _blondel.quantities_of_phasors(
        *columns, _blondel.PHASORS["rectangular"], len(volts), wires or 0, numbers
    )
    return _table(names, found, why, (len(columns[0][0]),))


def polar_quantities(
    v: Sequence[Any],
    v_deg: Sequence[Any],
    i: Sequence[Any],
    i_deg: Sequence[Any],
    *,
    wires: int | None = None,
    wanted: Sequence[str] | None = None,
) -> QuantityTable:
    """As :func:`phasor_quantities`, from magnitudes and angles: a list of one array, or of three. All angles are in
    degrees, counter-clockwise, against one reference; a load that lags has a current angle below that of the voltage."""
    names, numbers = _numbers(wanted, wires is not None)
    pairs = [
        tuple(column(part, "phasors") for two in zip(sizes, angles) for part in two)
        for sizes, angles in ((v, v_deg), (i, i_deg))
    ]
    found, why = _blondel.quantities_of_phasors(*pairs, _blondel.PHASORS["polar"], len(v), wires or 0, numbers)
    return _table(names, found, why, (len(v[0]),))


def snapshot_power(
    v: NDArray[Any], i: NDArray[Any], *, p: Any = None, q: Any = None, s: Any = None
) -> tuple[Any, Any, Any]:
    """P, Q and S of complex arrays of snapshots, for millions of rows: nothing is copied and other threads run on.
    ``p``, ``q`` and ``s`` are arrays to fill; False: not wanted; None: a new one."""
    import numpy

    out = [
        None if into is False else numpy.empty(len(v), dtype=numpy.asarray(v).real.dtype) if into is None else into
        for into in (p, q, s)
    ]
    _blondel.power_of_snapshots(_parts(v), _parts(i), *out)
    return tuple(out)


def unbalance_of_lines(v_ab: float, v_bc: float, v_ca: float) -> tuple[float, float]:
    """Greatest deviation from the mean over the mean, and negative over positive sequence, of three line voltages."""
    return _blondel.unbalance_of_lines(v_ab, v_bc, v_ca)


class Registers(NamedTuple):
    """Energy of one point."""

    import_wh: float
    export_wh: float
    right: bool  #: False: the policy is one of the wrong ones, kept to model meters that use it


def import_export(watts: Sequence[Any], *, hours: float, policy: str = "net_then_split") -> Registers:
    """Import and export from the powers of the elements of one point, one array an element. ``policy`` is
    ``"net_then_split"``; ``"clamp_each"`` and ``"absolute"`` are wrong, and there to model meters that do so."""
    columns = tuple(column(one, "watts") for one in watts)
    return Registers(*_blondel.import_export(columns, hours, named(_blondel.REGISTER, policy, "policy")))
