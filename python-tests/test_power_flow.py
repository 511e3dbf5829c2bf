"""The form beside an unbalanced power-flow engine: random networks, solved by somebody else's program.

The engine (OpenDSS through dss-python) supplies voltages and currents where a CT would hang, and the powers that it
works out itself for its elements. The form has to register, and to call true, what the engine's elements take. Normally
200 networks; with BLONDEL_LONG=1 1200.
"""

import os
import random

import dss
import numpy
import pytest

import blondel

COUNT = 1200 if os.environ.get("BLONDEL_LONG") == "1" else 200

TAP = ("new transformer.t1 phases=1 windings=3 xhl=2 xht=2 xlt=1.3 %rs=[0.6 1.2 1.2] buses=[hv.1.2 s.1.4 s.4.{last}] "
       "kvs=[4.16 0.12 0.12] kvas=[75 75 75]")

# kind of service: letters of the load, nodes of the conductors, pairs that loads may stand between with their kV
SERVICES = {
    "four_wire_wye": ("ABCN", {"A": 1, "B": 2, "C": 3, "N": 4},
                      {"AN": 0.12, "BN": 0.12, "CN": 0.12, "AB": 0.208, "BC": 0.208, "CA": 0.208}),
    "three_wire_delta": ("ABC", {"A": 1, "B": 2, "C": 3}, {"AB": 0.48, "BC": 0.48, "CA": 0.48}),
    "high_leg_delta": ("ABCN", {"A": 1, "B": 2, "C": 3, "N": 4},
                       {"AN": 0.12, "CN": 0.12, "BN": 0.208, "AB": 0.24, "BC": 0.24, "CA": 0.24}),
    "single_phase_three_wire": ("ABN", {"A": 1, "B": 2, "N": 4}, {"AN": 0.12, "BN": 0.12, "AB": 0.24}),
}
# elements round the load, each (voltage, current rows); every one of these is exact
FORMS = {
    "four_wire_wye": [[("A-N", "A"), ("B-N", "B"), ("C-N", "C")]],
    "three_wire_delta": [[("A-B", "A"), ("C-B", "C")], [("A-C", "A"), ("B-C", "B")], [("B-A", "B"), ("C-A", "C")],
                         "common"],
    "high_leg_delta": [[("A-N", "A"), ("B-N", "B"), ("C-N", "C")]],
    "single_phase_three_wire": [[("A-N", "A"), ("B-N", "B")]],
}


def source(kind, rng):
    up = rng.uniform(0.96, 1.05)
    sequence = rng.choice(["pos", "neg"])
    z = f"r1={rng.uniform(.001, .02)} x1={rng.uniform(.005, .05)} r0={rng.uniform(.001, .02)} x0={rng.uniform(.005, .05)}"
    if kind == "four_wire_wye":
        yield f"new circuit.c basekv=0.208 pu={up} phases=3 bus1=s.1.2.3 {z} sequence={sequence}"
        yield "new reactor.g bus1=s.4 bus2=s.0 phases=1 r=0.002 x=0"
    elif kind == "three_wire_delta":
        # The datum of a delta stands nowhere in particular: a corner through some resistance.
        yield f"new circuit.c basekv=4.16 pu={up} phases=3 bus1=hv {z} sequence={sequence}"
        kva = rng.uniform(50, 300)
        yield (f"new transformer.t phases=3 windings=2 buses=[hv s.1.2.3] conns=[delta delta] kvs=[4.16 0.48] "
               f"kvas=[{kva} {kva}] xhl={rng.uniform(1.5, 5)}")
        yield f"new reactor.g bus1=s.{rng.choice([1, 2, 3])} bus2=s.0 phases=1 r={rng.uniform(0.5, 50)} x=0"
    else:
        yield f"new circuit.c basekv=4.16 pu={up} phases=3 bus1=hv {z} sequence={sequence}"
        yield TAP.format(last=3 if kind == "high_leg_delta" else 2)
        if kind == "high_leg_delta":
            yield ("new transformer.t2 phases=1 windings=2 xhl=2 %rs=[0.6 0.8] buses=[hv.2.3 s.3.2] kvs=[4.16 0.24] "
                   "kvas=[50 50]")
        yield "new reactor.g bus1=s.4 bus2=s.0 phases=1 r=0.002 x=0"


def matrix(n, rng):
    """A passive line: self impedances dominate."""
    def rows(low, high):
        mutual = rng.uniform(0.05, 0.3) * low
        return "[" + "|".join(" ".join(str(rng.uniform(low, high) if i == j else mutual) for j in range(i + 1))
                              for i in range(n)) + "]"
    return f"rmatrix={rows(.01, .06)} xmatrix={rows(.005, .04)} cmatrix=[" + "|".join(
        " ".join("0" for _ in range(i + 1)) for i in range(n)) + "]"


def network(kind, rng):
    """Commands of a network, and the names of its loads with the conductors they stand between."""
    letters, node, pairs = SERVICES[kind]
    nodes = ".".join(str(node[k]) for k in letters)
    commands = ["clear", *source(kind, rng)]
    commands.append(f"new line.feeder bus1=s.{nodes} bus2=b.{nodes} phases={len(letters)} {matrix(len(letters), rng)}")
    loads = []
    for i in range(rng.randint(1, 6)):
        pair = rng.choice(list(pairs))
        sign = -1 if rng.random() < 0.15 else 1  # generation
        kw = sign * rng.uniform(0.2, 6)
        kvar = rng.uniform(-1, 1.5) * abs(kw)
        commands.append(f"new load.l{i} bus1=b.{node[pair[0]]}.{node[pair[1]]} phases=1 kv={pairs[pair]} kw={kw} "
                        f"kvar={kvar} model={rng.choice([1, 2, 5])} vminpu=0.3 vmaxpu=2")
        loads.append((f"load.l{i}", pair))
    commands += ["set tolerance=1e-11", "set maxiterations=500", "solve"]
    return commands, loads


def solve(kind, rng):
    """Phasors at the load's end of the feeder by conductor, the engine's own powers of its loads and of the feeder."""
    letters, node, _ = SERVICES[kind]
    commands, loads = network(kind, rng)
    for command in commands:
        dss.DSS.Text.Command = command
    circuit = dss.DSS.ActiveCircuit
    if not circuit.Solution.Converged:
        return None

    def complexes(values):
        return numpy.array(values).view(complex)

    n = len(letters)
    circuit.SetActiveElement("line.feeder")
    element = circuit.ActiveCktElement
    volts = dict(zip(letters, complexes(element.Voltages)[n:]))
    amps = dict(zip(letters, -complexes(element.Currents)[n:]))
    feeder = -1000 * complexes(element.Powers)[n:].sum()
    taken, each, size = 0, dict.fromkeys(letters, 0), 0
    for name, pair in loads:
        circuit.SetActiveElement(name)
        element = circuit.ActiveCktElement
        taken += 1000 * complexes(element.Powers).sum()
        for k, i in zip(pair, complexes(element.Currents)):
            each[k] += i
        # What the load takes, without regard to sign: generation and consumption must not hide an error.
        size += abs(1000 * complexes(element.Powers).sum())
    return volts, amps, each, feeder, taken, size


def form_of(kind, elements):
    letters = SERVICES[kind][0]
    arrangement = blondel.Arrangement(kind, letters)
    if elements == "common":
        common = arrangement.floating()
        elements = [(f"{k}-{common}", k) for k in letters]
    for volts, current in elements:
        arrangement.element(volts, {letters.index(current): 1})
    return arrangement.form()


@pytest.mark.parametrize("kind", SERVICES)
def test_the_form_agrees_with_the_engine(kind):
    rng = random.Random(f"blondel {kind}")
    letters = SERVICES[kind][0]
    networks, refused = [], 0
    while len(networks) < COUNT // len(SERVICES):
        solved = solve(kind, rng)
        if solved is None:
            refused += 1
            assert refused < COUNT, "the engine solves next to nothing"
        else:
            networks.append(solved)
    volts = {k: numpy.array([v[k] for v, *_ in networks]) for k in letters}
    feeder_amps = [numpy.array([a[k] for _, a, *_ in networks]) for k in letters]
    load_amps = [numpy.array([e[k] for _, _, e, *_ in networks]) for k in letters]
    feeder = numpy.array([x[3] for x in networks])
    loads = numpy.array([x[4] for x in networks])
    size = numpy.array([x[5] for x in networks])
    assert (size > 100).all()
    # A floating common stands wherever it likes.
    volts["floating1"] = numpy.array([complex(rng.gauss(0, 100), rng.gauss(0, 100)) for _ in networks])
    worst = 0.0
    for elements in FORMS[kind]:
        form = form_of(kind, elements)
        assert form.exact
        given = dict(volts)
        if elements != "common":
            del given["floating1"]
        for amps, taken in ((load_amps, loads), (feeder_amps, feeder), (feeder_amps, loads)):
            for result in (form.evaluate(given, amps).registered, form.evaluate(given, amps).truth):
                error = numpy.abs(result - taken) / size
                assert error.max() <= 1e-9
                worst = max(worst, float(error.max()))
    print(f"{kind}: {len(networks)} networks, worst relative difference {worst:.1e}")


def test_an_arrangement_that_is_not_exact_differs_from_the_engine_by_its_residual():
    """Two wattmeters on four wires: the engine shows the error that the form foretells, -V_B I_Sigma*."""
    rng = random.Random("blondel residual")
    form = form_of("four_wire_wye", [("A-B", "A"), ("C-B", "C")])
    assert not form.exact
    seen = 0
    for _ in range(20):
        solved = solve("four_wire_wye", rng)
        if solved is None:
            continue
        volts, _, amps, _, taken, size = solved
        registered = form.evaluate({k: complex(v) for k, v in volts.items()},
                                   [complex(amps[k]) for k in "ABCN"]).registered[0]
        sigma = amps["A"] + amps["B"] + amps["C"]
        foretold = -(volts["B"] - volts["N"]) * numpy.conj(sigma)
        assert abs(registered - taken - foretold) <= 1e-9 * size
        seen += abs(foretold) > 0.01 * size
    assert seen >= 5
