"""Asks the library about drawn points, and says of each answer how it compares with what was drawn."""

from dataclasses import dataclass

import numpy as np

import blondel

from . import oracle, record


@dataclass
class Answers:
    """One row a point, of one batch."""

    verdict: np.ndarray      #: word
    probability: np.ndarray  #: of the class that is named first
    set_size: np.ndarray     #: classes reported
    first: np.ndarray        #: the first class holds what was drawn
    within: np.ndarray       #: some reported class does
    listed: np.ndarray       #: some reported class does, or it is named as not excluded
    record_first: np.ndarray


def words(batch, i):
    """What was drawn, in the words that the library uses for a member."""
    w, h = batch.wirings, batch.wiring[i]
    if batch.lead_map[i]:
        return lead_words(batch.maps[batch.lead_map[i]])
    parts = []
    for e, meant in enumerate(batch.shape.on):
        k, said = w.on[h, e], []
        if k < 0:
            said.append("without current")
        else:
            if k != meant:
                said.append("on " + batch.shape.phases[k] + (" of another circuit" if len(batch.shape.poles) == 1 else ""))
            if w.sign[h, e] < 0:
                said.append("reversed")
            if w.ratio[h, e] != 1:
                said.append(f"with a ratio of {'1/2' if w.ratio[h, e] == 0.5 else '2'} times the configured one")
        if said:
            parts.append(f"element {e + 1} " + ", ".join(said))
    return "; ".join(parts) or "as recorded"


def lead_words(lead_map):
    moved = [k for k, to in lead_map.to.items() if to != k]
    if lead_map.name == "lead without voltage":
        return f"voltage lead {moved[0]} without voltage"
    if lead_map.name == "leads exchanged":
        return f"voltage leads {moved[0]} and {moved[1]} exchanged"
    return "voltage leads A, B, C landed on " + ", ".join(lead_map.to[k] for k in "ABC")


def _ratio(text):
    a, _, b = text.partition("/")
    return float(a) / float(b or 1)


class _Classes:
    """Electrical class of what an answer says, to compare with that of what was drawn: a wiring that no reading tells
    from it is as good."""

    def __init__(self, batch):
        self.batch = batch
        self.table = oracle.classes(batch.shape, batch.wirings, batch.maps)
        self.maps = {lead_words(m) if j else "": j for j, m in enumerate(batch.maps)}
        self.rows = {(tuple(on), tuple(sign), tuple(ratio)): h for h, (on, sign, ratio) in enumerate(zip(
            batch.wirings.on.tolist(), batch.wirings.sign.tolist(), batch.wirings.ratio.tolist(), strict=True))}
        self.truth = self.table[batch.lead_map, batch.wiring]

    def of(self, member):
        """The class of a member, or -1: it is none of the simulator's wirings."""
        phases = self.batch.shape.phases
        at = {p.channel.rpartition("-")[2]: p for p in member.placements}
        placed = [at[e] for e in sorted(at, key=int)]
        if any(p.also != "none" or not (p.dead or p.conductor in phases) for p in placed):
            return -1
        h = self.rows.get((tuple(-1 if p.dead else phases.index(p.conductor) for p in placed),
                           tuple(1 if p.dead else p.sign for p in placed),
                           tuple(1.0 if p.dead else _ratio(p.ratio) for p in placed)))
        j = self.maps.get(member.leads)
        return -1 if h is None or j is None else self.table[j, h]

    def holds(self, item, i):
        return any(self.of(m) == self.truth[i] for m in item.members)


def _listed(said, texts):
    if any(said in t for t in texts):
        return True
    # A ratio is named by its element or channel, whatever its value.
    return "with a ratio" in said and any("ratio" in t for t in texts)


def ask(batches, quantities="PQ", policy=None, site=None):
    """An `Answers` for each batch, in their order."""
    site = blondel.Site.read(record.site_text(batches)) if site is None else site
    proof = blondel.prove(site, blondel.Readings(**record.readings(batches, quantities)), policy=policy)
    by_id = {p.point: p for p in proof.points}
    out = []
    for b in batches:
        n, known = len(b), _Classes(b)
        a = Answers(np.empty(n, object), np.zeros(n), np.zeros(n, int), *(np.zeros(n, bool) for _ in range(4)))
        for i in range(n):
            p = by_id[f"p{b.id[i]}"]
            hits = [known.holds(c, i) for c in p.classes]
            a.verdict[i], a.probability[i], a.set_size[i] = p.verdict, p.probability, len(p.classes)
            a.first[i] = bool(hits) and hits[0]
            a.within[i] = any(hits)
            a.listed[i] = a.within[i] or _listed(words(b, i), p.not_excluded)
            a.record_first[i] = bool(p.classes) and p.classes[0].is_record
        out.append(a)
    return out
