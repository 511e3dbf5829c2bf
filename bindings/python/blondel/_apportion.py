"""Common energy divided among parties; the parts are the whole."""

from __future__ import annotations

import json as _json
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import Any, NamedTuple

from . import _blondel
from ._columns import named

TYPE_CHECKING = False
if TYPE_CHECKING:
    from ._site import Site
    from ._time import Instant

    #: a weight that always holds, or weights with the time for which each holds
    Weight = int | Fraction | Sequence[tuple[Instant | None, Instant | None, int | Fraction]]

_STEP = {number: word for word, number in _blondel.STEP.items()}


class Share(NamedTuple):
    """What one party gets."""

    id: str
    part: int  #: whole counts; the parts add up to the total
    exact: Fraction  #: before rounding
    extra: bool  #: one count more than the exact part rounded down
    capped: bool
    cap: int | None


class Step(NamedTuple):
    """One step of the working."""

    kind: str  #: span, weight, excluded, share, cap, rounding
    id: str
    start: int
    end: int
    value: float
    exact: str
    words: str


class Apportionment(tuple[Share, ...]):
    """Parts of a whole, ascending by id, with the working."""

    _handle: _blondel.Apportionment

    @classmethod
    def _of(cls, handle: _blondel.Apportionment) -> Apportionment:
        self = cls(Share(r[0], r[1], Fraction(r[2]), r[5], r[6], r[7]) for r in handle.parts())
        self._handle = handle
        return self

    @property
    def parts(self) -> dict[str, int]:
        """Whole counts of each party."""
        return {share.id: share.part for share in self}

    @property
    def working(self) -> tuple[Step, ...]:
        """The steps, in order."""
        return tuple(Step(_STEP.get(r[0], str(r[0])), *r[1:]) for r in self._handle.steps())

    def words(self) -> str:
        """The working in words, one step a line."""
        return self._handle.words()

    def as_dict(self) -> dict[str, Any]:
        """Parts and working as their JSON reads."""
        return _json.loads(self._handle.json())

    def json(self) -> str:
        """The same as JSON text."""
        return self._handle.json()


def apportion(total: int, method: str = "given", *, start: Instant, end: Instant,
              weights: Mapping[str, Weight] | None = None, caps: Mapping[str, int] | None = None,
              excluded: Iterable[str] | Mapping[str, str] = (), site: Site | None = None,
              known: Instant | None = None, unit: str = "counts") -> Apportionment:
    """Divides whole counts among parties for the period [start, end).

    ``method``: ``equal``, ``area``, ``use`` or ``given``. With a ``site``, ``equal`` and ``area`` take all premises that
    are not common; otherwise ``weights`` name the parties. A weight may be dated: ``[(from, to, weight), ...]``.
    ``excluded``: ids, or ids with reasons. ``caps``: most counts of a party. Largest remainder, ties by id."""
    key = _blondel.KEY
    keys: list[tuple[int, str, Any, Any, int | Fraction, str]] = []
    for id, weight in (weights or {}).items():
        dated = [(None, None, weight)] if isinstance(weight, (int, Fraction)) else weight
        keys += [(key["weight"], id, since, until, value, "") for since, until, value in dated]
    reasons = excluded if isinstance(excluded, Mapping) else dict.fromkeys(excluded, "")
    keys += [(key["excluded"], id, None, None, 1, reason) for id, reason in reasons.items()]
    keys += [(key["cap"], id, None, None, cap, "") for id, cap in (caps or {}).items()]
    return Apportionment._of(_blondel.Apportionment(named(_blondel.SHARE, method, "method"), total, start, end, unit,
                                                    None if site is None else site._handle, known, keys))
