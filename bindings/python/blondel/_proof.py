"""Which wirings explain what the points read, how surely, and what would settle the rest."""

from __future__ import annotations

from typing import Any, NamedTuple

from . import _blondel
from ._columns import named
from ._report import Report

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    import pandas

    from ._live import Readings
    from ._report import Policy
    from ._site import Site
    from ._time import Instant
    from ._view import View

_VERDICT = {number: word for word, number in _blondel.POINT.items()}


class Test(NamedTuple):
    """A test on site, on one channel.

    ``voltmeter``: ``value`` V between the conductor in the CT and voltage terminal ``conductor``. ``clamp``: ``value``
    A round that conductor while the channel reads ``before`` A. ``known_load``: a resistive load of ``value`` W was
    switched on at pole ``conductor`` of ``circuit``; the channel changed by ``watts`` and ``vars``. ``switching``: the
    breaker of ``circuit`` was switched off; the channel read ``before`` A, then ``after`` A. ``inspection``: the CT is
    round ``conductor``, its direction against the record is ``sign`` (1, -1, or 0 when not seen).
    """

    __test__ = False  # no test of pytest

    kind: str
    channel: str
    conductor: str = ""
    circuit: str = ""
    value: float = 0.0
    before: float = 0.0
    after: float = 0.0
    watts: float = 0.0
    vars: float = 0.0
    sign: int = 0


class Seat(NamedTuple):
    """Where one CT is in one wiring."""

    channel: str
    conductor: str  #: A, B, C, N; "none": without current; "recorded": several, as recorded
    also: str  #: second conductor in the window, or "none"
    sign: int  #: 1, or -1: reversed against the record
    ratio: str  #: true over configured: "1", "2", "1/2"
    dead: bool
    foreign: bool  #: the conductor is another circuit's


class Wiring(NamedTuple):
    """One wiring of a class."""

    words: str
    placements: tuple[Seat, ...]
    leads: str  #: of the words, what is said of the device's voltage leads, or ""


class ProofClass(NamedTuple):
    """Wirings that no reading tells apart."""

    probability: float
    likelihood_ratio: float  #: against the best class, whatever the priors
    is_record: bool
    members: tuple[Wiring, ...]

    @property
    def words(self) -> str:
        """Its simplest wiring."""
        return self.members[0].words


class PointProof(NamedTuple):
    """What was found out about one point."""

    point: str
    verdict: str  #: proven, likely, open, wrong, not_loaded, not_judged
    probability: float  #: of the class that is named first
    record_probability: float  #: that all is as recorded
    class_count: int
    snapshots: int
    elements: int
    loaded: int
    classes: tuple[ProofClass, ...]  #: the most probable first
    not_excluded: tuple[str, ...]  #: what stays possible beside them
    evidence: str


def _class(row: Any) -> ProofClass:
    members = tuple(Wiring(words, tuple(Seat(*p) for p in places), leads) for words, places, leads in row[3])
    return ProofClass(row[0], row[1], row[2], members)


class Proof:
    """Every point of the record, in its order. ``proof["P1"]`` is one point."""

    __slots__ = ("_handle", "points", "report")

    def __init__(self, handle: _blondel.Proof) -> None:
        self._handle = handle
        self.points = tuple(
            PointProof(r[0], _VERDICT.get(r[1], str(r[1])), r[2], r[3], len(r[7]), r[4], r[5], r[6],
                       tuple(_class(c) for c in r[7]), tuple(r[8]), r[9])
            for r in handle.points())
        self.report = Report(handle.report())

    def __getitem__(self, point: str) -> PointProof:
        for p in self.points:
            if p.point == point:
                return p
        raise KeyError(point)

    def to_frame(self) -> pandas.DataFrame:
        """A pandas DataFrame: one row a point."""
        import pandas

        rows = [{"point": p.point, "verdict": p.verdict, "probability": p.probability,
                 "reads_as": " or ".join(c.words for c in p.classes), "classes": p.class_count,
                 "snapshots": p.snapshots, "elements": p.elements, "loaded": p.loaded, "evidence": p.evidence}
                for p in self.points]
        columns = ["point", "verdict", "probability", "reads_as", "classes", "snapshots", "elements", "loaded",
                   "evidence"]
        return pandas.DataFrame(rows, columns=columns).set_index("point")

    def __repr__(self) -> str:
        counts = {v: sum(p.verdict == v for p in self.points) for v in _VERDICT.values()}
        return "<Proof: " + ", ".join(f"{n} {v}" for v, n in counts.items() if n) + ">"


def prove(view: View | Site, readings: Readings, tests: Iterable[Test] | None = None, policy: Policy | None = None, *,
          at: Instant | None = None, progress: Callable[[int, int], object] | None = None) -> Proof:
    """Infers the wiring of every point of a view, or of a site as of ``at``, from readings and tests.

    Rows of one point within the policy's ``snapshot_seconds`` are one snapshot. A wrong wiring is a result.
    ``policy`` is of the domain ``proof``; ``progress`` as in :func:`blondel.check`.
    """
    from ._site import Site

    if isinstance(view, Site):
        view = view.view(at) if at is not None else view.view()
    rows = [(named(_blondel.TEST, t.kind, "kind"), *map(str, t[1:4]), *map(float, t[4:9]), int(t.sign))
            for t in tests or ()]
    return Proof(_blondel.proof_new(view._handle, readings._handle, rows, None if policy is None else policy._handle,
                                    progress))
