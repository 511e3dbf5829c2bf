"""Draws points of one shape with their loads, faults and readings, as arrays; and whole buildings of them."""

from dataclasses import dataclass, field

import numpy as np

from . import faults, loads, meters
from .shapes import SERVICES, SHAPES, Shape

WHOLE, LEGS = 0, 1


@dataclass
class Batch:
    """Points of one shape. Axes: point, snapshot, element (or conductor)."""

    shape: Shape
    wirings: faults.Wirings
    maps: tuple
    device: np.ndarray     #: device of each point
    lead_map: np.ndarray   #: position in `maps`
    wiring: np.ndarray     #: position in `wirings`
    kind: np.ndarray       #: position in loads.NAMES
    declared: np.ndarray   #: whether the record says the kind
    regime: np.ndarray     #: WHOLE or LEGS
    rating: np.ndarray     #: rated primary current, A
    ct_class: np.ndarray   #: position in meters.CT_NAMES
    step: np.ndarray       #: resolution in W, var, VA
    volts: np.ndarray
    watts: np.ndarray
    vars: np.ndarray
    volt_amps: np.ndarray
    id: np.ndarray = field(default=None)  #: number of the point in its building

    def __len__(self):
        return len(self.kind)

    @property
    def right(self):
        return (self.wiring == 0) & (self.lead_map == 0)

    def fault(self, i):
        """Name of what is wrong with point i."""
        return self.wirings.fault[self.wiring[i]] if self.lead_map[i] == 0 else self.maps[self.lead_map[i]].name

    def loaded(self, percent=5, steps=20):
        """Points every element of which carries `percent` of its rating and `steps` resolution steps, in all
        snapshots; what is dead by its fault is left out."""
        off = (self.wirings.on[self.wiring] < 0)[:, None, :] | (self.volts < 10)
        amps = self.volt_amps / np.maximum(self.volts, 1)
        good = (amps >= self.rating[:, None, None] * percent / 100) & (self.volt_amps >= steps * self.step[:, None, None])
        return (good | off).all((1, 2)) & good.any((1, 2))

    def take(self, rows):
        same = ("shape", "wirings", "maps")
        return Batch(**{k: v if k in same or v is None else v[rows] for k, v in self.__dict__.items()})


def drive(shape, whole, volts):
    """Voltage that drives the current of each conductor of `shape.phases`: (..., conductors)."""
    poles = shape.poles
    if whole and len(poles) == 3:
        star = (volts["A"] + volts["B"] + volts["C"]) / 3
        return np.stack([volts[k] - star for k in shape.phases], -1)
    if whole and len(poles) == 2:
        line = volts[poles[0]] - volts[poles[1]]
        return np.stack([line, -line], -1)
    return np.stack([volts[k] - volts.get("N", 0) + 0 * volts["A"] for k in shape.phases], -1)


def negative_sequence(shape):
    """Share of one negative-sequence current in each conductor, against its positive-sequence current."""
    unit = drive(shape, True, {k: np.asarray(v, complex) for k, v in shape.potentials.items()})
    unit = unit / np.abs(unit)
    return np.conj(unit) ** 2


def supply(rng, service, devices, snapshots):
    """Potentials by conductor, (devices, snapshots), with the unbalance of an ordinary supply."""
    _, potentials, unit = SERVICES[service]
    size = (devices, snapshots)
    common = 1 + rng.normal(0, meters.COMMON_SPREAD, size)
    out = {}
    for k, v in potentials.items():
        wobble = 1 + rng.normal(0, meters.VOLT_SPREAD, size) + 1j * np.deg2rad(rng.normal(0, meters.VOLT_ANGLE, size))
        out[k] = unit * v * common * wobble if v else np.zeros(size, complex)
    return out


def draw_kinds(rng, shape, n):
    return rng.choice(len(loads.NAMES), size=n, p=loads.SHARES[len(shape.poles)])


def currents(rng, shape, kind, regime, rating, volts):
    """Currents of the conductors of `shape.phases`, A: (points, snapshots, conductors)."""
    n, t = volts["A"].shape
    y = len(shape.phases)
    steady, varying = (loads.draw_angles(rng, kind, (n, 1, 1)), rng.normal(0, 3.0 if t > 1 else 0.0, (n, t, 1)))
    size = np.exp(rng.normal(loads.SIZE_MEAN, loads.SIZE_SPREAD, (n, 1, 1)) + rng.normal(0, 0.5 if t > 1 else 0.0, (n, t, 1)))
    size = size * rating[:, None, None]
    whole = drive(shape, True, volts)
    whole = whole / np.abs(whole) * size * np.exp(-1j * np.deg2rad(steady + varying))
    if len(shape.poles) == 3:
        spread = np.array([loads.UNBALANCE[k] for k in loads.NAMES])[kind]
        c = (rng.normal(size=n) + 1j * rng.normal(size=n)) * spread
        whole = whole * (1 + c[:, None, None] * negative_sequence(shape))
    if not shape.neutral or len(shape.poles) == 1:
        return whole
    own = loads.draw_angles(rng, kind, (n, 1, y)) + rng.normal(0, 3.0 if t > 1 else 0.0, (n, t, y))
    spread = np.exp(rng.normal(0, loads.LEG_SPREAD, (n, 1, y)) + rng.normal(0, 0.3 if t > 1 else 0.0, (n, t, y)))
    off = rng.random((n, 1, y)) < loads.LEG_OFF
    off[off.all(-1)] = False
    legs = drive(shape, False, volts)
    legs = legs / np.abs(legs) * size * spread * np.where(off, 0, 1) * np.exp(-1j * np.deg2rad(own))
    return np.where((regime == LEGS)[:, None, None], legs, whole)


def draw(rng, shape, *, n=None, device=None, lead_map=None, volts=None, fault=None, wiring=None, kinds=None,
         declare=True, snapshots=1, classes=None):
    """Draws a batch. `fault`: a name, and every point has it; `wiring`: the wirings themselves; neither: the mix.
    `kinds`: names to draw from evenly."""
    shape = SHAPES[shape] if isinstance(shape, str) else shape
    w = faults.wirings(shape)
    maps = faults.lead_maps([k for k in shape.potentials if k != "N"])
    n = len(device) if n is None else n
    device = np.arange(n) if device is None else device
    lead_map = np.zeros(n, int) if lead_map is None else lead_map
    volts = supply(rng, shape.service, n, snapshots) if volts is None else volts
    if wiring is not None:
        wiring = np.asarray(wiring)
    elif fault is None:
        wiring = rng.choice(len(w.prior), size=n, p=w.prior)
    else:
        rows = [i for i, name in enumerate(w.fault) if name == fault]
        wiring = rng.choice(rows, size=n)
    kind = draw_kinds(rng, shape, n) if kinds is None else rng.choice([loads.NAMES.index(k) for k in kinds], size=n)
    legs = rng.random(n) >= np.array([loads.WHOLE[k] for k in loads.NAMES])[kind]
    regime = np.where(legs & shape.neutral & (len(shape.poles) > 1), LEGS, WHOLE)
    rating = rng.choice(meters.RATINGS, size=n).astype(float)
    ct_class = rng.choice(len(meters.CT_NAMES), size=n, p=meters.CT_SHARES) if classes is None else classes
    step = rng.choice(meters.STEPS, size=n, p=meters.STEP_SHARES)
    amps = currents(rng, shape, kind, regime, rating, volts)

    on, sign, ratio = w.on[wiring], w.sign[wiring], w.ratio[wiring]
    through = np.take_along_axis(amps, np.maximum(on, 0)[:, None, :], -1)
    through = through * np.where(on < 0, 0, sign / ratio)[:, None, :]
    landed = {}
    for k in shape.potentials:
        if k == "N":
            landed[k] = volts[k]
            continue
        table = np.stack([volts[m.to[k]] if m.to[k] else 0 * volts[k] for m in maps])
        landed[k] = np.take_along_axis(table, lead_map[None, :, None], 0)[0]
    reference = shape.reference_volts(landed)
    ratio_sd, phase_sd = meters.ct_deviation(ct_class)
    error = 1 + ratio_sd[:, None, None] * rng.normal(size=(n, 1, shape.elements))
    shift = phase_sd[:, None, None] * rng.normal(size=(n, 1, shape.elements))
    power = reference * np.conj(through) * error * np.exp(1j * shift)
    hum = rng.normal(0, 0.5, (2, *power.shape)) * step[:, None, None]
    lost = np.abs(reference) < 1

    def stepped(x):
        return np.round(x / step[:, None, None]) * step[:, None, None]

    p, q = power.real + hum[0], power.imag + hum[1]
    return Batch(shape, w, maps, device, lead_map, wiring, kind,
                 (np.full(n, bool(declare)) | (kind == loads.NAMES.index("generation"))), regime, rating, ct_class, step,
                 np.round(np.abs(reference) + np.where(lost, rng.uniform(0, 2, reference.shape), 0), 1),
                 stepped(p), stepped(q), stepped(np.hypot(p, q)))


#: what hangs on a device of each service: shapes and their shares
BUILDINGS = {
    "wye": (("wye three-pole with neutral", 0.25), ("wye three-pole", 0.3), ("wye one-pole A", 0.15),
            ("wye one-pole B", 0.15), ("wye one-pole C", 0.15)),
    "split": (("split two-pole with neutral", 0.3), ("split two-pole", 0.3), ("split one-pole", 0.4)),
    "two_legs": (("two-leg two-pole with neutral", 0.3), ("two-leg two-pole", 0.3), ("two-leg one-pole", 0.4)),
    "delta": (("delta two-element", 1.0),), "high_leg": (("high-leg three-pole", 1.0),),
    "corner": (("corner two-element", 1.0),), "two_wire": (("two-wire one-pole", 1.0),),
}
SERVICE_SHARES = {"wye": 0.5, "split": 0.15, "two_legs": 0.12, "delta": 0.06, "high_leg": 0.07, "corner": 0.05,
                  "two_wire": 0.05}


def building(rng, points, *, declare=True, snapshots=1, per_device=8, services=None, shapes=None, mark=None,
             kinds=None, tune=None):
    """A building of devices with `per_device` points each, as batches. `shapes`: only these. `mark`: (shape, fault):
    every device of its service has one more point, of this shape and with this fault, and no device has wrong leads; that
    batch comes last. The others follow the mix."""
    shapes = set(shapes) if shapes else None
    if mark:
        services = {SHAPES[mark[0]].service: 1.0}
    services = services or {s: x for s, x in SERVICE_SHARES.items()
                            if shapes is None or any(name in shapes for name, _ in BUILDINGS[s])}
    names, shares = list(services), np.array(list(services.values()), float)
    devices = -(-points // per_device)
    service_of = rng.choice(len(names), size=devices, p=shares / shares.sum())
    out, number = [], 0
    for s, service in enumerate(names):
        here = np.flatnonzero(service_of == s)
        if not here.size:
            continue
        maps = faults.lead_maps([k for k in SERVICES[service][1] if k != "N"])
        prior = np.array([m.prior for m in maps])
        lead = np.zeros(here.size, int) if mark else rng.choice(len(maps), size=here.size, p=prior / prior.sum())
        volts = supply(rng, service, here.size, snapshots)
        owner = np.repeat(np.arange(here.size), per_device)
        classes = np.repeat(rng.choice(len(meters.CT_NAMES), size=here.size, p=meters.CT_SHARES), per_device)
        choice = [(n, x) for n, x in BUILDINGS[service] if shapes is None or n in shapes]
        total = sum(x for _, x in choice)
        which = rng.choice(len(choice), size=owner.size, p=[x / total for _, x in choice])
        for c, (name, _) in enumerate(choice):
            rows = np.flatnonzero(which == c)
            if not rows.size:
                continue
            batch = draw(rng, name, device=here[owner[rows]], lead_map=lead[owner[rows]],
                         volts={k: v[owner[rows]] for k, v in volts.items()}, declare=declare, snapshots=snapshots,
                         classes=classes[rows], kinds=kinds)
            batch.id = number + np.arange(rows.size)
            number += rows.size
            out.append(batch)
    if mark:
        batch = draw(rng, mark[0], device=here, lead_map=lead, volts=volts, declare=declare, snapshots=snapshots,
                     classes=classes[::per_device], kinds=kinds, fault=mark[1])
        batch.id = number + np.arange(here.size)
        out.append(batch)
    return out
