"""Which circuit goes to which inputs of which device."""

from __future__ import annotations

import json as _json
from typing import Any, NamedTuple

from . import _blondel
from ._columns import named
from ._site import Draft

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Mapping
    from os import PathLike

    from typing_extensions import Buffer

    from ._view import View

_CONFLICT = {number: word for word, number in _blondel.CONFLICT.items()}


class PlanRow(NamedTuple):
    """One input of one device with what goes to it."""

    point: str
    panel: str
    circuit: str
    pole: int
    conductor: str  #: A, B or C
    device: str
    connector: int
    input: int
    channel: str
    reference: str
    ct: str  #: "": the record has no CT types to choose from
    ct_type: str
    new_point: bool
    new_channel: bool
    new_ct: bool


class PlanDevice(NamedTuple):
    """One device that serves an allocation."""

    id: str
    profile: str
    service: str
    added: bool
    inputs: int
    placed: int
    free: int


class PlanConflict(NamedTuple):
    """One of the constraints that cannot be met together."""

    kind: str
    subject: str
    words: str


class Plan(tuple[PlanRow, ...]):
    """An allocation in the order of the panels; empty with ``conflicts`` where there is none."""

    _handle: _blondel.Plan
    #: an allocation was found
    found: bool
    #: no fewer devices would do, or no smaller set of constraints conflicts
    proven: bool
    #: the wishes are met as well as they can be, in their order
    wishes_proven: bool
    #: digest of the record
    site_sha256: str
    #: digest of all that was asked
    request_sha256: str
    devices: tuple[PlanDevice, ...]
    conflicts: tuple[PlanConflict, ...]

    @classmethod
    def _of(cls, handle: _blondel.Plan) -> Plan:
        self = cls(PlanRow(*r) for r in handle.rows())
        self._handle = handle
        self.found, self.proven, self.wishes_proven, self.site_sha256, self.request_sha256 = handle.about()
        self.devices = tuple(PlanDevice(*r) for r in handle.devices())
        self.conflicts = tuple(PlanConflict(_CONFLICT.get(r[0], str(r[0])), r[1], r[2]) for r in handle.conflicts())
        return self

    def text(self) -> str:
        """In words, device by device."""
        return self._handle.text()

    def as_dict(self) -> dict[str, Any]:
        """All of it as its JSON reads."""
        return _json.loads(self._handle.json())

    def json(self) -> str:
        """The same as JSON text."""
        return self._handle.json()

    def patch(self) -> str:
        """JSON Patch that writes the allocation into the record; it begins with tests of what the plan relies on."""
        return self._handle.patch()

    def draft(self) -> Draft:
        """The record with the allocation in it."""
        return Draft(self._handle.draft())


def plan(view: View, request: Mapping[str, Any] | str | None = None, **keys: Any) -> Plan:
    """Allocates circuits to inputs of devices: provably the fewest devices, then the wishes in their order.

    ``request`` is the object that ``bln_plan_new`` describes, as a mapping or JSON text; its keys may be given as
    keywords as well: ``plan(view, circuits=["R2-12"], profiles=[], most_new_devices=0)``."""
    if isinstance(request, str) and not keys:
        text = request
    else:
        text = _json.dumps({**(_json.loads(request) if isinstance(request, str) else request or {}), **keys})
    return Plan._of(_blondel.Plan(view._handle, text))


def plan_sheet(view: View, form: str = "text", **options: Any) -> Any:
    """The install sheet of a record: ``form`` "text" or "csv" give str, "json" a mapping.

    Options: ``panels``, ``devices``, ``points`` (lists of ids), ``spare_percent`` (of CTs, 5), ``title``."""
    text = _blondel.plan_sheet(view._handle, _json.dumps(options), named(_blondel.SHEET, form, "form"))
    return _json.loads(text) if form == "json" else text


def read_schedule(csv: str | Buffer | PathLike[str], map: Mapping[str, Any] | None = None, *,
                  max_bytes: int | None = None, **keys: Any) -> Draft:
    """Reads a schedule of panels, circuits, CTs, channels or points from CSV: str, bytes, or the path of a file.

    ``map`` is the object that ``bln_schedule_read_csv`` describes; its keys may be given as keywords as well. Without
    ``columns`` they are named "kind.field". Raises :class:`blondel.Error` with all errors of the table in ``items``."""
    if hasattr(csv, "__fspath__"):
        with open(csv, "rb") as file:
            csv = file.read()
    return Draft(_blondel.schedule_read_csv(_json.dumps({**(map or {}), **keys}), csv, max_bytes))
