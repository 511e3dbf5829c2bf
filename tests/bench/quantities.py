"""Quantities beside NumPy, and beside one pass over the same bytes, in one run. Processor time, medians of several rounds.

    python tests/bench/quantities.py [seconds of waveform, default 60; 600 for the whole of ten minutes]
"""

import concurrent.futures
import os
import statistics
import sys
import time

import numpy

import blondel

RATE, CYCLES, CHANNELS, BLOCK = 4000, 10, 60, 4000
SCALES = [0.02] * 3 + [0.005] * CHANNELS


def measured(f, rounds=5, clock=time.process_time):
    f()
    times = []
    for _ in range(rounds):
        began = clock()
        f()
        times.append(clock() - began)
    return statistics.median(times)


def blocks(frequency):
    """Ten seconds, a block a second: the stream goes round them, so that memory stays small."""
    rng = numpy.random.default_rng(3)
    made = []
    for b in range(10):
        t = 2 * numpy.pi * frequency * (numpy.arange(BLOCK) + b * BLOCK) / RATE
        rows = []
        for k in range(3 + CHANNELS):
            shift = -2 * numpy.pi / 3 * (k % 3) - 0.02 * k
            x = 12000 * numpy.cos(t + shift) + 900 * numpy.cos(3 * t) + 300 * numpy.cos(5 * t + k)
            rows.append(numpy.round(x + rng.normal(size=BLOCK)).astype("i2"))
        made.append(rows)
    return made


def numpy_all(rows):
    """The same quantities with vectorised NumPy; its windows are 800 samples, which only 50 Hz has."""
    real = [row.reshape(-1, 800) * scale for row, scale in zip(rows, SCALES)]
    spectra = [numpy.fft.rfft(x)[:, ::CYCLES] * (numpy.sqrt(2) / 800) for x in real]
    squares = [numpy.mean(x * x, axis=1) for x in real]
    out = []
    for c in range(CHANNELS):
        v, i, vs, s_i = real[c % 3], real[3 + c], spectra[c % 3], spectra[3 + c]
        v2, i2 = squares[c % 3], squares[3 + c]
        p = numpy.mean(v * i, axis=1)
        s = numpy.sqrt(v2 * i2)
        power = vs[:, 1:] * numpy.conj(s_i[:, 1:])
        v1, i1 = numpy.abs(vs[:, 1]), numpy.abs(s_i[:, 1])
        vh, ih = numpy.sqrt(numpy.maximum(v2 - v1**2, 0)), numpy.sqrt(numpy.maximum(i2 - i1**2, 0))
        out.append((p, s, power[:, 0], power.imag.sum(axis=1), p / s, v1 * ih, vh * i1, vh * ih, vh / v1, ih / i1,
                    numpy.sqrt(numpy.maximum(s**2 - p**2, 0)), numpy.angle(power[:, 0])))
    return out


def stream(**more):
    return blondel.WaveStream(rate=RATE, nominal=50, types=["int16"] * len(SCALES), scales=SCALES,
                              channels=[(c % 3, 3 + c) for c in range(CHANNELS)], **more)


def waves(seconds):
    made = blocks(50.02)
    samples = seconds * BLOCK * len(SCALES)

    def run(s):
        for b in range(seconds):
            s.push(made[b % 10])

    ours = measured(lambda: run(stream()), 3)
    theirs = measured(lambda: [numpy_all(made[b % 10]) for b in range(min(seconds, 10))], 3) * seconds / min(seconds, 10)
    sums = measured(lambda: run(stream(frequency=50.02, highest_order=0, wanted=["v_rms", "i_rms", "p"])), 3)
    once = measured(lambda: [[numpy.bitwise_xor.reduce(x.view("i8")) for x in made[b % 10]] for b in range(seconds)], 3)
    print(f"{CHANNELS} channels, {seconds} s at {RATE} Hz, i16: {samples / 1e6:.0f} million samples")
    print(f"  all quantities   {ours:7.2f} s, {ours / samples * 1e9:5.2f} ns a sample; NumPy {theirs:.2f} s: "
          f"{theirs / ours:.1f} times as fast (aim: 10)")
    print(f"  RMS and P alone  {sums:7.2f} s; one pass over the bytes {once:.2f} s: {once / sums:.0%} of it (aim: 50 %)")


def snapshots(n=10_000_000):
    rng = numpy.random.default_rng(1)
    v = rng.normal(size=n) + 1j * rng.normal(size=n)
    i = rng.normal(size=n) + 1j * rng.normal(size=n)
    p, q = numpy.empty(n), numpy.empty(n)

    def theirs():
        s = v * numpy.conj(i)
        return s.real.copy(), s.imag.copy()

    def ours(part=slice(None)):
        blondel.snapshot_power(v[part], i[part], p=p[part], q=q[part], s=False)

    threads = os.cpu_count() or 1
    step = -(-n // threads // 8) * 8
    parts = [slice(k, min(k + step, n)) for k in range(0, n, step)]
    one, peer = measured(ours), measured(theirs)
    with concurrent.futures.ThreadPoolExecutor(threads) as pool:
        wall = measured(lambda: list(pool.map(ours, parts)), clock=time.perf_counter)
    single_wall = measured(ours, clock=time.perf_counter)
    peer_wall = measured(theirs, clock=time.perf_counter)
    print(f"{n / 1e6:.0f} million snapshots to P and Q")
    print(f"  one thread {one:.3f} s; NumPy {peer:.3f} s: {peer / one:.1f} times as fast (aim: 3), by the clock on the wall "
          f"{peer_wall / single_wall:.1f}")
    print(f"  {threads} threads {wall:.3f} s by the clock on the wall: {peer_wall / wall:.1f} times as fast")


if __name__ == "__main__":
    waves(int(sys.argv[1]) if len(sys.argv) > 1 else 60)
    snapshots()
