"""Checking while editing: a check that follows the edits of a draft at the cost of what they can reach."""

from __future__ import annotations

from typing import NamedTuple

from . import _blondel
from ._report import Policy, Report
from ._site import Draft
from ._time import Instant


class Changes(NamedTuple):
    """Findings of two states of a record, compared by identity: never by numbers or texts."""

    appeared: Report
    gone: Report
    changed: Report  #: the same finding with other facts, severity or waiver, as it is now

    @classmethod
    def _of(cls, three: tuple) -> Changes:
        return cls(*(Report(handle) for handle in three))

    def __bool__(self) -> bool:
        return any(len(report) for report in self)


class Recheck:
    """Checks a draft once, and then what its edits can reach.

    >>> import blondel
    >>> draft = blondel.Draft()
    >>> _ = draft.add("point", "shop")
    >>> recheck = blondel.Recheck(draft)
    >>> _ = draft.set("point", "shop", "use", "check")
    >>> [f.code for f in recheck.update().gone if f.severity == "error"]
    ['point-without-premises']
    """

    __slots__ = ("_draft", "_handle")

    def __init__(self, draft: Draft, *, valid: Instant = None, known: Instant = None,
                 policy: Policy | None = None) -> None:
        self._draft = draft
        self._handle = _blondel.Recheck(draft._handle, valid, known, None if policy is None else policy._handle)

    def update(self) -> Changes:
        """Follows the edits since the last call."""
        return Changes._of(self._handle.update(self._draft._handle))

    def report(self) -> Report:
        """The whole report as of the last update."""
        return Report(self._handle.report())

    @property
    def reached(self) -> int:
        """Entities that the last update looked at; all of them after a whole check."""
        return self._handle.reached()


def compare(before: Report, after: Report) -> Changes:
    """What differs between two reports, by the identity of their findings."""
    return Changes._of(_blondel.report_compare(before._handle, after._handle))
