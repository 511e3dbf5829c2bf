"""Proof of three-channel points beside the same kind of model in vectorised NumPy, in one run. Processor time, medians.

    python tests/bench/proof.py [points, default 1000] [snapshots, default 100]

The peer is the exact model of python-tests/proof_sim with the library's policy values in place of the simulator's: load
angles by kind, their tails, spread of the poles and the fault priors. It scores the same 216 placements with a dead element and
two wrong ratios beside them, for one snapshot; the library also scores two conductors in one CT, reads contradictions, words
its findings and builds its report.
"""

import resource
import statistics
import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "python-tests"))

import blondel  # noqa: E402
from proof_sim import draw, faults, loads, oracle, record  # noqa: E402

SHAPE = "wye three-pole"


def measured(f, rounds=5):
    f()
    times = []
    for _ in range(rounds):
        began = time.process_time()
        f()
        times.append(time.process_time() - began)
    return statistics.median(times)


def library_values():
    """Puts the library's policy values into the model."""
    policy = blondel.Policy("proof")
    tail = policy["tail.stated"]
    loads.ODD = (tail, "even", -90.0, 90.0)
    for kind in loads.NAMES:
        if kind != "mixed":
            loads._PARTS[kind] = ((1 - tail, "normal", policy[f"angle.{kind}.mean_deg"], policy[f"angle.{kind}.sd_deg"]),
                                  loads.ODD)
    loads.TABLES[:] = [[loads._table(name, w) for w in loads._WIDTHS] for name in loads.NAMES]
    loads.UNBALANCE.update(dict.fromkeys(loads.NAMES, policy["agree.one_percent"] / 100))
    mix = faults.MIX[3]
    for name, key in (("one reversed", "reversed_one"), ("two exchanged", "exchanged"), ("rotation", "rotated"),
                      ("two on one conductor", "wrong_conductor"), ("all reversed", "reversed_all"),
                      ("rotated and all reversed", "rotated_reversed"), ("two reversed", "reversed_some")):
        mix[name] = 100 * policy[f"fault.{key}"]


def drawn(points, snapshots):
    rng = np.random.default_rng(1)
    batch = draw.draw(rng, SHAPE, device=np.arange(points) // 8, lead_map=np.zeros(points, int), snapshots=snapshots)
    batch.id = np.arange(points)
    site = blondel.Site.read(record.site_text([batch]))
    return batch, site.view(), blondel.Readings(**record.readings([batch]))


def main():
    points = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    snapshots = int(sys.argv[2]) if len(sys.argv) > 2 else 100
    library_values()
    batch, view, readings = drawn(points, 1)
    ours = measured(lambda: blondel.prove(view, readings)) / points
    peer = measured(lambda: oracle.posterior([batch]), 3) / points
    print(f"one snapshot:    {1e6 * ours:8.1f} us a three-channel point; NumPy {1e6 * peer:.1f} us; ratio {peer / ours:.1f}")
    _, view, readings = drawn(points, snapshots)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    many = measured(lambda: blondel.prove(view, readings), 3)
    after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    print(f"{snapshots} snapshots: {many:8.3f} s for {points} points, {1e6 * many / points / snapshots:.2f} us a point and "
          f"snapshot; {max(0, after - before) / 1024:.1f} MiB more at the peak")


if __name__ == "__main__":
    main()
