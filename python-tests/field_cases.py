"""The jobs "expected", "phase_test" and "trace". Format: tests/cases/README.md."""

import blondel


def near(wanted, got):
    assert abs(wanted - got) <= 0.05


def run_expected(folder, case):
    assert set(case) == {"job", "about", "origin", "expect"}
    assert set(case["expect"]) == {"channels"}
    sheet = blondel.expected_readings(blondel.Site.from_file(folder / "site.json").view())
    assert {row.channel for row in sheet} == case["expect"]["channels"].keys()
    for row in sheet:
        wanted = case["expect"]["channels"][row.channel]
        assert {"state"} <= set(wanted) <= {"state", "sign", "angle", "offset", "volts", "least_amps", "least_watts"}
        assert row.state == wanted["state"]
        assert wanted.get("sign", row.sign) == row.sign
        for name in ("angle", "offset"):
            if name in wanted:
                near(wanted[name][0], getattr(row, f"{name}_low_deg"))
                near(wanted[name][1], getattr(row, f"{name}_high_deg"))
        for name in ("volts", "least_amps", "least_watts"):
            if name in wanted:
                near(wanted[name], getattr(row, name))


def run_phase_test(folder, case):
    assert set(case) == {"job", "about", "origin", "expect"}
    expect = case["expect"]
    assert set(expect) == {"conductors", "panels", "findings"}
    view = blondel.Site.from_file(folder / "site.json").view()
    test = blondel.phase_test_file(view, folder / "readings.csv")
    assert {row.conductor for row in test.conductors} == expect["conductors"].keys()
    for row in test.conductors:
        wanted = dict(expect["conductors"][row.conductor])
        got = {name: getattr(row, name) for name in wanted}
        assert got == wanted
        assert wanted.get("cause", "none") == row.cause
    assert {p.panel: {"verdict": p.verdict, "measured": p.measured} for p in test.panels} == expect["panels"]
    assert sorted(f.identity for f in test.report) == sorted(expect["findings"])
    for finding in test.report:
        assert "{" not in finding.title() + finding.text() + finding.action()


def run_trace(folder, case):
    assert set(case) == {"job", "about", "origin", "plan", "expect"}
    expect, given = case["expect"], case["plan"]
    assert set(expect) == {"steps", "words", "channels", "findings"}
    plan = blondel.Trace(dict(sorted(given["breakers"].items())), rules=given["rules"], check=given["check"],
                         most_off=given["most_off"] or None)
    assert plan.steps == expect["steps"]
    assert {b.id: b.word for b in plan.breakers} == expect["words"]
    assert [plan.off(s) for s in range(1, plan.steps + 1)] == plan.as_dict()["off"]
    result = plan.decode((folder / "readings.csv").read_bytes())
    found = {r.channel: {"verdict": r.verdict, "breaker": r.breaker, "cause": r.cause} for r in result}
    assert found == expect["channels"]
    assert sorted(f.identity for f in result.report) == sorted(expect["findings"])
    for finding in result.report:
        assert "{" not in finding.title() + finding.text() + finding.action()
