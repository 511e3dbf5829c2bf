"""A simulator of metering points with known wiring, and an oracle that knows how they were drawn.

Everything here is drawn from distributions of its own, stated in `loads.py`, `faults.py` and `meters.py`; nothing
is read from the library. What a run needs is named in the order of use:

    shapes.py   services, the points that are simulated on them, and their references
    loads.py    kinds of load: load angles, shares, how strongly the poles of one load hang together
    meters.py   errors of CTs and meters, resolution, supply voltages
    faults.py   the fault mix: 8 of 100 points are wrong, and every wiring with its share
    draw.py     draws devices, points, faults and readings
    record.py   the same points as a site file and as columns of readings
    oracle.py   exact Bayes with the distributions above
    score.py    compares an answer with what was drawn
    answers.py  asks the library
    measure.py  measures library and oracle on the same points; report.py writes docs/theory/proof-measured.md
"""
