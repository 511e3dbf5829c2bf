"""Tracing circuits: a plan of switching steps, its decoder, and natural steps before it."""

from __future__ import annotations

import json as _json
from typing import NamedTuple

from . import _blondel
from ._columns import columns, named
from ._report import Report

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping
    from typing import Any

    import pandas
    from typing_extensions import Buffer

    from ._report import Policy
    from ._view import View


def _words(numbers: dict[str, int]) -> dict[int, str]:
    return {number: word for word, number in numbers.items()}


_RULE = _words(_blondel.SWITCH)
_VERDICT = _words(_blondel.TRACED)
_CAUSE = _words(_blondel.TRACE_CAUSE)


class TraceBreaker(NamedTuple):
    """One breaker of a plan."""

    id: str
    poles: int
    rule: str  #: may, ask, never
    word: str  #: one sign a step: 1 where it is off; "": left on
    why: str  #: it is left on


class TraceRow(NamedTuple):
    """What readings say of one channel."""

    verdict: str  #: contradictory, undecided, not_proven, not_among, likely, proven
    channel: str
    breaker: str  #: the best explanation; "": none of the breakers
    second: str
    read: str  #: one sign a step: 1 fell, 0 stayed, p fell in part, - nothing usable
    cause: str
    cause_text: str
    steps: int
    wrong_steps: int
    nats: float  #: by which the best explanation beats the next
    probability: float
    share: float  #: of two breakers in one CT: of the current that belongs to ``breaker``
    amps: float


class TraceResult:
    """A sequence of :class:`TraceRow`, by channel, and a ``report``."""

    __slots__ = ("_handle", "_rows", "report")

    def __init__(self, handle: Any) -> None:
        self._handle = handle
        self._rows = tuple(
            TraceRow(_VERDICT.get(r[0], str(r[0])), *r[1:5], _CAUSE.get(r[5], str(r[5])), *r[6:]) for r in handle.rows())
        self.report = Report(handle.report())

    def __len__(self) -> int:
        return len(self._rows)

    def __iter__(self) -> Iterator[TraceRow]:
        return iter(self._rows)

    def __getitem__(self, i: int) -> TraceRow:
        return self._rows[i]

    def text(self) -> str:
        """The result for people, with cautions."""
        return self._handle.text()

    def to_frame(self) -> pandas.DataFrame:
        """A pandas DataFrame: one row a channel."""
        from ._frames import rows_frame

        return rows_frame(self._rows, TraceRow, "channel")

    def __repr__(self) -> str:
        counts = {v: sum(r.verdict == v for r in self._rows) for v in _VERDICT.values()}
        return "<TraceResult: " + ", ".join(f"{n} {v}" for v, n in counts.items() if n) + ">"


class Trace:
    """A plan of switching steps. Immutable; the same input gives the same plan.

    ``breakers``: ids, or a mapping of ids to numbers of poles. ``rules``: ``may``, ``ask`` or ``never`` for some of them;
    the others may be switched off. ``check``: ``plain``, ``detect`` (one wrong step is noticed) or ``correct`` (it is put
    right). ``most_off``: breakers that may be off at once; None: any number; 1: one by one. Never switch off life safety
    or medical equipment.
    """

    __slots__ = ("_handle", "breakers", "distance", "least_steps", "most_off", "steps", "traced")

    def __init__(self, breakers: Iterable[str] | Mapping[str, int], *, rules: Mapping[str, str] | None = None,
                 check: str = "detect", most_off: int | None = None) -> None:
        from collections.abc import Mapping as _Mapping

        ids = list(breakers)
        poles = [breakers[b] for b in ids] if isinstance(breakers, _Mapping) else [1] * len(ids)
        given = rules or {}
        numbers = [named(_blondel.SWITCH, given.get(b, "may"), "rule") for b in ids]
        self._take(_blondel.Trace(ids, poles, numbers, named(_blondel.TRACE_CHECK, check, "check"), most_off or 0))

    @classmethod
    def of_view(cls, view: View, panel: str | None = None, *, check: str = "detect", most_off: int | None = None) -> Trace:
        """The circuits of a panel, or of all panels. Left on are mains and feeders, supplies of the metering, spares,
        and circuits whose ``switch_off`` is ``never``."""
        self = cls.__new__(cls)
        number = named(_blondel.TRACE_CHECK, check, "check")
        self._take(_blondel.Trace.of_view(view._handle, panel, number, most_off or 0))
        return self

    def _take(self, handle: Any) -> None:
        self._handle = handle
        #: ``least_steps``: no plan under these conditions has fewer steps
        self.steps, self.least_steps, self.most_off, self.distance, self.traced = handle.about()
        self.breakers = tuple(TraceBreaker(r[0], r[1], _RULE.get(r[2], str(r[2])), *r[3:]) for r in handle.rows())

    def off(self, step: int) -> list[str]:
        """Ids of the breakers that are off in a step, from 1."""
        if not 1 <= step <= self.steps:
            raise IndexError(f"the plan has steps 1 to {self.steps}")
        return [b.id for b in self.breakers if b.word and b.word[step - 1] == "1"]

    def as_dict(self) -> dict[str, Any]:
        """The plan as a mapping of the JSON form."""
        return _json.loads(self._handle.json())

    def text(self) -> str:
        """The plan for people, step by step, with cautions."""
        return self._handle.text()

    def decode(self, readings: Iterable[tuple[str, int, float, float]] | str | Buffer, *, view: View | None = None,
               noise_amps: Any = None, policy: Policy | None = None, max_bytes: int | None = None) -> TraceResult:
        """What readings say: tuples of channel, step, amps before and amps while off, or CSV as str or bytes with the
        columns channel, step, before_amps, off_amps. The record of ``view`` is compared with what is found."""
        record = None if view is None else view._handle
        limits = None if policy is None else policy._handle
        if isinstance(readings, (str, bytes, bytearray, memoryview)):
            return TraceResult(self._handle.decode_csv(record, readings, max_bytes, limits))
        import array

        rows = list(readings)
        column = [array.array("d", [float(r[i]) for r in rows]) if rows else None for i in (1, 2, 3)]
        noise = columns(noise=noise_amps).get("noise")
        return TraceResult(self._handle.decode(record, [r[0] for r in rows], *column, noise, limits))

    def __repr__(self) -> str:
        return f"<Trace: {self.traced} breakers in {self.steps} steps, at most {self.most_off} off>"


class NaturalSteps(NamedTuple):
    """What loads that switch by themselves say."""

    steps: dict[str, list[tuple[int, float]]]  #: of each channel: sample and change in A
    together: list[list[str]]  #: channels that step together: poles of one circuit
    matches: list[dict[str, Any]]  #: circuit, channel, events, hits, nats


def natural_steps(amps: Mapping[str, Any], events: Iterable[tuple[str, int]] = (), *,
                  policy: Policy | None = None) -> NaturalSteps:
    """Looks for natural steps before anything is switched. ``amps``: an array of samples for each channel;
    ``events``: circuit and sample of each switching that somebody saw."""
    seen = list(events)
    found = _json.loads(_blondel.trace_natural(list(amps), [columns(amps=a)["amps"] for a in amps.values()],
                                               [c for c, _ in seen], [s for _, s in seen],
                                               None if policy is None else policy._handle))
    return NaturalSteps({c["id"]: [(at, by) for at, by in c["steps"]] for c in found["channels"]}, found["together"],
                        found["matches"])
