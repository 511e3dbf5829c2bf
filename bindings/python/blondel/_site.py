"""Draft and frozen site."""

from __future__ import annotations

import json as _json
import os
from typing import Any, NamedTuple

from . import _blondel
from ._table import kind_of, kinds

TYPE_CHECKING = False
if TYPE_CHECKING:
    import pandas
    from typing_extensions import Buffer

    from ._time import Instant
    from ._view import View

_STYLES = {"readable": _blondel.JSON_READABLE, "canonical": _blondel.JSON_CANONICAL}


class When(NamedTuple):
    """When an assignment holds and where it comes from: valid in [from_, to), known from recorded_at on.

    Instants are aware datetimes or microseconds since 1970-01-01 UTC; None leaves an end open.
    """

    from_: Instant | None = None
    to: Instant | None = None
    recorded_at: Instant | None = None
    reason: str | None = None
    evidence: str | None = None


class Assignment(NamedTuple):
    """One entry of the history of a field."""

    value: Any
    from_: Instant | None
    to: Instant | None
    recorded_at: Instant | None
    reason: str
    evidence: str


def _text(patch: Any) -> Any:
    return patch if isinstance(patch, (str, bytes, bytearray, memoryview)) else _json.dumps(patch)


class Site:
    """A frozen record of a site: immutable, and shared by any number of threads.

    Made by :meth:`read`, :meth:`from_file` or :meth:`Draft.freeze`.
    """

    __slots__ = ("_handle",)

    def __init__(self, handle: _blondel.Site) -> None:
        if not isinstance(handle, _blondel.Site):
            raise TypeError("use Site.read, Site.from_file or Draft.freeze")
        self._handle = handle

    @classmethod
    def read(cls, text: str | Buffer, *, max_depth: int | None = None, max_bytes: int | None = None) -> Site:
        """Reads a site file from str or bytes. Wrong facts load and become findings; a text that cannot
        be read raises, with its place, and with every field error it holds in ``.items``."""
        return cls(_blondel.Site.read(text, max_depth, max_bytes))

    @classmethod
    def from_file(cls, path: str | os.PathLike[str], *, max_depth: int | None = None,
                  max_bytes: int | None = None) -> Site:
        """Reads a site file."""
        with open(path, "rb") as file:
            return cls.read(file.read(), max_depth=max_depth, max_bytes=max_bytes)

    def json(self, style: str = "readable") -> str:
        """The site file as text: ``readable`` (one entity a line) or ``canonical`` (RFC 8785)."""
        from .errors import RangeError

        if style not in _STYLES:
            raise RangeError(f"style is readable or canonical, not {style!r}")
        return self._handle.json(_STYLES[style])

    def save(self, path: str | os.PathLike[str], style: str = "readable") -> None:
        """Writes the site file, whole or not at all."""
        text = self.json(style).encode()
        scratch = f"{os.fspath(path)}.new"
        with open(scratch, "wb") as file:
            file.write(text)
        os.replace(scratch, path)

    def digest(self) -> str:
        """SHA-256 over the canonical file, 64 hexadecimal digits."""
        return self._handle.digest()

    def difference(self, after: Site) -> list[dict[str, Any]]:
        """JSON Patch (a list of operations) that turns this site into ``after``."""
        return _json.loads(self._handle.difference(after._handle))

    def view(self, valid: Instant | None = None, known: Instant | None = None) -> View:
        """What held at the instant ``valid``, as far as was recorded up to ``known``. None: the latest."""
        from ._view import View

        return View(self, valid, known)

    def draft(self) -> Draft:
        """A draft that holds what this site holds."""
        return Draft(_blondel.Draft.of(self._handle))

    @property
    def kinds(self) -> dict[str, int]:
        """Kinds of which the site holds entities, each with their number."""
        counts = {kind: self._handle.count(kind) for kind in kinds()}
        return {kind: n for kind, n in counts.items() if n}

    def ids(self, kind: str) -> tuple[str, ...]:
        """Ids of a kind, in the order of the record."""
        return self._handle.ids(kind)

    def find(self, kind: str, id: str) -> int:
        """Position of an id in its kind, or -1. Valid for this site only."""
        return self._handle.find(kind, id)

    def history(self, kind: str, id: str, field: str) -> tuple[Assignment, ...]:
        """All assignments of a field, in the order in which they were written. Values are as in the file."""
        return tuple(
            Assignment(_json.loads(value), from_, to, recorded_at, reason, evidence)
            for from_, to, recorded_at, reason, evidence, value in self._handle.history(kind, id, field)
        )

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Site):
            return NotImplemented
        return self._handle is other._handle or self.json("canonical") == other.json("canonical")

    def __hash__(self) -> int:
        return hash(self.digest())

    def __reduce__(self) -> tuple[Any, ...]:
        return (Site.read, (self.json("canonical"),))

    def __repr__(self) -> str:
        held = ", ".join(f"{n} {kind if n == 1 else kinds()[kind]}" for kind, n in self.kinds.items() if kinds()[kind])
        return f"<Site: {held or 'empty'}>"


class Draft:
    """A record under edit. Freezing it gives a :class:`Site`; the draft may be edited on.

    The field table says what each field takes: a str for texts, references and choices, bool, int, float,
    int or Fraction, an aware datetime or microseconds, lists, and mappings of ids to ratios.
    """

    __slots__ = ("_handle",)

    def __init__(self, handle: _blondel.Draft | None = None) -> None:
        self._handle = _blondel.Draft() if handle is None else handle

    @classmethod
    def read(cls, text: str | Buffer, *, max_depth: int | None = None, max_bytes: int | None = None) -> Draft:
        """Reads a site file from str or bytes; see :meth:`Site.read`."""
        return cls(_blondel.Draft.read(text, max_depth, max_bytes))

    def add(self, kind: str, id: str, /, **fields: Any) -> Draft:
        """Adds an entity, with fields. All or nothing. Returns the draft, so that calls can be chained."""
        self._handle.add(kind, id)
        try:
            for field, value in fields.items():
                self._handle.set(kind, id, field, value, None)
        except BaseException:
            self._handle.remove(kind, id)
            raise
        return self

    def remove(self, kind: str, id: str) -> Draft:
        """Removes an entity with all its fields. References to it are left and become findings."""
        self._handle.remove(kind, id)
        return self

    def set(self, kind: str, id: str, field: str, value: Any, *, when: When | None = None) -> Draft:
        """Sets one field. Without ``when`` the value replaces the whole history of the field;
        with it the assignment is appended. For the site's own fields the id is ``""``."""
        self._handle.set(kind, id, field, value, None if when is None else tuple(When(*when)))
        return self

    def clear(self, kind: str, id: str, field: str) -> Draft:
        """Removes all assignments of a field: it becomes unknown."""
        self._handle.clear(kind, id, field)
        return self

    def ext(self, kind: str, id: str, value: Any) -> Draft:
        """Sets the free part of an entity: a mapping, or the text of one JSON object. None removes it."""
        self._handle.set_ext(kind, id, "" if value is None else _text(value))
        return self

    def patch(self, patch: str | Buffer | list[Any], *, max_depth: int | None = None,
              max_bytes: int | None = None) -> Draft:
        """Applies a JSON Patch (RFC 6902): a list of operations, or its text. All or nothing."""
        self._handle.patch(_text(patch), max_depth, max_bytes)
        return self

    def extend(self, kind: str, frame: pandas.DataFrame) -> Draft:
        """Adds one entity for each row of a pandas DataFrame: the index is the id, columns are fields,
        missing values stay unknown. Entities that are there already get the fields set. All or nothing."""
        from ._frames import add_rows

        before = self._handle.freeze()
        try:
            add_rows(self._handle, kind_of(kind), frame)
        except BaseException:
            self._handle = _blondel.Draft.of(before)
            raise
        return self

    def merge(self, other: Draft, replace: bool = False) -> None:
        """Adds entities and fields of another draft. Fields that both have with different values are refused, all
        listed in the error's ``items``, or replaced. All or nothing."""
        _blondel.draft_merge(self._handle, other._handle, _blondel.MERGE["replace" if replace else "refuse"])

    def freeze(self) -> Site:
        """The site that the draft holds now. Never fails for what the record says or lacks."""
        return Site(self._handle.freeze())
