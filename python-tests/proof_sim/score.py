"""Compares an answer with what was drawn."""

import numpy as np

from .record import channel_ids


def truth_placements(batch, i):
    """What was drawn for point i, by channel: (conductor, sign, ratio, dead)."""
    w = batch.wirings
    h = batch.wiring[i]
    out = {}
    for e, channel in enumerate(channel_ids(batch, i)):
        k = w.on[h, e]
        out[channel] = ("none", 1, 1.0, True) if k < 0 else (
            batch.shape.phases[k], int(w.sign[h, e]), float(w.ratio[h, e]), False)
    return out


def class_table(batch, post, table):
    """Posterior of each electrical class, (points, classes), and the class that was drawn."""
    flat = post.reshape(len(batch), -1)
    out = np.zeros((len(batch), table.max() + 1))
    for k in range(out.shape[1]):
        out[:, k] = flat[:, table.ravel() == k].sum(1)
    return out, table[batch.lead_map, batch.wiring]


def calibration_error(probability, hit, bins=10):
    """Expected calibration error: mean distance of hit rate and mean probability, over bins of equal width."""
    probability, hit = np.asarray(probability, float), np.asarray(hit, float)
    at = np.minimum((probability * bins).astype(int), bins - 1)
    total = 0.0
    for b in range(bins):
        here = at == b
        if here.any():
            total += here.sum() * abs(probability[here].mean() - hit[here].mean())
    return total / max(len(probability), 1)


def at_least(hits, n, share, confidence=1e-3):
    """Whether `hits` of `n` are compatible with a true rate of `share` or more: one-sided exact binomial test."""
    from scipy.stats import binom

    return bool(binom.cdf(hits, n, share) > confidence)


def at_most(hits, n, share, confidence=1e-3):
    """Whether `hits` of `n` are compatible with a true rate of `share` or less."""
    from scipy.stats import binom

    return bool(binom.sf(hits - 1, n, share) > confidence)
