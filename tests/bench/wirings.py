"""Classes of look-alikes beside NumPy, in one run. Processor time, medians of several rounds.

    python tests/bench/wirings.py

The peer has the same table of readings (by wiring of the leads, element and placement), rounds it to 1e-9 and lets
numpy.unique find equal rows. The library compares ratios, without rounding.
"""

import statistics
import time

import numpy

from blondel import Arrangement, Hypotheses


def measured(f, rounds=5):
    f()
    times = []
    for _ in range(rounds):
        began = time.process_time()
        f()
        times.append(time.process_time() - began)
    return statistics.median(times)


def compare(title, form, kinds):
    all_ = Hypotheses(form, kinds)
    count, elements = len(all_), len(form.elements)
    table = numpy.array([[all_.reads(h, e) for e in range(elements)] for h in range(count)]).reshape(count, -1)

    def reduced():
        # Currents sum to zero, so only differences against the last conductor are seen.
        seen = table.reshape(count, elements, -1)
        seen = (seen - seen[:, :, -1:])[:, :, :-1].reshape(count, -1)
        return len(numpy.unique(numpy.round(numpy.concatenate([seen.real, seen.imag], axis=1), 9), axis=0))

    listing = measured(lambda: Hypotheses(form, kinds))
    ours, theirs = measured(lambda: all_.classes("each", "nominal")), measured(reduced)
    found, expected = all_.classes("each", "nominal").count, reduced()
    assert found == expected, (found, expected)
    anywhere = measured(lambda: all_.classes("each", "any"))
    print(f"{title}: {count} wirings, {found} classes; listed in {listing * 1e3:.2f} ms")
    print(f"  classes at nominal voltages {ours * 1e3:.2f} ms, {ours / count * 1e9:.0f} ns each; numpy.unique "
          f"{theirs * 1e3:.2f} ms: {theirs / ours:.1f} times as fast; at any voltages {anywhere * 1e3:.2f} ms")


if __name__ == "__main__":
    wye = Arrangement("four_wire_wye", "ABCN").use("line_to_neutral").form()
    compare("three elements, each conductor once", wye, ("reversed", "each_once"))
    compare("three elements, leads in any order", wye, ("reversed", "dead", "neutral", "lead_orders", "lead_missing"))
    compare("three elements, windows with two conductors", wye, ("reversed", "two_conductors", "lead_orders"))
    compare("two elements", Arrangement("three_wire_delta", "ABC").use("two_wattmeter").form(),
            ("reversed", "dead", "lead_orders"))
