"""The voltmeter phase test: on which phase does a conductor stand?"""

from __future__ import annotations

from typing import NamedTuple

from . import _blondel
from ._report import Report

TYPE_CHECKING = False
if TYPE_CHECKING:
    import os
    from collections.abc import Iterable
    from typing import Any

    import pandas
    from typing_extensions import Buffer

    from ._report import Policy
    from ._view import View


def _words(numbers: dict[str, int]) -> dict[int, str]:
    return {number: word for word, number in numbers.items()}


_VERDICT = _words(_blondel.PHASE)
_CAUSE = _words(_blondel.PHASE_CAUSE)
_PANEL = _words(_blondel.PANEL)


class PhaseRow(NamedTuple):
    """The phase of one conductor."""

    verdict: str  #: impossible, ambiguous, not_tested, likely, proven
    conductor: str
    circuit: str
    panel: str
    phase: str  #: A, B, C, or N for the neutral; "": not settled
    candidates: str
    recorded: str
    cause: str
    cause_text: str
    detail: str
    next: str  #: the measurement that comes next
    next_reference: str
    space: int
    pole: int
    readings: int
    drop_volts: float


class PhasePanel(NamedTuple):
    """The bus of one panel against the phases that were measured."""

    verdict: str  #: mixed, rotated, undecided, not_tested, as_recorded
    panel: str
    recorded: str
    measured: str
    next: str
    offset: int
    reversed: bool
    tested: int
    agree: int


class PhaseTest:
    """What a voltmeter phase test found: ``conductors``, ``panels`` and a ``report``."""

    __slots__ = ("_handle", "conductors", "panels", "report")

    def __init__(self, handle: Any) -> None:
        self._handle = handle
        self.conductors = tuple(
            PhaseRow(_VERDICT.get(r[0], str(r[0])), *r[1:7], _CAUSE.get(r[7], str(r[7])), *r[8:]) for r in handle.rows())
        self.panels = tuple(PhasePanel(_PANEL.get(r[0], str(r[0])), *r[1:]) for r in handle.panels())
        self.report = Report(handle.report())

    def text(self) -> str:
        """The result for people, with cautions."""
        return self._handle.text()

    def to_frame(self) -> pandas.DataFrame:
        """A pandas DataFrame: one row a conductor."""
        from ._frames import rows_frame

        return rows_frame(self.conductors, PhaseRow, "conductor")

    def __repr__(self) -> str:
        counts = {v: sum(r.verdict == v for r in self.conductors) for v in _VERDICT.values()}
        return "<PhaseTest: " + ", ".join(f"{n} {v}" for v, n in counts.items() if n) + ">"


def phase_test(view: View, readings: Iterable[tuple[str, str, float]] | str | Buffer, *, service: str | None = None,
               policy: Policy | None = None, max_bytes: int | None = None) -> PhaseTest:
    """Works out the phase of each conductor from voltages.

    ``readings``: tuples of conductor, reference and volts, or CSV as str or bytes with the columns conductor, reference,
    volts. A conductor is ``circuit:pole`` or ``panel/space`` of the record, or any other name; a reference is A, B, C, N
    or G, or another conductor. Voltages that cannot be are findings. Only a qualified person measures on live parts; zero
    volts does not prove a conductor dead.
    """
    limits = None if policy is None else policy._handle
    if isinstance(readings, (str, bytes, bytearray, memoryview)):
        return PhaseTest(_blondel.phase_test_csv(view._handle, service, readings, max_bytes, limits))
    import array

    rows = list(readings)
    volts = array.array("d", [float(v) for _, _, v in rows])
    return PhaseTest(_blondel.phase_test(view._handle, service, [c for c, _, _ in rows], [r for _, r, _ in rows],
                                         volts if rows else None, limits))


def phase_test_file(view: View, path: str | os.PathLike[str], *, service: str | None = None,
                    policy: Policy | None = None) -> PhaseTest:
    """The same from a CSV file."""
    with open(path, "rb") as file:
        return phase_test(view, file.read(), service=service, policy=policy)


def phase_test_sheet(view: View, panel: str) -> str:
    """A sheet to fill in, as CSV: every pole of a panel against every reference, with the voltage foretold."""
    return _blondel.phase_test_sheet(view._handle, panel)
