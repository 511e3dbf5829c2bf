"""Accuracy classes, and the uncertainty of power, points and sums. Standard uncertainties throughout: multiply by the
coverage factor k, and state it, to print an expanded one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from . import _blondel
from ._columns import named

TYPE_CHECKING = False
if TYPE_CHECKING:
    from ._view import View


class AccuracyClass(NamedTuple):
    """A class that the library knows."""

    of: str  #: ct, meter, reactive_meter
    name: str
    standard: str
    ratio: bool  #: states a ratio error
    phase: bool  #: states a phase displacement
    power: bool  #: states an error of power
    from_memory: bool  #: numbers were not seen in a source; confirm them against the standard
    source: str


class Limits(NamedTuple):
    """Greatest errors at a load; None: not stated."""

    ratio_percent: float | None = None
    phase_minutes: float | None = None
    power_percent: float | None = None
    from_memory: bool = False
    source: str = ""


class PowerError(NamedTuple):
    """Registered minus true."""

    watts: float
    vars: float
    watts_linear: float  #: to first order: P (e_V + e_I) + Q (d_I - d_V)
    vars_linear: float


class PowerUncertainty(NamedTuple):
    """What limits mean for the power of one element."""

    watts: float  #: standard uncertainty, W
    watts_ct: float
    watts_meter: float
    watts_limit: float  #: greatest error, every limit reached at once
    vars: float | None  #: None: the limits say nothing of reactive power
    vars_limit: float | None
    from_memory: bool


class Uncertain(NamedTuple):
    """A value with its standard uncertainty in two parts."""

    value: float
    random: float  #: what averages out in sums
    shared: float  #: what does not
    combined: float


class PointUncertainty(NamedTuple):
    """Active power of a point, its standard uncertainty and the greatest error that the classes allow."""

    watts: float
    vars: float
    uncertainty: float
    limit: float
    from_memory: bool


class SumUncertainty(NamedTuple):
    """A roll-up against its main, with standard uncertainties. Without a main its numbers are 0."""

    sum: float
    sum_random: float
    sum_shared: float
    has_main: bool
    main: float
    main_combined: float
    difference: float  #: sum minus main
    difference_combined: float
    from_memory: bool


def accuracy_classes() -> tuple[AccuracyClass, ...]:
    """All classes that the library knows, with where their numbers come from."""
    word = {number: name for name, number in _blondel.CLASS.items()}
    return tuple(
        AccuracyClass(word[of], name, standard, bool(states & 1), bool(states & 2), bool(states & 4), memory, source)
        for of, name, standard, states, memory, source in _blondel.accuracy_classes()
    )


def accuracy_limits(of: str, name: str, percent: float, angle_degrees: float = 0) -> Limits:
    """Limits of class ``name`` of a ``ct``, ``meter`` or ``reactive_meter`` at a current in percent of the rated one and
    a load angle. Raises :class:`blondel.AbsentError` where the class states nothing for such a load."""
    return Limits(*_blondel.accuracy_limit(named(_blondel.CLASS, of, "of"), name, percent, angle_degrees))


def power_error(power: complex, *, volts_ratio_percent: float = 0, volts_phase_minutes: float = 0,
                amps_ratio_percent: float = 0, amps_phase_minutes: float = 0) -> PowerError:
    """What errors of ratio and phase do to the power of one element. A secondary that leads is positive."""
    power = complex(power)
    return PowerError(*_blondel.power_error(power.real, power.imag, volts_ratio_percent, volts_phase_minutes,
                                            amps_ratio_percent, amps_phase_minutes))


def power_uncertainty(power: complex, *, ct: Limits | None = None, meter: Limits | None = None) -> PowerUncertainty:
    """Uncertainty of the power of one element from limits of its CT and meter; None: free of error."""
    power = complex(power)
    return PowerUncertainty(*_blondel.power_uncertainty(power.real, power.imag, ct and tuple(ct[:4]),
                                                        meter and tuple(meter[:4])))


def combine(values: Sequence[float], *, random: Sequence[float] | None = None, shared: Sequence[float] | None = None,
            groups: Sequence[int] | None = None, coefficients: Sequence[float] | None = None) -> Uncertain:
    """Uncertainty of a sum. Random parts add by squares, shared parts within their group, groups by squares. Main minus
    branches is a sum with coefficients 1 and -1."""
    n = len(values)
    return Uncertain(*_blondel.uncertainty_combine(
        [1.0] * n if coefficients is None else list(coefficients), list(values),
        [0.0] * n if random is None else list(random), [0.0] * n if shared is None else list(shared),
        [0] * n if groups is None else list(groups)))


def propagate(sensitivity: Sequence[float], uncertainty: Sequence[float],
              correlation: Sequence[Sequence[float]] | None = None) -> float:
    """Standard uncertainty of a function of correlated quantities (JCGM 100:2008, 5.2.2)."""
    flat = [] if correlation is None else [x for row in correlation for x in row]
    return _blondel.uncertainty_propagate(list(sensitivity), list(uncertainty), flat)  # type: ignore[no-any-return]


def point_uncertainty(view: View, point: str, powers: Sequence[complex], amps: Sequence[float]) -> PointUncertainty:
    """Uncertainty of a point from the classes in the record. ``powers`` and ``amps`` in the order of its elements; amperes in
    the primary of each CT."""
    powers = [complex(p) for p in powers]
    return PointUncertainty(*_blondel.point_uncertainty(view._handle, point, [p.real for p in powers],
                                                        [p.imag for p in powers], list(amps)))


def rollup_uncertainty(view: View, rollup: str, energies: Mapping[str, float], *, percent: float = 100,
                       angle_degrees: float = 0, shared_percent: float = 0) -> SumUncertainty:
    """Uncertainty of a roll-up and of its difference from the main. ``energies`` of all its points and the main, in any
    one unit; the classes are read at a current of ``percent`` of every CT's rating and at one load angle;
    ``shared_percent`` is the standard uncertainty that all points of one CT type and profile have in common."""
    return SumUncertainty(*_blondel.rollup_uncertainty(view._handle, rollup, percent, angle_degrees, shared_percent,
                                                       list(energies), list(energies.values())))
