"""Streams 10^9 counts, as blocks of columns through a roll-up and as CSV through a reader, and shows that memory does not
grow with the length: the peak after a hundredth of the way is that at its end.

    build/venv/bin/python tests/bench/endless.py [--rows 1000000000] [--csv-rows 1000000000]

The release build of the binding is required: pip install ./bindings/python.
"""

import argparse
import json
import resource
import time

import numpy

import blondel

parser = argparse.ArgumentParser(description=__doc__)
parser.add_argument("--rows", type=int, default=10**9)
parser.add_argument("--csv-rows", type=int, default=10**9)
options = parser.parse_args()
QUARTER, CHANNELS, BLOCK = 900_000_000, 1000, 4096


def peak():
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def told(what, rows, seconds, early):
    print(f"{what}: {rows:.3g} rows in {seconds:.1f} s, {rows / seconds / 1e6:.1f} M rows/s; "
          f"peak memory {early:.0f} MB after a hundredth, {peak():.0f} MB at the end")
    assert peak() - early < 16, "memory grows with the length"


random = numpy.random.default_rng(5)
ids = [f"c{c}" for c in range(CHANNELS)]
site = blondel.Site.read(json.dumps({"blondel": "1", "channels": {c: {} for c in ids}, "points": {
    f"p{p}": {"elements": {ids[c]: 1 for c in range(p, CHANNELS, 400)}} for p in range(400)}}))
blocks = [random.integers(-200, 3000, (CHANNELS, BLOCK), numpy.int64) for _ in range(3)]
codes = [numpy.where(random.random((CHANNELS, BLOCK)) < 0.005, 8, 0).astype(numpy.uint8) for _ in range(3)]
turns = max(3, options.rows // (CHANNELS * BLOCK))
stream = blondel.RollupStream(site, ids, begin=0, end=turns * BLOCK * QUARTER, duration=QUARTER, wh_per_count=1)
early, before = None, time.perf_counter()
for k in range(turns):
    stream.push(blocks[k % 3], quality=codes[k % 3])
    if early is None and k >= turns // 100 + 2:
        early = peak()
seconds = time.perf_counter() - before
statement = stream.finish()
expected = sum(int(blocks[i].sum()) * len(range(i, turns, 3)) for i in range(3))
assert sum(row.net for row in statement) == expected
told("roll-up with quality", turns * BLOCK * CHANNELS, seconds, early or peak())

lines = 100_000
text = ("".join(f"K{i % 100:02},{blondel.instant_text(i // 100 * QUARTER)},{v}\n"
                for i, v in enumerate(random.integers(-200, 30_000, lines).tolist()))).encode()
reader = blondel.IntervalReader(duration=QUARTER, wh_per_count=1, keep=False)
reader.push("channel,start,net_p\n")
turns = max(100, options.csv_rows // lines)
early, rows, before = None, 0, time.perf_counter()
for k in range(turns):
    reader.push(text)
    rows += sum(len(block["at"]) for block in reader.rows("net_p"))
    if early is None and k >= turns // 100 + 2:
        early = peak()
reader.finish()
seconds = time.perf_counter() - before
assert rows == turns * lines and reader.refused == 0
told(f"CSV ({len(text) * turns / 1e9:.1f} GB)", rows, seconds, early or peak())
