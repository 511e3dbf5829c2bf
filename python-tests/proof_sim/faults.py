"""The fault mix. 8 of 100 points are wrong: about 0.4 through the voltage leads of their device, the rest by themselves.

The shares are this simulator's own, scaled to the base rate of 5 to 10 % (US Navy training text on electricity meters,
as quoted in the trade reference of the project). Invisible faults are left out of the mix and measured apart: the same
wrong ratio on all CTs of a point, and CTs of the same phase exchanged between two premises.
"""

from dataclasses import dataclass
from itertools import permutations, product

import numpy as np

#: percent of all points, by number of elements
MIX = {
    3: {"one reversed": 2.5, "two exchanged": 1.5, "two on one conductor": 0.9, "two reversed": 0.25,
        "all reversed": 0.7, "rotation": 0.4, "exchanged and reversed": 0.25, "rotated and all reversed": 0.05,
        "dead": 0.55, "wrong ratio": 0.4, "any placement": 0.1},
    2: {"one reversed": 2.8, "two exchanged": 1.8, "two on one conductor": 0.9, "all reversed": 0.6,
        "exchanged and reversed": 0.1, "dead": 0.8, "wrong ratio": 0.5, "any placement": 0.1},
    1: {"one reversed": 3.6, "wrong conductor": 2.6, "wrong conductor, reversed": 0.4, "dead": 1.0},
}
RATIOS = (0.5, 2.0)  #: true over configured ratio
DEVICE = {"leads exchanged": 0.25, "leads rotated": 0.1, "lead without voltage": 0.1}  #: percent of devices


@dataclass(frozen=True)
class Wirings:
    """Every wiring of a shape: for hypothesis h and element e the conductor `on`, `sign`, `ratio`; -1: dead."""

    on: np.ndarray
    sign: np.ndarray
    ratio: np.ndarray
    prior: np.ndarray
    fault: tuple[str, ...]  #: name of each wiring; "right" at 0

    def find(self, on, sign, ratio):
        hit = (self.on == on).all(1) & (self.sign == sign).all(1) & (self.ratio == ratio).all(1)
        return int(np.flatnonzero(hit)[0]) if hit.any() else -1


def _name(on, sign, meant):
    """Name of a placement."""
    moved = [i for i, k in enumerate(meant) if on[i] != k]
    back = sum(s < 0 for s in sign)
    n = len(meant)
    if n == 1:
        return ("right", "one reversed")[back] if not moved else ("wrong conductor", "wrong conductor, reversed")[back]
    if not moved:
        return "right" if back == 0 else "all reversed" if back == n else "one reversed" if back == 1 else "two reversed"
    if len(set(on)) < n:
        return "two on one conductor" if len(moved) == 1 and back == 0 else "any placement"
    if set(on) != set(meant):
        return "any placement"
    if len(moved) == 2:
        return "two exchanged" if back == 0 else "exchanged and reversed"
    return "rotation" if back == 0 else "rotated and all reversed" if back == n else "any placement"


def wirings(shape):
    n, meant = shape.elements, shape.on
    rows = []
    for on in product(range(len(shape.phases)), repeat=n):
        rows += [(on, sign, (1.0,) * n, _name(on, sign, meant)) for sign in product((1, -1), repeat=n)]
    for e in range(n):
        dead = tuple(-1 if i == e else k for i, k in enumerate(meant))
        rows.append((dead, (1,) * n, (1.0,) * n, "dead"))
        if n > 1:
            rows += [(meant, (1,) * n, tuple(r if i == e else 1.0 for i in range(n)), "wrong ratio") for r in RATIOS]
    rows.sort(key=lambda r: r[3] != "right")
    names = tuple(r[3] for r in rows)
    mix = dict(MIX[n])
    # A service may lack the conductors that a fault needs; its share goes to the reversed CT.
    missing = sum(mix.pop(k) for k in list(mix) if k not in names)
    mix["one reversed"] += missing
    prior = np.array([mix.get(k, 0.0) / names.count(k) / 100 for k in names])
    prior[0] = 1 - prior[1:].sum()
    return Wirings(np.array([r[0] for r in rows]), np.array([r[1] for r in rows]), np.array([r[2] for r in rows]),
                   prior, names)


@dataclass(frozen=True)
class LeadMap:
    """Where the voltage leads of a device stand: lead A on conductor `to["A"]`; None: no voltage."""

    name: str
    to: dict
    prior: float


def lead_maps(service_phases):
    """Maps of a device; the first is as recorded. Only services of three phases have wrong ones here."""
    straight = {k: k for k in service_phases}
    if len(service_phases) < 3:
        return (LeadMap("right", straight, 1.0),)
    out = []
    for p in permutations("ABC"):
        moved = sum(a != b for a, b in zip("ABC", p, strict=True))
        if moved:
            name = "leads exchanged" if moved == 2 else "leads rotated"
            out.append(LeadMap(name, dict(zip("ABC", p, strict=True)), DEVICE[name] / (3 if moved == 2 else 2) / 100))
    out += [LeadMap("lead without voltage", {**straight, k: None}, DEVICE["lead without voltage"] / 300) for k in "ABC"]
    return (LeadMap("right", straight, 1 - sum(m.prior for m in out)), *out)
