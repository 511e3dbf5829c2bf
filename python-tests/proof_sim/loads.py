"""Kinds of load: load angle, share among the points, and how strongly the poles of one load hang together.

All of it common practice, no source, and this simulator's own. A load angle is that of the fundamental, voltage minus
current, lagging positive. Every kind has 3 % of odd loads, spread evenly over -50 to 80 degrees. A circuit of
generation is always declared: an undeclared one cannot be told from CTs the wrong way round by anybody.
"""

import numpy as np

#: kind -> parts (share, shape, a, b): normal of mean a and deviation b, or even between a and b; degrees
KINDS = {
    "resistive": ((0.97, "normal", 0.5, 1.5),),
    "electronic": ((0.62, "normal", -8, 6), (0.35, "normal", 6, 6)),
    "motor": ((0.97, "normal", 33, 6),),
    "light_motor": ((0.60, "normal", 66, 6), (0.37, "even", 35, 60)),
    "drive": ((0.97, "normal", 4, 4),),
    "corrected": ((0.97, "even", -28, 8),),
    "charging": ((0.97, "normal", 0, 2),),
    "mixed": ((0.97, "normal", 13, 9),),
    "generation": ((1.0, "normal", 180, 5),),
}
NAMES = tuple(KINDS)
ODD = (0.03, "even", -50.0, 80.0)
_PARTS = {k: (*parts, ODD) if k != "generation" else parts for k, parts in KINDS.items()}

#: shares of the kinds by number of poles, in the order of NAMES
SHARES = {
    3: np.array([0.12, 0.05, 0.31, 0.03, 0.14, 0.02, 0.03, 0.30, 0.0]),
    2: np.array([0.40, 0.05, 0.25, 0.01, 0.02, 0.01, 0.14, 0.12, 0.0]),
    1: np.array([0.25, 0.38, 0.10, 0.01, 0.01, 0.01, 0.03, 0.21, 0.0]),
}
#: standard deviation of the negative-sequence current of a load without neutral, as a share of the positive one
LOOSE = {"resistive", "electronic", "mixed", "corrected"}
UNBALANCE = {k: 0.04 if k in LOOSE else 0.015 for k in NAMES}
#: share of loads of a circuit with neutral that are one apparatus; the rest are legs independent of each other
WHOLE = {k: {"resistive": 0.5, "electronic": 0.0, "mixed": 0.0}.get(k, 1.0) for k in NAMES}
LEG_SPREAD = 0.5  #: deviation of the logarithm of a leg's current about that of the load
LEG_OFF = 0.04    #: share of legs without any load
SIZE_MEAN, SIZE_SPREAD = np.log(0.2), 0.7  #: logarithm of current over the CT's rated current


def draw_angles(rng, kind, shape):
    """Load angles in degrees for an array of kinds (positions in NAMES), one for each and last axis of `shape`."""
    out = np.empty(shape)
    for k, name in enumerate(NAMES):
        rows = np.flatnonzero(kind == k)
        if not rows.size:
            continue
        parts = _PARTS[name]
        size = (rows.size, *shape[1:])
        which = rng.choice(len(parts), size=size, p=[p[0] for p in parts])
        values = np.zeros(size)
        for j, (_, law, a, b) in enumerate(parts):
            here = rng.normal(a, b, size) if law == "normal" else rng.uniform(a, b, size)
            values = np.where(which == j, here, values)
        out[rows] = values
    return out


STEP = 0.5  #: degrees of the table
_GRID = np.arange(-180, 180, STEP)
_WIDTHS = np.geomspace(0.05, 12, 24)


def _table(name, width):
    """Density of a kind's load angle, per degree, blurred by a normal error of `width` degrees."""
    from scipy.stats import norm

    out = np.zeros_like(_GRID)
    for share, law, a, b in _PARTS[name]:
        if law == "normal":
            sd = np.hypot(b, width)
            d = (_GRID - a + 180) % 360 - 180
            out += share * np.exp(-0.5 * (d / sd) ** 2) / (sd * np.sqrt(2 * np.pi))
        else:
            for turn in (-360, 0, 360):
                out += share * (norm.cdf((_GRID + turn - a) / width) - norm.cdf((_GRID + turn - b) / width)) / (b - a)
    return out


TABLES = np.array([[_table(name, w) for w in _WIDTHS] for name in NAMES])


def angle_density(weights, angle, width):
    """Density per degree at `angle` of a mixture of kinds (weights over NAMES), blurred by `width` degrees."""
    table = np.tensordot(weights, TABLES, 1)
    x = ((angle + 180) % 360) / STEP
    i = x.astype(int) % _GRID.size
    fx = x - np.floor(x)
    y = np.clip(np.interp(np.log(width), np.log(_WIDTHS), np.arange(_WIDTHS.size)), 0, _WIDTHS.size - 1.001)
    j = y.astype(int)
    fy = y - j
    k = (i + 1) % _GRID.size
    low = table[j, i] * (1 - fx) + table[j, k] * fx
    high = table[j + 1, i] * (1 - fx) + table[j + 1, k] * fx
    return low * (1 - fy) + high * fy
