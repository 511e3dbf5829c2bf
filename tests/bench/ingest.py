"""Reads interval CSV, long and wide, beside Polars reading the same bytes into the same columns (times parsed, counts as
int64), in one run.

    build/venv/bin/python tests/bench/ingest.py [--rows 2000000] [--cores 1] [--repeat 5]

Polars stops at columns; ours also lays the rows out by channel and interval, and finds repeats, contradictions and gaps.
The release build of the binding is required: pip install ./bindings/python.
"""

import argparse
import os
import statistics
import time

parser = argparse.ArgumentParser(description=__doc__)
parser.add_argument("--rows", type=int, default=2_000_000)
parser.add_argument("--cores", type=int, default=1, help="threads of Polars; ours reads a text on one")
parser.add_argument("--repeat", type=int, default=5)
options = parser.parse_args()
os.environ["POLARS_MAX_THREADS"] = str(options.cores)

import numpy  # noqa: E402
import polars  # noqa: E402

import blondel  # noqa: E402

# On one core other programs do not disturb processor time.
clock = time.process_time if options.cores == 1 else time.perf_counter
CHANNELS, QUARTER = 100, 900_000_000
random = numpy.random.default_rng(4)
intervals = max(1, options.rows // CHANNELS)
counts = random.integers(-500, 20_000, (intervals, CHANNELS))
begin = 1_767_225_600_000_000  # 2026-01-01T00:00:00Z
stamps = [blondel.instant_text(begin + k * QUARTER) for k in range(intervals)]
names = [f"K{c // 10}-{c % 10:02}" for c in range(CHANNELS)]
long = ("start,channel,net_p\n" + "".join(
    f"{stamps[k]},{name},{count}\n" for k in range(intervals) for name, count in zip(names, counts[k].tolist()))).encode()
wide = (",".join(["start", *names]) + "\n" + "".join(
    f"{stamps[k]},{','.join(map(str, counts[k].tolist()))}\n" for k in range(intervals))).encode()
rule = {"duration": QUARTER, "wh_per_count": 1}


def by_polars(text):
    return polars.read_csv(text, try_parse_dates=True)


def ours(text, **more):
    return blondel.Intervals.read_csv(text, **rule, **more)


runs = {"long": (long, lambda: ours(long), lambda: by_polars(long)),
        "wide": (wide, lambda: ours(wide, map={"columns": {"start": "start"}, "others": "net_p"}), lambda: by_polars(wide))}
for name, (text, mine, theirs) in runs.items():
    made, frame = mine(), theirs()
    series = [made.series(channel)[0] for channel in names]
    assert (numpy.array(series).T == counts).all()
    assert frame["start"].dtype == polars.Datetime("us", "UTC"), frame["start"].dtype
    assert frame.height == (intervals * CHANNELS if name == "long" else intervals)
    times = {"blondel": [], "Polars": []}
    for _ in range(options.repeat):
        for who, run in (("blondel", mine), ("Polars", theirs)):
            before = clock()
            run()
            times[who].append(clock() - before)
    median = {who: statistics.median(t) for who, t in times.items()}
    print(f"{name}: {intervals * CHANNELS} counts, {len(text) / 1e6:.0f} MB, Polars on {options.cores} core(s), "
          f"median of {options.repeat}")
    for who, t in median.items():
        print(f"  {who:10} {t * 1000:9.1f} ms  {len(text) / t / 1e6:8.0f} MB/s  {intervals * CHANNELS / t / 1e6:7.1f} M counts/s"
              f"   {min(times[who]) * 1000:9.1f} ms at best")
    print(f"  speed of ours over that of Polars: {median['Polars'] / median['blondel']:.2f} (aim: at least 0.5); "
          f"at best {min(times['Polars']) / min(times['blondel']):.2f}")
