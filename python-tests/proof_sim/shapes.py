"""Services and the points that are simulated on them.

Load convention, ABC sequence. Potentials are in units of the least phase-to-neutral voltage (three-wire delta and
corner-grounded delta: phase to star point).
"""

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np


def _turn(degrees):
    return np.exp(1j * np.deg2rad(degrees))


WYE = {"A": _turn(0), "B": _turn(-120), "C": _turn(120), "N": 0}
SERVICES = {
    "two_wire": ({"kind": "single_phase_two_wire", "volts_ln": 230}, {"A": 1, "N": 0}, 230.0),
    "split": ({"kind": "single_phase_three_wire", "volts_ln": 120}, {"A": 1, "B": -1, "N": 0}, 120.0),
    "two_legs": ({"kind": "two_legs_of_wye", "volts_ln": 120, "legs": "AB"},
                 {k: WYE[k] for k in "ABN"}, 120.0),
    "wye": ({"kind": "four_wire_wye", "volts_ln": 277}, WYE, 277.0),
    "delta": ({"kind": "three_wire_delta", "volts_ll": 480}, {k: WYE[k] for k in "ABC"}, 480 / 3**0.5),
    # The winding A-C is centre-tapped: A and C stand at +-120 V, the high leg B at sqrt(3) times that.
    "high_leg": ({"kind": "high_leg_delta", "volts_ln": 120},
                 {"A": 1, "B": -1j * 3**0.5, "C": -1, "N": 0}, 120.0),
    "corner": ({"kind": "corner_grounded_delta", "volts_ll": 240, "grounded_phase": "B"},
               {k: WYE[k] for k in "ABC"}, 240 / 3**0.5),
}


@dataclass(frozen=True)
class Shape:
    """One kind of point: which poles its circuit has and which references its channels."""

    name: str
    service: str
    poles: str
    neutral: bool
    references: tuple[str, ...]
    meant: tuple[str, ...] = field(default=())  #: conductor of each CT; default: the poles in order

    @cached_property
    def potentials(self):
        return SERVICES[self.service][1]

    @cached_property
    def volts_unit(self):
        return SERVICES[self.service][2]

    @cached_property
    def phases(self):
        """Conductors on which a CT may hang: a one-pole point's CT may hang on another circuit."""
        return self.poles if len(self.poles) > 1 else "".join(k for k in self.potentials if k != "N")

    @cached_property
    def on(self):
        """Conductor of each element as recorded, as a position in `phases`."""
        return tuple(self.phases.index(k) for k in (self.meant or tuple(self.poles)))

    @property
    def elements(self):
        return len(self.references)

    def reference_volts(self, volts):
        """Voltage of each reference, (..., elements), from potentials by conductor, (..., 1) each."""
        return np.stack([volts[r[0]] - volts[r[2]] for r in self.references], axis=-1)


SHAPES = {s.name: s for s in (
    Shape("wye three-pole with neutral", "wye", "ABC", True, ("A-N", "B-N", "C-N")),
    Shape("wye three-pole", "wye", "ABC", False, ("A-N", "B-N", "C-N")),
    Shape("high-leg three-pole", "high_leg", "ABC", True, ("A-N", "B-N", "C-N")),
    Shape("delta two-element", "delta", "ABC", False, ("A-B", "C-B"), ("A", "C")),
    Shape("corner two-element", "corner", "ABC", False, ("A-B", "C-B"), ("A", "C")),
    Shape("split two-pole with neutral", "split", "AB", True, ("A-N", "B-N")),
    Shape("split two-pole", "split", "AB", False, ("A-N", "B-N")),
    Shape("two-leg two-pole with neutral", "two_legs", "AB", True, ("A-N", "B-N")),
    Shape("two-leg two-pole", "two_legs", "AB", False, ("A-N", "B-N")),
    Shape("wye one-pole A", "wye", "A", True, ("A-N",)),
    Shape("wye one-pole B", "wye", "B", True, ("B-N",)),
    Shape("wye one-pole C", "wye", "C", True, ("C-N",)),
    Shape("split one-pole", "split", "A", True, ("A-N",)),
    Shape("two-leg one-pole", "two_legs", "B", True, ("B-N",)),
    Shape("two-wire one-pole", "two_wire", "A", True, ("A-N",)),
)}
THREE_POLE = ("wye three-pole with neutral", "wye three-pole", "high-leg three-pole")
WYE_ONE_POLE = ("wye one-pole A", "wye one-pole B", "wye one-pole C")
