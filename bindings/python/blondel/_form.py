"""The metering form: what elements register, against what the load takes, in exact ratios."""

from __future__ import annotations

import json as _json
from collections.abc import Mapping
from fractions import Fraction
from typing import Any, NamedTuple, Union

from . import _blondel
from .errors import RangeError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy
    from numpy.typing import NDArray

    from ._view import View

Ratio = Union[int, Fraction]

_LETTERS = "ABCNG"


def _terminal_name(number: int) -> str:
    return _LETTERS[number] if number < len(_LETTERS) else f"floating{number - _blondel.TERMINAL_FLOATING + 1}"


_TERMINALS = {_terminal_name(n): n for n in range(_blondel.TERMINAL_COUNT)}


def _terminal(name: str) -> int:
    if name not in _TERMINALS:
        raise RangeError(f"a terminal is one of {', '.join(_TERMINALS)}, not {name!r}")
    return _TERMINALS[name]


class Note(NamedTuple):
    """What had to be assumed, or what stopped the building of a form."""

    code: str
    stops: bool
    kind: str
    id: str
    doc: str


class Conductor(NamedTuple):
    """One conductor of a load."""

    terminal: str  #: at whose potential it stands: A, B, C, N, G
    load: int
    counted: bool  #: False: of a circuit that reaches a CT of the point without being the point's
    circuit: str
    pole: int  #: 1, 2, 3; 0: neutral; -1: grounded phase as the return of a single pole


class Element(NamedTuple):
    """weight × (volts · v) × (amps · i)"""

    volts: dict[str, Fraction]  #: coefficient of each terminal
    amps: tuple[Fraction, ...]  #: coefficient of each conductor
    weight: Fraction
    channel: str


class Residual(NamedTuple):
    """Registered minus true: ``matrix[r][c]`` is the coefficient of the voltage of ``terminals[r]`` against
    ``reference`` times the conjugate of the current of conductor ``conductors[c]``."""

    reference: str
    terminals: tuple[str, ...]
    conductors: tuple[int, ...]
    matrix: tuple[tuple[Fraction, ...], ...]


class Weights(NamedTuple):
    """Weights in place of the elements' own, with which the form is exact."""

    weights: tuple[Fraction, ...]
    unique: bool


class Nominal(NamedTuple):
    """Harmonic orders (1 to 15) at which registered is true while voltages are nominal; and of these, the
    orders at which an ideal supply has no voltage."""

    right: frozenset[int]
    without: frozenset[int]


class Evaluation(NamedTuple):
    """Complex power in W and var, one item a snapshot; NaN where a phasor is not finite."""

    registered: NDArray[numpy.complex128]
    truth: NDArray[numpy.complex128]
    elements: tuple[NDArray[numpy.complex128], ...]  #: of each element, with its weight; empty unless asked for


class Bound(NamedTuple):
    """Largest errors of a form, in VA; they hold for active power as well."""

    total: float  #: no admissible state has a greater error
    at_voltages: float  #: largest error at the voltages as given: tight
    from_spread: float  #: what the spread of the voltages can add
    attained_at_voltages: float  #: error that admissible currents do produce at the given voltages
    attained: float  #: error that admissible currents and voltages do produce
    volts: dict[str, complex]  #: potentials of that worst case
    amps: tuple[complex, ...]  #: its currents


class Pointing(NamedTuple):
    """A voltage reference of an element that makes a form exact; None: as it is."""

    volts: str | None  #: such as ``A-N``
    weight: Fraction


class Arrangement:
    """Metering elements round a load, put together by hand.

    ``service`` is a word of the field ``kind`` of a service; ``legs``, ``high_leg``, ``grounded_phase`` and
    ``rotation`` say what that leaves open.
    """

    __slots__ = ("_conductors", "_handle")

    def __init__(self, service: str, load: str | None = None, **settings: str) -> None:
        self._handle = _blondel.Arrangement(service)
        self._conductors = 0
        for field, word in settings.items():
            self._handle.set(field, word)
        if load is not None:
            self.load(load)

    @staticmethod
    def names() -> dict[str, str]:
        """Named arrangements, each with what it is."""
        return dict(_blondel.arrangement_names())

    def load(self, conductors: str) -> Arrangement:
        """Adds a load by the letters of its conductors, such as ``ABN``."""
        self._handle.load(conductors)
        self._conductors += len(conductors)
        return self

    def floating(self) -> str:
        """Adds a floating common; the name of its terminal."""
        return _terminal_name(self._handle.floating())

    def element(self, volts: str | Mapping[str, Ratio], amps: Mapping[int, Ratio] | Sequence[Ratio],
                weight: Ratio = 1) -> Arrangement:
        """Adds an element. ``volts``: ``"A-N"``, or a mapping of terminals to coefficients that sum to zero.
        ``amps``: a mapping of conductor numbers, or one coefficient a conductor: signed turns over the
        configured ratio."""
        if isinstance(volts, str):
            plus, dash, minus = volts.partition("-")
            if not dash:
                raise RangeError(f"a voltage stands between two terminals, such as A-N, not {volts!r}")
            volts = {plus: 1, minus: -1}
        row: list[Ratio] = [0] * _blondel.TERMINAL_COUNT
        for name, coefficient in volts.items():
            row[_terminal(name)] = coefficient
        if isinstance(amps, Mapping):
            wrong = [k for k in amps if not 0 <= k < self._conductors]
            if wrong:
                raise RangeError(f"conductor {wrong[0]} of {self._conductors}")
            amps = [amps.get(k, 0) for k in range(self._conductors)]
        self._handle.element(row, amps, weight)
        return self

    def use(self, name: str) -> Arrangement:
        """Adds the elements of a named arrangement round the first load."""
        self._handle.use(name)
        return self

    def form(self) -> Form:
        """The form as it stands."""
        return Form(self._handle.form())


class Form:
    """What a set of elements registers. Immutable; made by :meth:`of_point` or :meth:`Arrangement.form`."""

    __slots__ = ("_handle",)

    def __init__(self, handle: _blondel.Form) -> None:
        if not isinstance(handle, _blondel.Form):
            raise TypeError("use Form.of_point or Arrangement.form")
        self._handle = handle

    @classmethod
    def of_point(cls, view: View, point: str, *, neutral: bool = True) -> Form:
        """The form of a point of the record. Where the record does not suffice, ``built`` is False and the
        notes say why. ``neutral``: whether a load of two or three poles whose neutral is not recorded is
        taken to have one (the cautious reading)."""
        return cls(_blondel.Form.of_point(view._handle, point, neutral))

    @property
    def built(self) -> bool:
        """Whether there was enough to build it; what computes raises :class:`blondel.StateError` otherwise."""
        return self._handle.built()

    @property
    def notes(self) -> tuple[Note, ...]:
        """What had to be assumed, and what stopped the building."""
        return tuple(Note(*row) for row in self._handle.notes())

    @property
    def conductors(self) -> tuple[Conductor, ...]:
        """Conductors of all loads."""
        return tuple(Conductor(_terminal_name(t), *rest) for t, *rest in self._handle.conductors())

    @property
    def elements(self) -> tuple[Element, ...]:
        """Elements with their rows."""
        return tuple(
            Element({_terminal_name(n): x for n, x in enumerate(volts) if x}, amps, weight, channel)
            for volts, amps, weight, channel in self._handle.elements()
        )

    @property
    def exact(self) -> bool:
        """Whether registered = true for every voltage and current that the topology allows."""
        return self._handle.exact()

    @property
    def fewest_elements(self) -> int:
        """Fewest elements that can be exact."""
        return self._handle.fewest_elements()

    @property
    def residual(self) -> Residual:
        """Registered minus true, as a matrix of Fractions; zero just when the form is exact."""
        reference, terminals, conductors, matrix = self._handle.residual()
        return Residual(_terminal_name(reference), tuple(map(_terminal_name, terminals)), tuple(conductors), matrix)

    def words(self, what: str = "verdict") -> str:
        """``verdict``: one sentence; ``registered``, ``error``, ``condition``: formulas; ``correction``: how the
        readings of the elements, without weights, give the truth."""
        from ._columns import named

        return self._handle.words(named(_blondel.FORM_WORDS, what, "what"))

    @property
    def nominal(self) -> Nominal:
        """Exactness while voltages are nominal, by harmonic order."""
        right, without = self._handle.nominal()
        return Nominal(*(frozenset(h for h in range(1, 16) if bits >> h & 1) for bits in (right, without)))

    def registration(self, from_: int = 0, to: int = 1) -> complex:
        """Registered over true complex power for a load between two conductors, at nominal voltages. For a load
        of angle φ, P registered over P true is ``real - imag * tan(φ)``."""
        return complex(*self._handle.registration(from_, to))

    def realise(self) -> Weights | None:
        """Weights with which the form is exact for every load; None when there are none."""
        found = self._handle.realise()
        return None if found is None else Weights(*found)

    def evaluate(self, volts: Mapping[str, Any], amps: Mapping[int, Any] | Sequence[Any], *,
                 elements: bool = False) -> Evaluation:
        """Registered and true complex power for phasors.

        ``volts``: complex arrays (V) by terminal, against any one datum; N and G may be left out: 0 V.
        ``amps``: complex arrays (A into the load) by conductor number, or in the order of the conductors; one
        conductor of a load may be left out or None: what the others leave. Single numbers are one snapshot.
        """
        import numpy

        if not isinstance(amps, Mapping):
            amps = dict(enumerate(amps))
        count = len(self._handle.conductors())
        wrong = [k for k in amps if not 0 <= k < count]
        if wrong:
            raise RangeError(f"conductor {wrong[0]} of {count}")
        volts = {_terminal(name): v for name, v in volts.items()}
        given = [x for x in (*volts.values(), *amps.values()) if x is not None]
        sizes = {len(x) for x in given if numpy.ndim(x) == 1}
        if len(sizes) > 1:
            raise RangeError(f"columns of {' and '.join(map(str, sorted(sizes)))} items")
        rows = sizes.pop() if sizes else 1

        def pair(x: Any) -> list[Any]:
            if x is None:
                return [None, None]
            if numpy.ndim(x) == 0:
                x = numpy.full(rows, x, numpy.complex128)
            # Real and imaginary part are views of the caller's memory; a real array has no imaginary part.
            imag = x.imag if numpy.iscomplexobj(x) else numpy.zeros(rows)
            return [(x.real if numpy.iscomplexobj(x) else x, None), (imag, None)]

        def result() -> NDArray[numpy.complex128]:
            return numpy.empty(rows, numpy.complex128)

        registered, truth = result(), result()
        each = tuple(result() for _ in self._handle.elements()) if elements else ()
        self._handle.evaluate(
            rows,
            [part for n in range(_blondel.TERMINAL_COUNT) for part in pair(volts.get(n))],
            [part for k in range(count) for part in pair(amps.get(k))],
            [registered.real, registered.imag],
            [truth.real, truth.imag],
            [part for x in each for part in (x.real, x.imag)] if elements else None,
        )
        return Evaluation(registered, truth, each)

    def nominal_volts(self, unit: float, order: int = 1) -> dict[str, complex]:
        """Nominal potentials of a harmonic order by terminal, the first phase standing at ``unit`` volts. A terminal that
        nothing fixes is left out."""
        return {_terminal_name(n): v for n, v in self._handle.nominal_volts(order, unit).items()}

    def bound(self, volts: Mapping[str, complex], amps: Sequence[float], spread: Mapping[str, float] | None = None,
              weights: Sequence[complex] | None = None) -> Bound:
        """Largest abs(registered - true) while each current stays within its limit in ``amps`` (``math.inf`` for at most
        one of a load: what the others leave), currents sum to zero in every load, and each potential stays within
        ``spread`` volts of ``volts``. ``weights``: complex weights in place of the elements' own."""
        row = [0.0] * _blondel.TERMINAL_COUNT
        for name, value in (spread or {}).items():
            row[_terminal(name)] = value
        at = {_terminal(name): complex(v) for name, v in volts.items()}
        *numbers, worst, currents = self._handle.bound(at, row, list(amps), weights)
        return Bound(*numbers, {_terminal_name(n): worst[n] for n in at}, tuple(currents))

    def reuse(self, terminals: str | Sequence[str] = "") -> frozenset[str]:
        """Ways to use the channels at hand: ``as_is`` (exact already), ``repoint``, ``reweigh``, ``repoint_reweigh``
        (exact), ``recompute`` (nominal voltages of the fundamental alone). Empty: an element is missing.
        ``terminals``: on which the device has leads, such as ``ABCN``; without: those in use."""
        ways = self._handle.reuse(self._leads(terminals))
        return frozenset(name for name, bit in _blondel.Form.REUSE.items() if ways & bit)

    def repoint(self, terminals: str | Sequence[str] = "", *, weights: bool = False) -> tuple[Pointing, ...] | None:
        """Voltage references with which the form is exact; as few change as can be. ``weights``: whether the weights of
        changed elements may change as well. None when there are none."""
        found = self._handle.repoint(self._leads(terminals), weights)
        if found is None:
            return None
        return tuple(
            Pointing(None if plus < 0 else f"{_terminal_name(plus)}-{_terminal_name(minus)}", weight)
            for plus, minus, weight in found
        )

    def recompute(self, volts: Mapping[str, complex] | None = None) -> tuple[complex, ...] | None:
        """Complex weights on P + jQ of each element that give the true complex power of every load, at ``volts`` or at
        nominal voltages, of the fundamental alone. None when there are none."""
        at = None if volts is None else {_terminal(name): complex(v) for name, v in volts.items()}
        found = self._handle.recompute(at)
        return None if found is None else tuple(found)

    @staticmethod
    def _leads(terminals: str | Sequence[str]) -> int:
        return sum({1 << _terminal(name) for name in terminals})

    def fault(self, kind: str, element: int | None = None, x: int | str | None = None, y: int | str | None = None,
              ratio: Ratio = 1) -> Form:
        """The form with one more fault in the wiring; see :func:`blondel.fault_kinds`. ``element`` None: every element that
        the fault can touch. ``x`` and ``y``: numbers of conductors or elements, or names of terminals, as the
        kind says. Faults compose."""

        def number(value: int | str | None) -> int:
            return -1 if value is None else _terminal(value) if isinstance(value, str) else value

        return Form(self._handle.fault(kind, number(element), number(x), number(y), ratio))

    def balanced(self, element: int | None = None) -> complex:
        """Registered over true complex power for a load of equal impedances at nominal voltages: of the weighted sum, or of
        one element over the whole load's power."""
        return self._handle.balanced(-1 if element is None else element)

    def as_dict(self) -> dict[str, Any]:
        """Everything as one mapping."""
        return _json.loads(self._handle.json())

    def json(self) -> str:
        """The same as JSON text."""
        return self._handle.json()

    def __repr__(self) -> str:
        return f"<Form: {len(self._handle.elements())} elements, {len(self._handle.conductors())} conductors>"
