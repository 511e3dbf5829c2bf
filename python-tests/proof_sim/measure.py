"""Measures the library and the oracle on the same draws. Development seeds are below 100000; the published table uses
100000 and above, which nothing was tuned on.

    python -m proof_sim.measure [--seed 100000] [--scale 1] [--out ../docs/theory/proof-measured.md]
"""

from dataclasses import dataclass, field

import numpy as np

import blondel

from . import draw, faults, oracle, score
from .answers import ask
from .shapes import THREE_POLE, WYE_ONE_POLE

THREE = dict(zip(THREE_POLE, (0.35, 0.45, 0.2), strict=True))
ONE = dict.fromkeys(WYE_ONE_POLE, 1 / 3)
ORACLE_MOST = 5000  #: points of one building that the oracle is asked about


@dataclass
class Tally:
    """Counts over the loaded points of one kind of fault."""

    n: int = 0
    first: int = 0
    within: int = 0
    listed: int = 0
    classes: int = 0
    small: dict = field(default_factory=dict)  #: size of set -> points with a set of that size that holds the truth
    oracle_n: int = 0
    oracle_first: int = 0
    verdicts: dict = field(default_factory=dict)

    def add(self, a, keep):
        self.n += int(keep.sum())
        self.first += int(a.first[keep].sum())
        self.within += int(a.within[keep].sum())
        self.listed += int(a.listed[keep].sum())
        self.classes += int(a.set_size[keep].sum())
        for size in a.set_size[keep & a.within]:
            self.small[int(size)] = self.small.get(int(size), 0) + 1
        for v in a.verdict[keep]:
            self.verdicts[v] = self.verdicts.get(v, 0) + 1

    def in_set_of(self, most):
        return sum(n for size, n in self.small.items() if size <= most)


def oracle_first(batches, quantities):
    """For each batch: probability of the record's class, of the best class, and whether the best is what was drawn."""
    out = []
    for b, post in zip(batches, oracle.posterior(batches, quantities), strict=True):
        share, truth = score.class_table(b, post, oracle.classes(b.shape, b.wirings, b.maps))
        out.append((share[:, 0], share.max(1), share.argmax(1) == truth))
    return out


def per_fault(seed, fault, *, shapes=None, declare=True, quantities="PQ", n=400, snapshots=1, kinds=None, policy=None,
              with_oracle=True):
    """Points with one fault among healthy ones, three of them to a device, one marked."""
    tally = Tally()
    for s, (name, share) in enumerate((shapes or THREE).items()):
        rng = np.random.default_rng([seed, s, sum(map(ord, fault)), declare, quantities == "PS", snapshots])
        wanted = max(10, round(n * share * 1.25))
        batches = draw.building(rng, wanted * 2, mark=(name, fault), per_device=2, declare=declare, snapshots=snapshots,
                                kinds=kinds)
        marked = batches[-1]
        keep = marked.loaded()
        tally.add(ask(batches, quantities, policy)[-1], keep)
        if with_oracle and snapshots == 1:
            right = oracle_first(batches, quantities)[-1][2]
            tally.oracle_n += int(keep.sum())
            tally.oracle_first += int(right[keep].sum())
    return tally


@dataclass
class Natural:
    """The mix of 8 % wrong points: who is called what."""

    points: int = 0
    healthy: int = 0             #: right and loaded
    healthy_proven: int = 0
    healthy_wrong: int = 0       #: healthy points, loaded or not, called wrong
    healthy_all: int = 0
    proven: int = 0              #: of all points
    proven_wrong: int = 0        #: proven, and something is wrong
    proven_ratio: int = 0        #: of these, a wrong ratio
    harmless: int = 0            #: wrong, but the point's total is that of the record for every load
    wrong: int = 0
    wrong_found: int = 0         #: wrong and loaded, called wrong
    wrong_first: int = 0         #: and the class that is named first is what was drawn
    oracle_healthy_wrong: int = 0
    oracle_proven: int = 0       #: healthy and loaded, record's class at 0.99 or more
    oracle_proven_wrong: int = 0
    oracle_said: int = 0         #: points, right or wrong, with the record's class at 0.99 or more
    oracle_healthy: int = 0
    oracle_wrong: int = 0
    oracle_wrong_first: int = 0
    probability: list = field(default_factory=list)
    hit: list = field(default_factory=list)
    set_size: list = field(default_factory=list)

    def calibration(self):
        """Answers with 0.05 < p < 0.95: their number and the expected calibration error."""
        p, hit = np.concatenate(self.probability), np.concatenate(self.hit)
        unsure = (p > 0.05) & (p < 0.95)
        return int(unsure.sum()), score.calibration_error(p[unsure], hit[unsure])


def natural(seed, *, buildings=5, points=4000, declare=True, quantities="PQ", policy=None, with_oracle=False):
    out = Natural()
    for k in range(buildings):
        batches = draw.building(np.random.default_rng([seed, k, declare]), points, declare=declare)
        asked = ask(batches, quantities, policy)
        of_oracle = oracle_first(batches, quantities) if with_oracle else [None] * len(batches)
        for b, a, o in zip(batches, asked, of_oracle, strict=True):
            loaded, right, proven = b.loaded(), b.right, a.verdict == "proven"
            called = a.verdict == "wrong"
            harmless = oracle.same_total(b.shape, b.wirings, b.maps)[b.lead_map, b.wiring] & ~right
            out.harmless += int(harmless.sum())
            ratio = (b.wirings.ratio[b.wiring] != 1).any(1) & (b.lead_map == 0)
            out.points += len(b)
            out.healthy += int((right & loaded).sum())
            out.healthy_all += int(right.sum())
            out.healthy_proven += int((right & loaded & proven).sum())
            out.healthy_wrong += int((right & called).sum())
            out.proven += int(proven.sum())
            out.proven_wrong += int((proven & ~right & ~harmless).sum())
            out.proven_ratio += int((proven & ratio).sum())
            out.wrong += int((~right & loaded).sum())
            out.wrong_found += int((~right & loaded & called).sum())
            out.wrong_first += int((~right & loaded & a.first).sum())
            judged = loaded & (a.set_size > 0)
            out.probability.append(a.probability[judged])
            out.hit.append(a.first[judged])
            out.set_size.append(a.set_size[judged])
            if o is not None:
                record, best, hit = o
                said = loaded & (record >= 0.99)
                out.oracle_healthy += int((right & loaded).sum())
                out.oracle_healthy_wrong += int((right & loaded & (record < 0.05)).sum())
                out.oracle_proven += int((right & said).sum())
                out.oracle_said += int(said.sum())
                out.oracle_proven_wrong += int((~right & ~harmless & said).sum())
                out.oracle_wrong += int((~right & loaded).sum())
                out.oracle_wrong_first += int((~right & loaded & hit).sum())
    return out


def simulator_prior(factor=1.0):
    """A policy whose fault priors are those of the simulator's mix, times `factor`."""
    mix = faults.MIX[3]
    share = {"fault.reversed_one": mix["one reversed"], "fault.reversed_some": mix["two reversed"],
             "fault.reversed_all": mix["all reversed"], "fault.exchanged": mix["two exchanged"],
             "fault.rotated": mix["rotation"], "fault.rotated_reversed": mix["rotated and all reversed"],
             "fault.wrong_conductor": mix["two on one conductor"], "fault.wild": mix["any placement"] + mix["exchanged and reversed"],
             "fault.dead": mix["dead"], "fault.ratio": mix["wrong ratio"]}
    policy = blondel.Policy("proof")
    for key, percent in share.items():
        policy[key] = min(percent / 100 * factor, 0.5)
    policy["foreign.own_kind"] = 1.0
    return policy
