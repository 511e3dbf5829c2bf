"""What the proof holds, on development seeds: a fast part here, all of it with BLONDEL_LONG=1.

Safety is held as it is asked for. Of the rest some aims are not reached yet: docs/theory/proof-measured.md shows them
beside what was measured, and here stands what no change may lose.

A threshold fails only where the count refutes it: a one-sided exact binomial test at one in a thousand. The table of
docs/theory/proof-measured.md is of other seeds and larger numbers.
"""

import os

import pytest

from proof_sim import measure
from proof_sim.score import at_least, at_most

LONG = os.environ.get("BLONDEL_LONG") == "1"
SEED, N = 1, 1000 if LONG else 120


#: least share named first (kind declared, not declared) and greatest mean number of classes reported
THREE = {"one reversed": (0.95, 0.97, 2, 3.2), "two exchanged": (0.95, 0.96, 2, 3.2),
         "two on one conductor": (0.98, 0.98, 2.2, 3.2), "all reversed": (0.95, 0.93, 2, 4),
         "rotation": (0.88, 0.72, 2.8, 3.8), "rotated and all reversed": (0, 0, 3.2, 3.8)}


@pytest.mark.parametrize("declare", [True, False])
@pytest.mark.parametrize("fault", THREE)
def test_three_pole_faults(fault, declare):
    x = measure.per_fault(SEED, fault, declare=declare, n=N, with_oracle=LONG)
    first = THREE[fault][0 if declare else 1]
    most = THREE[fault][2 if declare else 3]
    assert x.n > 0.7 * N
    assert at_least(x.listed, x.n, 0.99), x
    assert at_least(x.first, x.n, first), x
    assert x.classes / x.n <= most, x


@pytest.mark.parametrize("fault", ["dead", "wrong ratio"])
def test_what_one_snapshot_cannot_name_is_listed(fault):
    x = measure.per_fault(SEED, fault, n=N, with_oracle=False)
    assert at_least(x.listed, x.n, 0.99), x


@pytest.mark.parametrize(("fault", "first"), [("one reversed", 0.85), ("two exchanged", 0.82), ("all reversed", 0.85),
                                              ("rotation", 0.45)])
def test_p_and_s_alone(fault, first):
    x = measure.per_fault(SEED, fault, quantities="PS", n=N, with_oracle=False)
    assert at_least(x.first, x.n, first), x
    assert at_least(x.listed, x.n, 0.97), x


@pytest.mark.parametrize("declare", [True, False])
def test_one_pole_on_a_wrong_conductor(declare):
    x = measure.per_fault(SEED, "wrong conductor", shapes=measure.ONE, declare=declare, n=N, with_oracle=False)
    assert at_least(x.first, x.n, 0.97 if declare else 0.65), x
    assert at_least(x.listed, x.n, 0.99), x


@pytest.mark.parametrize("declare", [True, False])
def test_safety(declare):
    x = measure.natural(SEED, buildings=20 if LONG else 1, points=4000 if LONG else 3000, declare=declare, with_oracle=False)
    assert at_most(x.proven_wrong - x.proven_ratio, x.proven, 0.002), x
    assert at_most(x.healthy_wrong, x.healthy_all, 0.003), x
    assert at_least(x.healthy_proven, x.healthy, 0.86 if declare else 0.6), x


@pytest.mark.skipif(not LONG, reason="BLONDEL_LONG not set")
@pytest.mark.parametrize(("factor", "most"), [(1, 0.1), (3, 0.15), (1 / 3, 0.15)])
def test_calibration(factor, most):
    policy = measure.simulator_prior(factor)
    both = [measure.natural(SEED, buildings=12, declare=d, policy=policy) for d in (True, False)]
    both[0].probability += both[1].probability
    both[0].hit += both[1].hit
    n, error = both[0].calibration()
    assert n >= 2000 and error <= most, (n, error)
    assert at_most(sum(x.proven_wrong - x.proven_ratio for x in both), sum(x.proven for x in both), 0.005)
