#!/usr/bin/env python3
"""Speed of the allocation, with an exact integer solver (HiGHS) on the same buildings in the same run.

    build/venv/bin/python tests/bench/allocation.py [--json]
"""

import json
import pathlib
import random
import statistics
import sys
import time

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[2] / "python-tests"))
from plan_oracle import fewest, site  # noqa: E402

import blondel  # noqa: E402


def median(call, times):
    took = []
    for _ in range(times):
        begin = time.perf_counter()
        call()
        took.append(time.perf_counter() - begin)
    return statistics.median(took)


def building(circuits, profiles, points=None):
    record = site(circuits, profiles, points=points)
    record["panels"]["P"]["spaces"] = 1000
    for name, poles in circuits.items():
        del record["circuits"][name]["spaces"]
        record["circuits"][name]["phases"] = "ABC"[:poles]
    return blondel.Site.read(json.dumps(record)).view()


def main():
    out = {}
    profiles = {"p": [7, 9, 10, 11], "q": [4, 5, 4]}
    for n in (100, 1000, 10000):
        r = random.Random(n)
        circuits = {f"c{i}": r.randint(1, 3) for i in range(n)}
        view = building(circuits, profiles)
        request = json.dumps({"circuits": list(circuits)})
        out[f"{n} circuits, ms"] = 1000 * median(lambda: blondel.plan(view, request), 5)
        points = {f"point{i}": list(circuits)[i:i + 3] for i in range(0, n, 3)}
        view = building(circuits, profiles, points)
        if n <= 1000:
            out[f"{n} circuits in points of three, ms"] = 1000 * median(lambda: blondel.plan(view, request), 3)
    ours = solver = 0.0
    for seed in range(30):
        r = random.Random(seed)
        circuits = {f"c{i}": r.randint(1, 3) for i in range(14)}
        kinds = {"p": [r.choice([7, 9, 10, 11])]}
        view = building(circuits, kinds)
        request = json.dumps({"circuits": list(circuits)})
        begin = time.perf_counter()
        plan = blondel.plan(view, request)
        ours += time.perf_counter() - begin
        begin = time.perf_counter()
        least = fewest(circuits, kinds, most=6)
        solver += time.perf_counter() - begin
        assert sum(d.added for d in plan.devices) == least and plan.proven
    out["30 buildings of 14 circuits, ms"] = 1000 * ours
    out["the same by the integer solver, ms"] = 1000 * solver
    out["ratio"] = solver / ours
    if "--json" in sys.argv:
        print(json.dumps(out))
        return
    for name, value in out.items():
        print(f"{name:<45} {value:10.2f}")


if __name__ == "__main__":
    main()
