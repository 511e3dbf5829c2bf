"""Phase sequence, and which conductors a device's voltage terminals stand on."""

from __future__ import annotations

import json as _json
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from . import _blondel
from ._form import Arrangement
from .errors import RangeError


class PhaseSequence(NamedTuple):
    """``ABC``, ``ACB`` or ``undetermined``, and the magnitudes of the two components in V."""

    sequence: str
    positive: float
    negative: float


class Explanation(NamedTuple):
    """One single mistake (or none) that explains the voltages."""

    landing: str
    terminals: str  #: such as A=B B=A C=C N=N; "-": on nothing
    deviation: float  #: per unit of the voltage between phases
    meaning: str
    next: str  #: the measurement that decides
    displaced: int = 0  #: degrees; of :func:`cross_references` only
    reversed: bool = False  #: the terminals have the other sequence; of :func:`cross_references` only


def _word(number: int) -> str:
    return next(word for word, n in _blondel.SEQUENCE.items() if n == number)


def phase_sequence(volts: Sequence[complex]) -> PhaseSequence:
    """Sequence of the phasors of A, B, C against one datum."""
    if len(volts) != 3:
        raise RangeError(f"three phasors are needed, not {len(volts)}")
    volts = [complex(v) for v in volts]
    number, positive, negative = _blondel.phase_sequence([v.real for v in volts], [v.imag for v in volts])
    return PhaseSequence(_word(number), positive, negative)


def phase_sequence_indicator(volts_b: float, volts_c: float) -> str:
    """Sequence from a capacitor on A and two equal resistors on B and C in a star that is landed nowhere: the voltages
    across the resistors."""
    return _word(_blondel.phase_sequence_indicator(volts_b, volts_c))


def _explanations(text: str) -> tuple[Explanation, ...]:
    return tuple(Explanation(**row) for row in _json.loads(text)["explanations"])


_NAMES = ("A-N", "B-N", "C-N", "A-B", "B-C", "C-A")


def recognise_references(arrangement: Arrangement, volts: float, measured: Mapping[str, float] | None = None, *,
                         phasors: Sequence[complex] | None = None, tolerance: float = 0.08) -> tuple[Explanation, ...]:
    """All explanations of the voltages of a device's terminals by a single mistake.

    ``arrangement`` carries the service, ``volts`` is nominal: phase to neutral, without a neutral between phases.
    ``measured``: magnitudes by name, such as ``{"A-N": 120, "A-B": 208}``; ``phasors`` of A, B, C against the neutral
    terminal. Magnitudes alone see neither sequence nor rotation: then several explanations remain.
    """
    measured = measured or {}
    wrong = [name for name in measured if name not in _NAMES]
    if wrong:
        raise RangeError(f"a voltage is one of {', '.join(_NAMES)}, not {wrong[0]!r}")
    given = sum(1 << i for i, name in enumerate(_NAMES) if name in measured)
    values = [float(measured.get(name, 0)) for name in _NAMES]
    three: list[Any] = [0j] * 3
    if phasors is not None:
        if len(phasors) != 3:
            raise RangeError(f"three phasors are needed, not {len(phasors)}")
        three = [complex(v) for v in phasors]
        given |= 1 << 6
    return _explanations(_blondel.references_recognise(
        arrangement._handle, volts, given, values[:3], values[3:], [v.real for v in three], [v.imag for v in three],
        tolerance))


def cross_references(volts: float, measured: Sequence[Sequence[float]], *, rotation: str = "ABC",
                     tolerance: float = 0.08) -> tuple[Explanation, ...]:
    """The same from the voltages between terminals A, B, C (rows) and the known conductors A, B, C (columns) of a
    three-phase source: shows rotation and transformers that are displaced by 30 degrees."""
    flat = [float(v) for row in measured for v in row]
    if len(flat) != 9:
        raise RangeError(f"nine voltages are needed, not {len(flat)}")
    return _explanations(_blondel.references_cross(volts, rotation, flat, tolerance))
