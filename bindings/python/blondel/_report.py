"""Findings with their texts, policies, and the check of a view."""

from __future__ import annotations

import json as _json
from collections.abc import Sequence
from typing import Any, NamedTuple, overload

from . import _blondel

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable

    import pandas

    from ._view import View

_SEVERITY = {30: "error", 20: "warning", 10: "note"}
_VERDICT = {10: "wrong", 20: "undecided", 30: "not_checked", 40: "right"}
_DOMAIN = {"check": _blondel.POLICY_CHECK, "live": _blondel.POLICY_LIVE, "energy": _blondel.POLICY_ENERGY,
           "phase_test": _blondel.POLICY_PHASE_TEST, "trace": _blondel.POLICY_TRACE,
           "proof": _blondel.POLICY_PROOF}


class Subject(NamedTuple):
    """An entity that a finding is about."""

    kind: str
    id: str


class Fact(NamedTuple):
    """One number with its unit, or one word, of a finding."""

    name: str
    value: float | str
    unit: str


class Key(NamedTuple):
    """One key of a policy: what it limits, and where its default comes from."""

    key: str
    unit: str
    doc: str
    source: str
    initial: float
    low: float
    high: float


class Catalogue:
    """Texts of findings in one language; codes that it lacks stay English."""

    __slots__ = ("_handle",)

    def __init__(self, json: str | bytes | dict[str, Any]) -> None:
        self._handle = _blondel.Catalogue(json if isinstance(json, (str, bytes)) else _json.dumps(json))

    @staticmethod
    def english() -> dict[str, Any]:
        """The built-in catalogue as a mapping, to be translated."""
        return _json.loads(_blondel.catalogue_english())


class Finding:
    """One finding. Its identity is code, subjects and discriminator, never numbers or prose."""

    __slots__ = ("_at", "_report", "code", "discriminator", "facts", "identity", "pointer", "reason", "severity",
                 "source", "subjects", "verdict", "waiver")

    def __init__(self, report: Report, at: int) -> None:
        (code, severity, verdict, subjects, facts, discriminator, pointer, source, waiver, reason,
         identity) = report._handle.finding(at)
        self._report = report
        self._at = at
        self.code = code
        self.severity = _SEVERITY.get(severity, str(severity))
        self.verdict = _VERDICT.get(verdict, str(verdict))
        self.subjects = tuple(Subject(*s) for s in subjects)
        self.facts = tuple(Fact(*f) for f in facts)
        self.discriminator = discriminator
        self.pointer = pointer
        self.source = source
        self.waiver = waiver
        self.reason = reason
        self.identity = identity

    def fact(self, name: str, default: Any = None) -> Any:
        """Value of the fact of this name."""
        return next((f.value for f in self.facts if f.name == name), default)

    def _text(self, what: int, catalogue: Catalogue | None) -> str:
        return self._report._handle.text(self._at, what, None if catalogue is None else catalogue._handle)

    def text(self, catalogue: Catalogue | None = None) -> str:
        """What was found, with the numbers."""
        return self._text(_blondel.TEXT_BODY, catalogue)

    def title(self, catalogue: Catalogue | None = None) -> str:
        """A few words."""
        return self._text(_blondel.TEXT_TITLE, catalogue)

    def action(self, catalogue: Catalogue | None = None) -> str:
        """What to do, with cautions."""
        return self._text(_blondel.TEXT_ACTION, catalogue)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Finding):
            return NotImplemented
        return (self.identity, self.severity, self.verdict, self.facts) == (
            other.identity, other.severity, other.verdict, other.facts)

    def __hash__(self) -> int:
        return hash(self.identity)

    def __repr__(self) -> str:
        about = ", ".join(f"{s.kind} {s.id}" for s in self.subjects)
        return f"<{self.severity} {self.code}: {about}>"


class Report(Sequence[Finding]):
    """What a check found: errors first, then in the order of the record. Immutable."""

    __slots__ = ("_findings", "_handle")

    def __init__(self, handle: _blondel.Report) -> None:
        self._handle = handle
        self._findings = tuple(Finding(self, i) for i in range(len(handle)))

    @overload
    def __getitem__(self, i: int) -> Finding: ...
    @overload
    def __getitem__(self, i: slice) -> tuple[Finding, ...]: ...
    def __getitem__(self, i):  # type: ignore[no-untyped-def]
        return self._findings[i]

    def __len__(self) -> int:
        return len(self._findings)

    def as_dict(self) -> dict[str, Any]:
        """The whole report: findings, coverage, version and digests."""
        return _json.loads(self._handle.json())

    def json(self) -> str:
        """The same as JSON text."""
        return self._handle.json()

    def identities(self) -> frozenset[str]:
        """Identities of the findings; two audits are compared by these."""
        return frozenset(f.identity for f in self._findings)

    def to_frame(self) -> pandas.DataFrame:
        """A pandas DataFrame: one row a finding."""
        from ._frames import report_frame

        return report_frame(self)

    def __repr__(self) -> str:
        counts = {s: sum(f.severity == s for f in self._findings) for s in _SEVERITY.values()}
        return "<Report: " + ", ".join(f"{n} {s}{'' if n == 1 else 's'}" for s, n in counts.items()) + ">"


class Policy:
    """Limits of one domain: ``check``, ``live``, ``energy``, ``phase_test``, ``trace`` or ``proof``. ``policy["key"] = value`` sets one."""

    __slots__ = ("_handle", "domain")

    def __init__(self, domain: str = "check", **values: float) -> None:
        from .errors import RangeError

        if domain not in _DOMAIN:
            raise RangeError(f"domain is one of {', '.join(_DOMAIN)}, not {domain!r}")
        self.domain = domain
        self._handle = _blondel.Policy(_DOMAIN[domain])
        if values:
            self.read(values)

    def __getitem__(self, key: str) -> float:
        return self._handle.get(key)

    def __setitem__(self, key: str, value: float) -> None:
        self._handle.set(key, value)

    def read(self, json: str | bytes | dict[str, float]) -> Policy:
        """Sets keys from a mapping, or from the text of one JSON object. All or nothing."""
        self._handle.read(json if isinstance(json, (str, bytes)) else _json.dumps(json))
        return self

    @property
    def keys(self) -> tuple[Key, ...]:
        """All keys of the domain with unit, meaning, source of the default, and range."""
        return tuple(Key(*row) for row in _blondel.policy_keys(_DOMAIN[self.domain]))

    def __repr__(self) -> str:
        return f"<Policy {self.domain}: " + ", ".join(f"{k.key}={self[k.key]:g}" for k in self.keys) + ">"


def check(view: View, policy: Policy | None = None, *, progress: Callable[[int, int], object] | None = None) -> Report:
    """Checks a view against every rule. A wrong site is a result: the report says so.

    ``progress(done, total)`` is called now and then; a true result ends the call with
    :class:`blondel.CancelledError`.
    """
    return Report(_blondel.check(view._handle, None if policy is None else policy._handle, progress))
