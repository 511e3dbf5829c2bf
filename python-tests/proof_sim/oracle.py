"""Exact Bayes with the simulator's own distributions, vectorised.

For each point, lead map of its device and wiring the likelihood of one snapshot is that of the draw, written in the
logarithms of the currents and in the load angles. There a reading is a sum: what the load is, what its poles differ by,
and what CT, meter and resolution add, all of them normal but the load angle. So for given wiring and load angle the
readings are jointly normal; the sizes are integrated in closed form, the load angle over a table of 0.5 degrees
(`loads.angle_density`). Kinds of load, whole apparatus or independent legs, and legs that are off are summed over.
Points of one device share its lead map.

What is not exact, and small: rounding and hum count as normal, (1/12 + 1/4) steps squared; the angle between two supply
voltages is an error of each element by itself; negative sequence is taken to first order. With P and S alone the sign of
each angle is summed over, and an error e of P/S spreads the angle by e over the root of (sin squared + e).
"""

from itertools import product

import numpy as np

from . import loads, meters
from .draw import LEGS, WHOLE, drive, negative_sequence

FAR = 1e6      #: variance of an element that says nothing
NEVER = -80.0  #: logarithm of what does not happen
VOLT = 0.03    #: relative deviation of a voltage's magnitude


def _nominal(shape, lead_map):
    v = {k: np.asarray(x, complex) for k, x in shape.potentials.items()}
    landed = {k: (v[lead_map.to[k]] if lead_map.to.get(k) else 0 * v[k]) if k != "N" else v[k] for k in v}
    return shape.reference_volts(landed)


class _Seen:
    """Readings of a batch in logarithms, with their variances."""

    def __init__(self, batch, quantities, snapshot):
        s = batch.volt_amps[:, snapshot].astype(float)
        self.volts = batch.volts[:, snapshot]
        self.zero = s < meters.ZERO_STEPS * batch.step[:, None]
        safe = np.maximum(s, batch.step[:, None])
        self.size = np.log(safe / np.maximum(self.volts, 1) / batch.rating[:, None])
        ratio_sd, phase_sd = meters.ct_deviation(batch.ct_class)
        noise = (1 / 12 + 1 / 4) * (batch.step[:, None] / safe) ** 2
        self.size_var = np.where(self.zero, FAR, ratio_sd[:, None] ** 2 + noise)
        angle_var = phase_sd[:, None] ** 2 + noise
        if quantities == "PQ":
            self.angles = [np.arctan2(batch.vars[:, snapshot], batch.watts[:, snapshot])]
        else:
            cosine = np.clip(batch.watts[:, snapshot] / safe, -1, 1)
            error = noise + 1e-8
            angle_var = angle_var + error / (1 - cosine**2 + np.sqrt(error))
            bent = np.arccos(cosine)
            self.angles = [bent * np.array(sign) for sign in product((1, -1), repeat=s.shape[1])]
        self.angle_var = np.where(self.zero, FAR, angle_var)
        self.anchor = self.angle_var.argmin(1)


def _wrap(x):
    return (x + np.pi) % (2 * np.pi) - np.pi


def _add(a, b):
    return b if a is None else np.logaddexp(a, b)


def _log_angle(weights, angle, variance):
    width = np.rad2deg(np.sqrt(variance))
    return np.log(np.maximum(loads.angle_density(weights, np.rad2deg(angle), np.minimum(width, 60)), 1e-30))


def _cross(shape, regime, lead_map, pattern):
    """Extra angle variance of each element: 0 where the CT hangs on the conductor that its reference stands on."""
    out = []
    for e, k in enumerate(pattern):
        reference = shape.references[e]
        own = reference.endswith("-N") and lead_map.to[reference[0]] == shape.phases[k] and not (
            regime == WHOLE and len(shape.poles) == 2)
        out.append(0.0 if own else 2 * np.deg2rad(meters.VOLT_ANGLE) ** 2)
    return tuple(out)


def _quiet(seen, dead):
    """Variances with the dead elements of a wiring silenced."""
    off = np.array(dead)
    return np.where(off, FAR, seen.size_var), np.where(off, FAR, seen.angle_var)


def _whole(shape, seen, angles, rows, pattern, offsets, ratios, extra, weights):
    """log likelihood (rows, wirings) of one apparatus; `weights` over kinds, shares of whole loads included."""
    e = len(pattern)
    size_var, angle_var = (v[rows] for v in _quiet(seen, [k < 0 for k in pattern]))
    anchor = seen.anchor[rows]
    r_size = seen.size[rows][:, None, :] - loads.SIZE_MEAN + np.log(ratios)[None]
    at = angles[rows][:, None, :] - offsets[None]
    first = np.take_along_axis(at, anchor[:, None, None], 2)
    r = np.concatenate([r_size, _wrap(at - first)], 2)
    groups = {}
    for k, x in enumerate(weights):
        if x > 0:
            groups.setdefault(loads.UNBALANCE[loads.NAMES[k]] if len(shape.poles) == 3 else 0.0, []).append(k)
    total = None
    u = np.concatenate([np.zeros(e), np.ones(e)])
    for unbalance, kinds in groups.items():
        cov = np.zeros((len(rows), 2 * e, 2 * e))
        cov[:, :e, :e] += loads.SIZE_SPREAD**2
        if unbalance:
            # The current grows by 1 + c w: its logarithm by Re(c w), its load angle falls by Im(c w).
            w = negative_sequence(shape)[np.maximum(pattern, 0)]
            m = np.stack([np.concatenate([w.real, -w.imag]), np.concatenate([-w.imag, -w.real])], 1) * unbalance
            cov += (m @ m.T)[None]
        i = np.arange(e)
        cov[:, i, i] += size_var
        cov[:, e + i, e + i] += angle_var + np.array(extra)
        inverse = np.linalg.inv(cov)
        _, logdet = np.linalg.slogdet(cov)
        iu = inverse @ u
        a = iu @ u
        b = np.einsum("nhi,ni->nh", r, iu)
        k = np.einsum("nhi,nij,nhj->nh", r, inverse, r)
        mean = first[..., 0] + b / a[:, None]
        w = np.zeros(len(weights))
        w[kinds] = weights[kinds]
        value = (-0.5 * (k - b * b / a[:, None]) - 0.5 * logdet[:, None] + 0.5 * np.log(2 * np.pi / a)[:, None]
                 - e * np.log(2 * np.pi) + _log_angle(w, mean, (1 / a)[:, None]) + np.log(180 / np.pi))
        total = _add(total, value)
    zero = seen.zero[rows]
    expected = np.array([k < 0 for k in pattern])
    return total + NEVER * (zero != expected).sum(1)[:, None]


def _legs(shape, seen, angles, rows, pattern, offsets, ratios, extra, weights):
    """The same of independent legs."""
    e = len(pattern)
    size_var, angle_var = (v[rows] for v in _quiet(seen, [k < 0 for k in pattern]))
    same = np.equal.outer(pattern, pattern)
    cov = np.broadcast_to(loads.SIZE_SPREAD**2 + loads.LEG_SPREAD**2 * same, (len(rows), e, e)).copy()
    i = np.arange(e)
    cov[:, i, i] += size_var
    r = seen.size[rows][:, None, :] - loads.SIZE_MEAN + np.log(ratios)[None]
    value = (-0.5 * np.einsum("nhi,nij,nhj->nh", r, np.linalg.inv(cov), r)
             - 0.5 * np.linalg.slogdet(cov)[1][:, None] - 0.5 * e * np.log(2 * np.pi))
    at = angles[rows][:, None, :] - offsets[None]
    var = angle_var + np.array(extra)
    parts = []
    for conductor in sorted(set(pattern)):
        here = [j for j, k in enumerate(pattern) if k == conductor]
        # The surest of them is the origin of the circle.
        first = np.take_along_axis(at[..., here], var[:, here].argmin(1)[:, None, None], 2)[..., 0]
        d = _wrap(at[..., here] - first[..., None])
        weight = 1 / var[:, here]
        a = weight.sum(1)
        b = np.einsum("nhj,nj->nh", d, weight)
        scatter = np.einsum("nhj,nj->nh", d * d, weight) - b * b / a[:, None]
        value += (-0.5 * scatter - 0.5 * np.log(var[:, here]).sum(1)[:, None] - 0.5 * np.log(a)[:, None]
                  - 0.5 * (len(here) - 1) * np.log(2 * np.pi) + np.log(180 / np.pi))
        parts.append((first + b / a[:, None], 1 / a))
    total = None
    for k, x in enumerate(weights):
        if x > 0:
            one = np.zeros(len(weights))
            one[k] = 1
            total = _add(total, np.log(x) + sum(_log_angle(one, mean, v[:, None]) for mean, v in parts))
    value += total
    zero = seen.zero[rows]
    for conductor in sorted(set(pattern)):
        here = [j for j, k in enumerate(pattern) if k == conductor]
        off = zero[:, here]
        if conductor < 0:
            value += (NEVER * (~off).sum(1))[:, None]
        else:
            value += np.where(off.all(1), np.log(loads.LEG_OFF),
                              np.where(off.any(1), NEVER, np.log(1 - loads.LEG_OFF)))[:, None]
    return value


def log_likelihood(batch, quantities="PQ", snapshot=0):
    """(points, lead maps, wirings): logarithm of the density of one snapshot's readings."""
    shape, w = batch.shape, batch.wirings
    seen = _Seen(batch, quantities, snapshot)
    out = np.full((len(batch), len(batch.maps), len(w.prior)), NEVER * 4)
    share = loads.SHARES[len(shape.poles)].copy()
    share[loads.NAMES.index("generation")] = 0
    share /= share.sum()
    whole_share = np.array([loads.WHOLE[k] for k in loads.NAMES])
    if not shape.neutral or len(shape.poles) == 1:
        whole_share = np.ones_like(whole_share)
    patterns = {}
    for h, on in enumerate(w.on):
        patterns.setdefault(tuple(int(k) for k in on), []).append(h)
    known = np.where(batch.declared, batch.kind, -1)
    volts = {k: np.asarray(v, complex) for k, v in shape.potentials.items()}
    for j, lead_map in enumerate(batch.maps):
        reference = _nominal(shape, lead_map)
        expected = np.abs(reference) * shape.volts_unit
        off = np.where(expected < 1, seen.volts / 2, (seen.volts / np.maximum(expected, 1) - 1) / VOLT)
        fit = np.maximum(-0.5 * off**2, NEVER).sum(1)
        lost = expected < 1
        for kind in np.unique(known):
            rows = np.flatnonzero((known == kind) & (fit > NEVER / 2))
            if not rows.size:
                continue
            prior = share if kind < 0 else np.eye(len(share))[kind]
            for regime, method, weights in ((WHOLE, _whole, prior * whole_share), (LEGS, _legs, prior * (1 - whole_share))):
                if not weights.any():
                    continue
                driving = drive(shape, regime == WHOLE, volts)
                for pattern, hs in patterns.items():
                    silent = tuple(-1 if lost[e] else k for e, k in enumerate(pattern))
                    if all(k < 0 for k in silent):
                        # Nothing is read at all, and nothing should be.
                        value = (NEVER * (~seen.zero[rows]).sum(1))[:, None] + np.log(weights.sum()) + np.zeros((1, len(hs)))
                    else:
                        turn = np.angle(reference * np.conj(driving[np.maximum(pattern, 0)]))
                        offsets = turn[None] + np.where(w.sign[hs] < 0, np.pi, 0)
                        extra = _cross(shape, regime, lead_map, pattern)
                        value = None
                        for angles in seen.angles:
                            value = _add(value, method(shape, seen, angles, rows, silent, offsets, w.ratio[hs], extra,
                                                       weights))
                    target = np.ix_(rows, [j], hs)
                    out[target] = np.logaddexp(out[target], (value + fit[rows, None])[:, None, :])
    return out


def posterior(batches, quantities="PQ"):
    """For each batch (points, lead maps, wirings): probabilities, the lead map of a device being one for its points."""
    joint, devices = [], {}
    for b in batches:
        prior = np.log(np.maximum(b.wirings.prior, 1e-12))
        ll = log_likelihood(b, quantities) + prior
        joint.append(ll)
        over = np.logaddexp.reduce(ll, 2)
        for i, d in enumerate(b.device):
            devices[d] = devices.get(d, 0) + over[i]
    out = []
    for b, ll in zip(batches, joint, strict=True):
        maps = np.log(np.array([m.prior for m in b.maps]))
        over = np.logaddexp.reduce(ll, 2)
        total = maps + np.array([devices[d] for d in b.device])
        total -= np.logaddexp.reduce(total, 1)[:, None]
        out.append(np.exp(ll - over[:, :, None] + total[:, :, None]))
    return out


def classes(shape, wirings, maps):
    """Electrical class of each (lead map, wiring): what no load of the simulator's services can tell apart at nominal
    voltages. Numbers in order of first appearance, so that the class of the record is 0."""
    volts = {k: np.asarray(v, complex) for k, v in shape.potentials.items()}
    keys, out = {}, np.zeros((len(maps), len(wirings.prior)), int)
    n = len(shape.phases)
    single = len(shape.poles) == 1
    for j, m in enumerate(maps):
        reference = _nominal(shape, m)
        for h in range(len(wirings.prior)):
            key = []
            for e, k in enumerate(wirings.on[h]):
                row = np.zeros(n, complex)
                if k >= 0:
                    row[k] = reference[e] * wirings.sign[h, e] / wirings.ratio[h, e]
                if single:
                    row = row * np.conj(drive(shape, False, volts)) / np.abs(drive(shape, False, volts))
                    row = np.array([row.sum()])
                elif not shape.neutral:
                    row = row - row[-1]  # the currents add up to zero
                key.append(tuple(np.round(row, 6) + 0))
            out[j, h] = keys.setdefault(tuple(key), len(keys))
    return out


def same_total(shape, wirings, maps):
    """(lead maps, wirings): whether the sum over the elements is that of the record for every load at nominal voltages. The
    record itself; and what is wrong and harms no bill, such as the legs of split phase exchanged and both reversed."""
    volts = {k: np.asarray(v, complex) for k, v in shape.potentials.items()}
    single = len(shape.poles) == 1
    out = np.zeros((len(maps), len(wirings.prior)), bool)
    record = None
    for j, m in enumerate(maps):
        reference = _nominal(shape, m)
        for h in range(len(wirings.prior)):
            row = np.zeros(len(shape.phases), complex)
            for e, k in enumerate(wirings.on[h]):
                if k >= 0:
                    row[k] += reference[e] * wirings.sign[h, e] / wirings.ratio[h, e]
            if single:
                row = np.array([(row * np.conj(drive(shape, False, volts)) / np.abs(drive(shape, False, volts))).sum()])
            elif not shape.neutral:
                row = row - row[-1]
            record = row if record is None else record
            out[j, h] = np.allclose(row, record, atol=1e-6)
    return out
