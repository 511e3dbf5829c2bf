"""For each service and each electrical class of wirings a point drawn with it, as cases that nobody wrote by hand."""

import numpy as np
import pytest

from proof_sim import draw, faults, loads, oracle, shapes
from proof_sim.answers import ask

#: a kind whose load angle leaves room on both sides, for each number of poles
KIND = {3: "motor", 2: "resistive", 1: "resistive"}


def family(shape, seed):
    """One point of every class (mixed faults as well), each on a device with two healthy ones."""
    w = faults.wirings(shape)
    maps = faults.lead_maps([k for k in shape.potentials if k != "N"])
    of = oracle.classes(shape, w, maps[:1])[0]
    firsts = [int(np.flatnonzero(of == k)[0]) for k in range(of.max() + 1)]
    kind = KIND[len(shape.poles)]
    rng = np.random.default_rng(seed)
    wiring = np.array([h for first in firsts for h in (first, 0, 0)])
    device = np.repeat(np.arange(len(firsts)), 3)
    for _ in range(60):
        b = draw.draw(rng, shape, device=device, wiring=wiring, kinds=[kind])
        b.id = np.arange(len(device))
        if b.loaded()[::3].mean() > 0.9:
            break
    return b, np.arange(0, len(device), 3)


@pytest.mark.parametrize("name", shapes.SHAPES)
def test_every_class_is_found_or_named(name):
    shape = shapes.SHAPES[name]
    b, rows = family(shape, 17)
    answer = ask([b])[0]
    loaded = b.loaded()
    assert loaded[rows].sum() >= 0.6 * len(rows)
    # What reads as the record for every load is no fault that readings can show.
    harmless = oracle.same_total(b.shape, b.wirings, b.maps)[0][b.wiring]
    for i in rows:
        if not loaded[i]:
            continue
        # Never proven, and never a set without it.
        if not harmless[i]:
            assert answer.verdict[i] != "proven" or b.fault(i) == "wrong ratio", (name, b.fault(i), i)
        odd = loads.NAMES[b.kind[i]] if b.fault(i) in ("dead", "wrong ratio", "any placement") else ""
        assert answer.listed[i] or odd or harmless[i], (name, b.fault(i), answer.verdict[i], i)
    sure = [i for i in rows if loaded[i] and b.fault(i) in ("one reversed", "two exchanged", "all reversed")]
    assert np.mean([answer.within[i] for i in sure] or [1]) == 1
    right = [i for i in range(len(b)) if b.right[i] and loaded[i]]
    assert not any(answer.verdict[i] == "wrong" for i in right)
