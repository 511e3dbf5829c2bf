"""Wiring faults: their kinds, corrections, and hypotheses that look alike."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from . import _blondel
from ._form import Form, Ratio

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    import numpy
    from numpy.typing import NDArray


class Placement(NamedTuple):
    """Where a hypothesis puts the CT of one element."""

    on: int | None  #: conductor; None: dead; -2: the conductors of the record, together
    also: int | None  #: second conductor in the window
    sign: int  #: 1 as recorded, -1 reversed
    also_sign: int  #: sense of the second conductor against the first
    ratio: Fraction  #: true over configured


class Classes(NamedTuple):
    """Hypotheses that no reading tells apart have one class."""

    of: NDArray[numpy.uint32]  #: class of each hypothesis, numbered in order of first appearance
    count: int


def fault_kinds() -> dict[str, str]:
    """Kinds of wiring fault, each with what it is."""
    return dict(_blondel.fault_kinds())


def correction_curve(factor: complex, angle_deg: Iterable[float]) -> list[float | None]:
    """What active power has to be multiplied by at each load angle, ``factor`` being registered over true complex power.
    None where nothing is registered, so that no factor helps."""
    return _blondel.correction_curve(factor, list(angle_deg))


def ratio_spread(x: complex, y: complex, spread_x: float, spread_y: float) -> float:
    """Largest change of the ratio y / x of two voltage phasors that stay within their spreads."""
    return _blondel.ratio_spread(x, y, spread_x, spread_y)


def correction_limit(volt_amperes: float, spread: float, volts: Sequence[float] = (),
                     amps: Sequence[float] = ()) -> float:
    """Limit (W) of the error left in active power that was corrected by a ratio of voltages:
    ``volt_amperes * spread + 2 * sum(volts * amps)`` over the harmonics above the fundamental."""
    return _blondel.correction_limit(volt_amperes, spread, list(volts), list(amps))


class Hypotheses:
    """All wirings that may stand behind one record; number 0 is the record itself.

    ``kinds``: any of ``reversed``, ``neutral``, ``two_conductors``, ``dead``, ``each_once``, ``lead_orders``,
    ``lead_missing``, ``common_floating``. ``ratios``: true over configured ratios to consider.
    """

    __slots__ = ("_form", "_handle")

    def __init__(self, form: Form, kinds: Iterable[str] = ("reversed",), ratios: Iterable[Ratio] = ()) -> None:
        from ._columns import named

        bits = sum({named(_blondel.HYPOTHESIS, kind, "kinds") for kind in kinds})
        self._form = form
        self._handle = _blondel.Hypotheses(form._handle, bits, list(ratios))

    def __len__(self) -> int:
        return len(self._handle)

    def placement(self, i: int, element: int) -> Placement:
        """Where hypothesis ``i`` puts the CT of an element."""
        on, also, *rest = self._handle.placement(i, element)
        return Placement(None if on == -1 else on, None if also == -1 else also, *rest)

    def reads(self, i: int, element: int) -> tuple[complex, ...]:
        """Voltages, in units of the first phase's nominal one, that multiply the conjugate currents by conductor: what the
        element reads under hypothesis ``i``, without its weight."""
        return tuple(self._handle.reads(self._form._handle, i, element))

    def words(self, i: int) -> str:
        """Hypothesis ``i`` in words."""
        return self._handle.words(i)

    def form(self, i: int) -> Form:
        """The form of hypothesis ``i``."""
        return Form(self._handle.form(i))

    def classes(self, sees: str = "each", over: str = "any") -> Classes:
        """Which hypotheses no reading tells apart. ``sees``: P and Q of ``each`` element, of the ``total``, or the
        ``shape`` of those of each, the load being unknown. ``over``: ``any`` voltages and currents, ``nominal`` voltages,
        ``balanced`` loads besides."""
        import numpy

        from ._columns import named

        count, of = self._handle.classes(named(_blondel.SEES, sees, "sees"), named(_blondel.OVER, over, "over"))
        return Classes(numpy.frombuffer(of, numpy.uint32), count)

    def __repr__(self) -> str:
        return f"<Hypotheses: {len(self)}>"
