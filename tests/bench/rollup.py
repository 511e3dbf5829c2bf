"""Rolls 1,000 channels of a year of quarter hours up to 400 points with quality, beside Polars and DuckDB doing the same
sums in their widest (fastest) form, and beside reading the bytes once.

    build/venv/bin/python tests/bench/rollup.py [--channels 1000] [--days 365] [--cores 1|2|...] [--repeat 5]

Everything is in memory beforehand, and runs alternate, so that all see the same machine. The release build of the
binding is required: pip install ./bindings/python.
"""

import argparse
import json
import os
import statistics
import threading
import time

parser = argparse.ArgumentParser(description=__doc__)
parser.add_argument("--channels", type=int, default=1000)
parser.add_argument("--points", type=int, default=400)
parser.add_argument("--days", type=int, default=365)
parser.add_argument("--cores", type=int, default=1)
parser.add_argument("--repeat", type=int, default=5)
options = parser.parse_args()
os.environ["POLARS_MAX_THREADS"] = str(options.cores)

import duckdb  # noqa: E402
import numpy  # noqa: E402
import polars  # noqa: E402

import blondel  # noqa: E402

ORDER = [19, 17, 0, 18, 14, 11, 7, 9, 8, 13, 10]  # codes, the best first
FLAGGED = 5  # ranks from here on are not measured
QUARTER = 900_000_000

random = numpy.random.default_rng(1)
channels, points, intervals = options.channels, options.points, options.days * 96
counts = random.integers(-200, 3000, (channels, intervals), numpy.int64)
ranks = numpy.full((channels, intervals), 2, numpy.uint8)  # valid
spoilt = random.integers(0, ranks.size, ranks.size // 200)
ranks.ravel()[spoilt] = random.integers(0, len(ORDER), len(spoilt))
codes = numpy.array(ORDER, numpy.uint8)[ranks]
members = [list(range(p, channels, points)) for p in range(points)]

site = {"blondel": "1", "channels": {f"c{c}": {} for c in range(channels)},
        "points": {f"p{p:03}": {"elements": {f"c{c}": 1 for c in members[p]}} for p in range(points)}}
site = blondel.Site.read(json.dumps(site))


def part(first, last, into):
    stream = blondel.RollupStream(site, [f"c{c}" for c in range(channels)], begin=first * QUARTER, end=last * QUARTER,
                                  duration=QUARTER, wh_per_count=1)
    out = {}
    if into is not None:
        out = {"into": into[:, first:last]}
    stream.push(counts[:, first:last], quality=codes[:, first:last], **out)
    return stream.finish()


def ours(into=None):
    """Periods in parallel, one a core, as months would be."""
    edges = [intervals * i // options.cores for i in range(options.cores + 1)]
    found = [None] * options.cores

    def run(i):
        found[i] = part(edges[i], edges[i + 1], into)

    if options.cores == 1:
        run(0)
    else:
        threads = [threading.Thread(target=run, args=(i,)) for i in range(options.cores)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    return [(sum(s[p].net for s in found), sum(s[p].import_p for s in found), sum(s[p].flagged for s in found))
            for p in range(points)]


frame = polars.DataFrame({**{f"c{c}": counts[c] for c in range(channels)}, **{f"q{c}": ranks[c] for c in range(channels)}})


def by_polars():
    sums = [polars.sum_horizontal([f"c{c}" for c in members[p]]) for p in range(points)]
    worst = [polars.max_horizontal([f"q{c}" for c in members[p]]) for p in range(points)]
    row = frame.lazy().select(
        [sums[p].sum().alias(f"n{p}") for p in range(points)]
        + [sums[p].clip(0).sum().alias(f"i{p}") for p in range(points)]
        + [(worst[p] >= FLAGGED).sum().alias(f"f{p}") for p in range(points)]).collect().row(0)
    return list(zip(row[:points], row[points:2 * points], row[2 * points:]))


db = duckdb.connect()
db.execute(f"SET threads = {options.cores}")
arrow = frame.to_arrow()
db.register("frame", arrow)


def by_duckdb():
    text = []
    for p in range(points):
        total = "+".join(f"c{c}" for c in members[p])
        worst = "greatest(" + ",".join(f"q{c}" for c in members[p]) + ")"
        text += [f"sum({total})", f"sum(greatest({total}, 0))", f"count(*) filter (where {worst} >= {FLAGGED})"]
    row = db.execute("select " + ", ".join(text) + " from frame").fetchone()
    return [tuple(int(v) for v in row[3 * p:3 * p + 3]) for p in range(points)]


flat = numpy.concatenate([counts.view(numpy.uint8).ravel(), codes.ravel()])
flat = flat[:len(flat) // 8 * 8].view(numpy.int64)


def read_once():
    """Every byte that goes in, read once by the fastest loop at hand: a sum of 64-bit words."""
    if options.cores == 1:
        return int(flat.sum())
    pieces = numpy.array_split(flat, options.cores)
    threads = [threading.Thread(target=piece.sum) for piece in pieces]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


series = numpy.empty((points, intervals), numpy.int64)
runs = {"blondel": ours, "blondel, intervals of every point written": lambda: ours(series), "Polars": by_polars,
        "DuckDB": by_duckdb, "bytes read once": read_once}
expected = ours()
for name, run in runs.items():
    found = run()
    assert name == "bytes read once" or found == expected, name
assert (series.sum(axis=1) == [net for net, _, _ in expected]).all()

# On one core other programs do not disturb processor time.
clock = time.process_time if options.cores == 1 else time.perf_counter
times = {name: [] for name in runs}
for _ in range(options.repeat):
    for name, run in runs.items():
        begin = clock()
        run()
        times[name].append(clock() - begin)
median = {name: statistics.median(t) for name, t in times.items()}
size = flat.nbytes / 1e9
print(f"{channels} channels x {intervals} intervals -> {points} points, {size:.2f} GB, {options.cores} core(s), "
      f"median of {options.repeat}")
for name, t in median.items():
    print(f"{name:45} {t * 1000:9.1f} ms {size / t:7.2f} GB/s   {t / median['blondel']:7.2f} x blondel"
          f"   {min(times[name]) * 1000:9.1f} ms at best")
print(f"of the speed of reading: {median['bytes read once'] / median['blondel']:.0%} (aim: at least 60 %)")
