"""One exception class per status of the C interface, all under :class:`Error`.

Every exception carries what the library's error object carries: the status number and its name, the
id of the entity it is about, the JSON Pointer and the place in the text, and all items when one text
holds several errors. Catch the class, never parse the message.
"""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from typing import Any


class Item:
    """One thing that went wrong."""

    __slots__ = ("byte", "column", "line", "message", "pointer", "status", "subject")

    def __init__(self, status: int, message: str, subject: str, pointer: str, line: int, column: int, byte: int) -> None:
        self.status = status
        self.message = message
        self.subject = subject
        self.pointer = pointer
        self.line = line
        self.column = column
        self.byte = byte

    @property
    def name(self) -> str:
        """Name of the status, such as ``duplicate``."""
        from . import _blondel

        return _blondel.status_name(self.status)

    def __repr__(self) -> str:
        place = f" at line {self.line}, column {self.column}" if self.line else ""
        return f"<{self.name}: {self.message}{place}>"


class Error(Exception):
    """A call that could not be carried out; nothing was changed by it."""

    code: int = 0  #: status that the class stands for

    def __init__(self, items: str | Iterable[Item] = ()) -> None:
        if isinstance(items, str):
            items = [Item(self.code, items, "", "", 0, 0, 0)]
        self.items = tuple(items)
        super().__init__(self._line())

    def _line(self) -> str:
        if not self.items:
            return ""
        first = self.items[0]
        text = first.message
        if first.pointer:
            text += f" [{first.pointer}]"
        if first.line:
            text += f" (line {first.line}, column {first.column})"
        if len(self.items) > 1:
            text += f"; and {len(self.items) - 1} more"
        return text

    def __reduce__(self) -> tuple[Any, ...]:
        rows = [tuple(getattr(i, k) for k in ("status", "message", "subject", "pointer", "line", "column", "byte"))
                for i in self.items]
        return (from_items, (rows,))

    @property
    def status(self) -> int:
        """Number of the status that decided the call."""
        return self.items[0].status if self.items else self.code

    @property
    def name(self) -> str:
        """Name of that status, such as ``duplicate``."""
        from . import _blondel

        return _blondel.status_name(self.status)

    @property
    def message(self) -> str:
        """One line for people."""
        return self.items[0].message if self.items else ""

    @property
    def subject(self) -> str:
        """Id of the entity it is about, or an empty text."""
        return self.items[0].subject if self.items else ""

    @property
    def pointer(self) -> str:
        """JSON Pointer (RFC 6901) to the place, or an empty text."""
        return self.items[0].pointer if self.items else ""

    @property
    def line(self) -> int:
        """Line in the text, from 1; 0 where there is none."""
        return self.items[0].line if self.items else 0

    @property
    def column(self) -> int:
        """Column in that line, in bytes from 1."""
        return self.items[0].column if self.items else 0

    @property
    def byte(self) -> int:
        """Offset in the text, in bytes from 0; meaningful where there is a line."""
        return self.items[0].byte if self.items else 0


class ArgumentError(Error, ValueError):
    """Something required is missing."""

    code = 100


class RangeError(Error, ValueError):
    """A number outside what the call accepts, or an index past the end."""

    code = 104


class UnknownNameError(Error, LookupError):
    """No kind, field, option, policy key or choice has this name."""

    code = 108


class CancelledError(Error, RuntimeError):
    """The progress callable asked to stop."""

    code = 112


class StateError(Error, RuntimeError):
    """The object is not in a state in which the call makes sense."""

    code = 116


class GrammarError(Error, ValueError):
    """The text does not follow its grammar."""

    code = 200


class EncodingError(Error, ValueError):
    """The text is not UTF-8, or holds U+0000."""

    code = 204


class DepthError(Error, ValueError):
    """Nested deeper than the limit."""

    code = 208


class SizeError(Error, ValueError):
    """Longer than the limit."""

    code = 212


class DuplicateError(Error, ValueError):
    """A key stands twice in one object."""

    code = 216


class FormatError(Error, ValueError):
    """The file does not state a format version that this library reads."""

    code = 220


class ConventionError(Error, ValueError):
    """Angles or signed power factors without a stated convention."""

    code = 224


class FieldTypeError(Error, ValueError, TypeError):
    """A value of another type than the field's."""

    code = 300


class UnitError(Error, ValueError):
    """The quantity is known, but in another unit."""

    code = 304


class UnknownFieldError(Error, ValueError, LookupError):
    """No such field, outside ``ext``."""

    code = 308


class FieldValueError(Error, ValueError):
    """Type right, value outside the field's range, choices or grammar."""

    code = 312


class ExistsError(Error, ValueError):
    """An entity of this kind and id is there already."""

    code = 316


class NoEntityError(Error, LookupError):
    """No entity of this kind and id."""

    code = 320


class AbsentError(Error, LookupError):
    """The field has no value at this instant."""

    code = 324


class PatchError(Error, ValueError):
    """The patch cannot be applied."""

    code = 330


class PatchTestError(Error, ValueError):
    """A ``test`` of the patch failed: the record is not what the patch relies on."""

    code = 334


class ExactOverflowError(Error, OverflowError):
    """The exact result does not fit."""

    code = 400


class NotFiniteError(Error, ValueError):
    """NaN or infinity where a number is required."""

    code = 404


class NoMemoryError(Error, MemoryError):
    """Out of memory."""

    code = 900


class InternalError(Error, RuntimeError):
    """A defect of the library; please report it."""

    code = 904


#: class of each status
by_status = {c.code: c for c in Error.__subclasses__()}


def from_items(rows: Sequence[tuple[int, str, str, str, int, int, int]]) -> Error:
    """The exception for the items of one failed call. A status that is newer than this package
    becomes the base class."""
    items = [Item(*row) for row in rows]
    return by_status.get(items[0].status, Error)(items)

__all__ = [
    "AbsentError",
    "ArgumentError",
    "CancelledError",
    "ConventionError",
    "DepthError",
    "DuplicateError",
    "EncodingError",
    "Error",
    "ExactOverflowError",
    "ExistsError",
    "FieldTypeError",
    "FieldValueError",
    "FormatError",
    "GrammarError",
    "InternalError",
    "Item",
    "NoEntityError",
    "NoMemoryError",
    "NotFiniteError",
    "PatchError",
    "PatchTestError",
    "RangeError",
    "SizeError",
    "StateError",
    "UnitError",
    "UnknownFieldError",
    "UnknownNameError",
]
