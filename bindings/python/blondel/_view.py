"""A dated view: collections of entities whose attributes follow from the field table."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from . import _blondel
from ._table import fields, kind_of, kinds
from .errors import AbsentError


class Entity:
    """One entity as of the instant of its view; a field without a value is None."""

    __slots__ = ("_view", "id")
    _kind = ""

    def __init__(self, view, id):
        self._view = view
        self.id = id

    def json(self, field):
        """A field as JSON text, or None."""
        try:
            return self._view._handle.json(self._kind, self.id, field)
        except AbsentError:
            return None

    def as_dict(self):
        """All fields that have a value."""
        values = ((name, getattr(self, name)) for name in fields(self._kind))
        return {name: value for name, value in values if value is not None}

    def __eq__(self, other):
        if not isinstance(other, Entity):
            return NotImplemented
        return (self._kind, self.id, self.as_dict()) == (other._kind, other.id, other.as_dict())

    def __hash__(self):
        return hash((self._kind, self.id))

    def __repr__(self):
        return f"<{self._kind} {self.id}>"


def _property(kind, row):
    def read(self):
        try:
            return self._view._handle.get(kind, self.id, row.name)
        except AbsentError:
            return None

    doc = row.doc
    if row.unit:
        doc += f", in {row.unit}"
    if row.choices:
        doc += ": " + ", ".join(word for word, _ in row.choices)
    return property(read, doc=doc)


@lru_cache(maxsize=None)
def entity_class(kind):
    """The class of a kind's entities, with one property a field."""
    name = "".join(part.capitalize() for part in kind.split("_"))
    members = {"__slots__": (), "_kind": kind, "__doc__": f"A {kind} of a view."}
    members.update((row.name, _property(kind, row)) for row in fields(kind).values())
    return type(name, (Entity,), members)


class Collection(Mapping):
    """The entities of one kind, by id, in the order of the record."""

    __slots__ = ("_class", "_ids", "_view", "kind")

    def __init__(self, view, kind):
        self.kind = kind
        self._view = view
        self._class = entity_class(kind)
        self._ids = view.site.ids(kind)

    def __getitem__(self, id):
        if not isinstance(id, str) or self._view.site.find(self.kind, id) < 0:
            raise KeyError(id)
        return self._class(self._view, id)

    def __iter__(self):
        return iter(self._ids)

    def __len__(self):
        return len(self._ids)

    def to_frame(self):
        """A pandas DataFrame: one row an entity, one column a field that any of them has."""
        from ._frames import collection_frame

        return collection_frame(self)

    def __repr__(self):
        return f"<{len(self)} {kinds()[self.kind]}>"


class View:
    """The record as of one instant. Immutable; keeps its site alive.

    ``view.circuit["LP1-01"].breaker_amps`` is the value at that instant, or None.
    """

    __slots__ = ("_handle", "known", "site", "valid")

    def __init__(self, site, valid=None, known=None):
        self._handle = _blondel.View(site._handle, valid, known)
        self.site = site
        self.valid = valid
        self.known = known

    def __getattr__(self, name):
        if name in kinds():
            return Collection(self, name)
        raise AttributeError(name)

    def __getitem__(self, kind):
        """The collection of a kind, by its name or by the key of its collection."""
        return Collection(self, kind_of(kind))

    def get(self, kind, id, field, default=None):
        """One field, or ``default`` where it has no value."""
        try:
            return self._handle.get(kind, id, field)
        except AbsentError:
            return default

    @property
    def record(self):
        """The site's own fields."""
        return entity_class("site")(self, "")

    def __dir__(self):
        return [*super().__dir__(), *(kind for kind in kinds() if kind != "site")]
