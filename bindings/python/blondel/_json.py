"""What the library does with its own files, for any JSON text."""

from __future__ import annotations

from . import _blondel

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing_extensions import Buffer


def json_canonical(text: str | Buffer, *, max_depth: int | None = None, max_bytes: int | None = None) -> str:
    """The one canonical form of a JSON text (RFC 8785): equal content gives equal bytes."""
    return _blondel.json_canonical(text, max_depth, max_bytes)  # type: ignore[no-any-return]


def json_patch(document: str | Buffer, patch: str | Buffer, *, max_depth: int | None = None,
               max_bytes: int | None = None) -> str:
    """A JSON text with a JSON Patch (RFC 6902) applied: members keep their order, numbers their digits.
    ``max_bytes`` also bounds what the patch may make of the document."""
    return _blondel.json_patch_apply(document, patch, max_depth, max_bytes)  # type: ignore[no-any-return]
