"""Columns: arrays that are read where they lie."""

from __future__ import annotations

from datetime import timedelta
from typing import Any, NamedTuple

from .errors import FieldTypeError


class Column(NamedTuple):
    """An array with its validity: one bool an item, or a bitmap of bytes, least significant bit first.
    An item that is not valid is unknown, whatever stands in the array."""

    data: Any
    validity: Any = None


def _array(data: Any, name: str) -> Any:
    # pandas keeps its numbers in an array that can be had without a copy.
    if hasattr(data, "to_numpy"):
        before = data
        data = before.to_numpy()
        if data.dtype.kind == "O":
            raise FieldTypeError(f"{name} holds Python objects, not numbers")
    kind = getattr(getattr(data, "dtype", None), "kind", None)
    if kind == "M":
        if str(data.dtype) not in ("datetime64[us]", "<M8[us]"):
            raise FieldTypeError(f"{name} is {data.dtype}; instants are datetime64[us] or int64 microseconds")
        data = data.view("i8")
    return data


def column(source: Any, name: str) -> tuple[Any, Any] | None:
    """What the extension takes: None, or the array with its validity."""
    if source is None:
        return None
    if isinstance(source, Column):
        return (_array(source.data, name), source.validity)
    return (_array(source, name), None)


def counts(source: Any) -> Any:
    """A series of counts: a list, an array, a Column, or (array, validity) as Statement.series() gives it."""
    if isinstance(source, tuple) and not isinstance(source, Column):
        return Column(*source)
    if isinstance(source, list):
        import numpy

        return numpy.array(source, numpy.int64)
    return source


def columns(**sources: Any) -> dict[str, tuple[Any, Any] | None]:
    """The columns that are given."""
    return {name: column(source, name) for name, source in sources.items() if source is not None}


def microseconds(duration: timedelta | int) -> int:
    """A timedelta, or an int of microseconds."""
    if isinstance(duration, timedelta):
        return (duration.days * 86400 + duration.seconds) * 1_000_000 + duration.microseconds
    return duration


def named(words: dict[str, int], value: str, what: str) -> int:
    """Number of a word; raises :class:`blondel.RangeError` with all words there are."""
    from .errors import RangeError

    if value not in words:
        raise RangeError(f"{what} is one of {', '.join(words)}, not {value!r}")
    return words[value]
