"""Writes blondel/_view.pyi: the types of all entities, from the field table.

    python bindings/python/stubs.py          (with the package installed)
"""

from pathlib import Path

import blondel

TYPES = {
    "text": "str",
    "ref": "str",
    "boolean": "bool",
    "integer": "int",
    "real": "float",
    "rational": "Fraction",
    "instant": "datetime | int",
    "integers": "tuple[int, ...]",
    "texts": "tuple[str, ...]",
    "refs": "tuple[str, ...]",
    "terms": "dict[str, Fraction]",
    "passes": "dict[str, Fraction]",
}

HEAD = '''# Written by bindings/python/stubs.py from the field table; do not edit.
from collections.abc import Iterator, Mapping
from datetime import datetime
from fractions import Fraction
from typing import Any, Generic, Literal, TypeVar

import pandas

from . import _blondel
from ._site import Site
from ._time import Instant

class Entity:
    id: str
    def json(self, field: str) -> str | None: ...
    def as_dict(self) -> dict[str, Any]: ...

E = TypeVar("E", bound=Entity, covariant=True)

class Collection(Mapping[str, E], Generic[E]):
    kind: str
    def __getitem__(self, id: str) -> E: ...
    def __iter__(self) -> Iterator[str]: ...
    def __len__(self) -> int: ...
    def to_frame(self) -> pandas.DataFrame: ...
'''

VIEW = '''
class View:
    _handle: _blondel.View
    site: Site
    valid: Instant | None
    known: Instant | None
    def __init__(self, site: Site, valid: Instant | None = None, known: Instant | None = None) -> None: ...
    def __getitem__(self, kind: str) -> Collection[Any]: ...
    def get(self, kind: str, id: str, field: str, default: Any = None) -> Any: ...
    @property
    def record(self) -> SiteEntity: ...
'''


def class_name(kind):
    return "SiteEntity" if kind == "site" else "".join(part.capitalize() for part in kind.split("_"))


def type_of(row):
    if row.type == "choice":
        return "Literal[" + ", ".join(f'"{word}"' for word, _ in row.choices) + "]"
    return TYPES[row.type]


def text():
    lines = [HEAD]
    for kind in blondel.kinds():
        lines.append(f"\nclass {class_name(kind)}(Entity):\n")
        for row in blondel.fields(kind).values():
            lines.append(f"    @property\n    def {row.name}(self) -> {type_of(row)} | None: ...\n")
    lines.append(VIEW)
    for kind in blondel.kinds():
        if kind != "site":
            lines.append(f"    @property\n    def {kind}(self) -> Collection[{class_name(kind)}]: ...\n")
    return "".join(lines)


if __name__ == "__main__":
    (Path(__file__).parent / "blondel/_view.pyi").write_text(text())
