"""Limits of standards with their sources, and the resistance of conductors."""

from __future__ import annotations

from typing import NamedTuple

from . import _blondel


class Limit(NamedTuple):
    """A limit as its standard states it."""

    key: str  #: standard, subject, condition
    quantity: str
    condition: str
    low: float
    high: float  #: equal to `low` where the standard gives one value
    unit: str
    standard: str
    source: str  #: where the numbers were taken from
    from_memory: bool  #: not seen in a source; confirm it against the standard before money depends on it


def limits() -> list[Limit]:
    """Every limit that the library knows; accuracy classes are given by `accuracy_classes()`."""
    return [Limit(*row) for row in _blondel.limits()]


def limit(key: str) -> Limit:
    """The limit of this key.

    >>> import blondel
    >>> blondel.limit("iec-60038/230-400/ln").high
    253.0
    """
    return Limit(*_blondel.limit(key))


def copper_ohms_per_m(mm2: float, celsius: float = 20) -> float:
    """Greatest resistance of one metre of one plain copper conductor (IEC 60228).

    >>> import blondel
    >>> round(1000 * blondel.copper_ohms_per_m(2.5), 2)
    7.41
    """
    return _blondel.copper_resistance(mm2, celsius)


def gauge_mm2(gauge: str) -> float:
    """Area of a wire of an American wire gauge, in mm2.

    >>> import blondel
    >>> round(blondel.gauge_mm2("12"), 2)
    3.31
    """
    return _blondel.gauge_area(gauge)
