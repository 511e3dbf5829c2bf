"""The simulator against published factors, and the oracle against brute force and against itself."""

import math

import numpy as np
import pytest

import blondel
from proof_sim import draw, faults, loads, meters, oracle, record, score, shapes

WYE, DELTA = "wye three-pole", "delta two-element"


@pytest.fixture
def registered(monkeypatch):
    """Registered over true power of a balanced load without any errors: what the published factors speak of."""
    monkeypatch.setattr(meters, "CT_CLASSES", {"0.5": (0, 0), "1": (0, 0)})
    monkeypatch.setattr(meters, "METER", (0, 0))
    monkeypatch.setattr(meters, "STEPS", np.array([1e-9, 1e-9]))
    for name in ("VOLT_SPREAD", "VOLT_ANGLE", "COMMON_SPREAD"):
        monkeypatch.setattr(meters, name, 0.0)
    monkeypatch.setattr(loads, "UNBALANCE", dict.fromkeys(loads.NAMES, 0.0))

    def factor(shape, on, sign, phi, dead=(), lead_map=0):
        monkeypatch.setitem(loads._PARTS, "motor", ((1.0, "normal", phi, 0.0),))
        s = shapes.SHAPES[shape]
        w = faults.wirings(s)
        h = w.find([-1 if i in dead else s.phases.index(k) for i, k in enumerate(on)], sign, [1.0] * len(on))
        assert h >= 0
        meant, found = (
            draw.draw(np.random.default_rng(5), s, n=1, kinds=["motor"], wiring=[i], lead_map=np.array([m])).watts.sum()
            for i, m in ((0, 0), (h, lead_map)))
        return found / meant

    return factor


PHI = [0, 25.84, 30, 36.87, 45, 60]


def test_published_factors(registered):
    # CV06-01: utility metering training material, correction rate 200 %.
    assert registered(WYE, "ABC", (1, -1, 1), 20) == pytest.approx(1 / 3)
    # CV06-07, 08: balanced-load algebra.
    assert registered(WYE, "ABC", (-1, -1, 1), 20) == pytest.approx(-1 / 3)
    assert registered(WYE, "ABC", (1, 1, 1), 20, dead=(2,)) == pytest.approx(2 / 3)
    for phi, forward, back in zip(PHI, [-0.5, -0.919399, -1.0, -1.149521, -1.366025, -2.0],
                                  [-0.5, -0.080601, 0.0, 0.149521, 0.366025, 1.0], strict=True):
        # CV06-09, 10, 11.
        assert registered(WYE, "ACB", (1, 1, 1), phi) == pytest.approx(0, abs=1e-6)
        assert registered(WYE, "BCA", (1, 1, 1), phi) == pytest.approx(forward, abs=1e-5)
        assert registered(WYE, "CAB", (1, 1, 1), phi) == pytest.approx(back, abs=1e-5)
        assert registered(WYE, "ACB", (-1, 1, 1), phi) == pytest.approx(-2 / 3, abs=1e-5)
    for phi, share in zip(PHI, [0.0, 0.279599, 0.333333, 0.433014, 0.57735, 1.0], strict=True):
        # CV06-13, 15: two elements of a three-wire load.
        assert registered(DELTA, "AC", (-1, 1), phi) == pytest.approx(share, abs=1e-5)
        assert registered(DELTA, "AC", (1, -1), phi) == pytest.approx(-share, abs=1e-5)
        assert registered(DELTA, "CA", (1, 1), phi) == pytest.approx(0, abs=1e-6)
    # CV06-16: one channel whose voltage is another phase's.
    for phi, lags, leads in zip(PHI, [-0.5, -0.080601, 0.0, 0.149521, 0.366025, 1.0],
                                [-0.5, -0.919399, -1.0, -1.149521, -1.366025, -2.0], strict=True):
        assert registered("wye one-pole A", "C", (1,), phi) == pytest.approx(lags, abs=1e-5)
        assert registered("wye one-pole A", "B", (1,), phi) == pytest.approx(leads, abs=1e-5)


def test_leads_turned_are_cts_turned_the_other_way(registered):
    s = shapes.SHAPES[WYE]
    maps = faults.lead_maps("ABC")
    turned = next(j for j, m in enumerate(maps) if m.to == {"A": "B", "B": "C", "C": "A"})
    assert s.elements == 3
    for phi in PHI:
        assert registered(WYE, "ABC", (1, 1, 1), phi, lead_map=turned) == pytest.approx(
            registered(WYE, "CAB", (1, 1, 1), phi), abs=1e-6)


def test_the_mix_is_eight_percent():
    for shape in shapes.SHAPES.values():
        w = faults.wirings(shape)
        assert w.fault[0] == "right" and w.prior.sum() == pytest.approx(1)
        maps = faults.lead_maps([k for k in shape.potentials if k != "N"])
        wrong = 1 - w.prior[0] * maps[0].prior
        assert 0.07 < wrong < 0.09, shape.name
    assert len(faults.wirings(shapes.SHAPES[WYE]).prior) == 216 + 3 + 6


def test_angle_density_is_one_and_follows_the_draws():
    rng = np.random.default_rng(3)
    grid = np.arange(-180, 180, 0.25) + 0.125
    for k, name in enumerate(loads.NAMES):
        w = np.eye(len(loads.NAMES))[k]
        density = loads.angle_density(w, grid, 0.3)
        assert density.sum() * 0.25 == pytest.approx(1, abs=2e-3), name
        drawn = loads.draw_angles(rng, np.full(40000, k), (40000, 1))[:, 0] + rng.normal(0, 0.3, 40000)
        drawn = (drawn + 180) % 360 - 180
        share = np.histogram(drawn, bins=36, range=(-180, 180))[0] / 40000
        assert np.abs(share - density.reshape(36, -1).sum(1) * 0.25).max() < 0.012, name


@pytest.mark.parametrize(("shape", "kind"), [("wye one-pole A", "mixed"), ("two-leg two-pole", "motor"), (WYE, "motor")])
def test_likelihood_against_brute_force(monkeypatch, shape, kind):
    """The closed form against plain summation over load angle, size and negative sequence, errors being wide."""
    monkeypatch.setattr(meters, "CT_CLASSES", {"0.5": (0.04, 2.5), "1": (0.04, 2.5)})
    rng = np.random.default_rng(11)
    s = shapes.SHAPES[shape]
    b = draw.draw(rng, s, n=1, kinds=[kind], fault="right")
    e = s.elements
    ll = oracle.log_likelihood(b)[0, 0]
    angle = np.arange(-180, 180, 1.0)
    density = loads.angle_density(np.eye(len(loads.NAMES))[loads.NAMES.index(kind)], angle, 0.05)
    size = np.linspace(-4, 4, 241)
    size_weight = np.exp(-0.5 * size**2) / math.sqrt(2 * math.pi) * (size[1] - size[0])
    sequence = [(0j, 1.0)]
    if len(s.poles) == 3:
        x, wx = np.polynomial.hermite_e.hermegauss(9)
        sequence = [(complex(p, q) * loads.UNBALANCE[kind], wp * wq / (2 * math.pi))
                    for p, wp in zip(x, wx, strict=True) for q, wq in zip(x, wx, strict=True)]
    seen = oracle._Seen(b, "PQ", 0)
    volts = {k: np.asarray(v, complex) for k, v in s.potentials.items()}
    driving = draw.drive(s, True, volts)
    turn = draw.negative_sequence(s) if len(s.poles) == 3 else np.zeros(len(s.phases))
    reference = oracle._nominal(s, b.maps[0])
    for h in (0, 1, len(b.wirings.prior) // 2):
        on = b.wirings.on[h]
        if (on < 0).any():
            continue
        extra = np.array(oracle._cross(s, draw.WHOLE, b.maps[0], tuple(int(k) for k in on)))
        total = 0.0
        for c, weight in sequence:
            grow = c * turn[on]
            m = seen.size[0][:, None] - (loads.SIZE_MEAN + loads.SIZE_SPREAD * size[None] + grow.real[:, None]
                                         - np.log(b.wirings.ratio[h])[:, None])
            v = seen.size_var[0][:, None]
            of_size = (np.exp(-0.5 * m * m / v) / np.sqrt(2 * math.pi * v)).prod(0) @ size_weight
            offset = np.angle(reference * np.conj(driving[on])) + np.where(b.wirings.sign[h] < 0, np.pi, 0)
            a = seen.angles[0][0][:, None] - offset[:, None] - np.deg2rad(angle)[None] + grow.imag[:, None]
            a = (a + np.pi) % (2 * np.pi) - np.pi
            v = (seen.angle_var[0] + extra)[:, None]
            of_angle = (np.exp(-0.5 * a * a / v) / np.sqrt(2 * math.pi * v)).prod(0) @ density
            total += weight * of_size * of_angle
        if total > 1e-25:
            fit = -0.5 * (((seen.volts[0] / (np.abs(reference) * s.volts_unit) - 1) / oracle.VOLT) ** 2).sum()
            assert ll[h] == pytest.approx(math.log(total) + fit, abs=0.05)
    assert e == len(s.references)


def answers(batches, quantities="PQ"):
    for b, post in zip(batches, oracle.posterior(batches, quantities), strict=True):
        table = oracle.classes(b.shape, b.wirings, b.maps)
        yield b, *score.class_table(b, post, table)


def test_oracle_is_calibrated():
    """Of answers given with probability p a share p is right: the oracle knows how the points were drawn."""
    p, hit = [], []
    for b, share, truth in answers(draw.building(np.random.default_rng(21), 2400, declare=False)):
        keep = b.loaded()
        p.append(share[keep].max(1))
        hit.append((share.argmax(1) == truth)[keep])
    p, hit = np.concatenate(p), np.concatenate(hit)
    assert len(p) > 1800
    # The number of hits is a sum of independent trials of known probability: within four deviations of its mean.
    assert abs(hit.sum() - p.sum()) < 4 * math.sqrt((p * (1 - p)).sum())
    unsure = (p > 0.05) & (p < 0.95)
    assert unsure.sum() > 15
    assert abs(hit[unsure].sum() - p[unsure].sum()) < 4 * math.sqrt((p * (1 - p))[unsure].sum())


def test_oracle_tells_leads_of_a_device_from_cts_of_a_point():
    """One point rotated among healthy ones: its CTs. All points of a device rotated: its leads."""
    rng = np.random.default_rng(4)
    n = 6
    s = shapes.SHAPES[WYE]
    w = faults.wirings(s)
    maps = faults.lead_maps("ABC")
    rotated = next(j for j, m in enumerate(maps) if m.to == {"A": "B", "B": "C", "C": "A"})
    one = draw.draw(rng, s, n=n, device=np.zeros(n, int), kinds=["motor"], wiring=[w.fault.index("rotation"), *[0] * (n - 1)])
    all_ = draw.draw(rng, s, n=n, device=np.zeros(n, int), kinds=["motor"], wiring=[0] * n, lead_map=np.full(n, rotated))
    of_one, of_all = oracle.posterior([one])[0], oracle.posterior([all_])[0]
    assert of_one[:, 0].sum(1).min() > 0.99 and of_one[1:, 0, 0].min() > 0.95
    assert of_all[:, rotated].sum(1).min() > 0.99


def test_the_record_of_a_building_loads_without_errors():
    batches = draw.building(np.random.default_rng(2), 600)
    site = blondel.Site.read(record.site_text(batches))
    report = blondel.check(site.view())
    assert [f for f in report if f.severity == "error"] == []
    columns = record.readings(batches)
    assert len(blondel.Readings(**columns)) == sum(b.watts.size for b in batches)
    seven = {shapes.SERVICES[b.shape.service][0]["kind"] for b in batches}
    assert len(seven) == 7


def test_every_point_of_a_mark_has_its_fault():
    b = draw.building(np.random.default_rng(8), 80, mark=(WYE, "two exchanged"), per_device=4)[-1]
    assert len(b) == 20 and {b.fault(i) for i in range(20)} == {"two exchanged"}
    placements = score.truth_placements(b, 0)
    assert len(placements) == 3 and all(not dead for *_, dead in placements.values())


def test_thresholds_are_tests():
    assert score.at_least(980, 1000, 0.98) and score.at_least(965, 1000, 0.98) and not score.at_least(950, 1000, 0.98)
    assert score.at_most(2, 1000, 0.002) and not score.at_most(20, 1000, 0.002)
    assert score.calibration_error([0.9] * 10, [1] * 9 + [0]) == pytest.approx(0)
