"""The field table, as rows. Read once, on first use."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from . import _blondel


class Field(NamedTuple):
    """One row of the field table."""

    name: str
    type: str
    unit: str
    doc: str
    layer: str
    dated: bool
    target: str | None
    choices: tuple[tuple[str, str], ...]
    range: tuple[float, float] | None


@lru_cache(maxsize=None)
def kinds() -> dict[str, str]:
    """Name of each kind with the key of its collection in a file."""
    return dict(_blondel.kinds())


@lru_cache(maxsize=None)
def kind_of(name: str) -> str:
    """Name of a kind by its name or collection; raises :class:`blondel.UnknownNameError`."""
    for kind, collection in kinds().items():
        if name in (kind, collection) and name:
            return kind
    from .errors import UnknownNameError

    raise UnknownNameError(f"no kind is called {name}")


@lru_cache(maxsize=None)
def fields(kind: str) -> dict[str, Field]:
    """Fields of a kind by name, in the order of the table."""
    rows = (Field(*row[:7], tuple(row[7]), row[8]) for row in _blondel.fields(kind))
    return {row.name: row for row in rows}
