"""The case folders that every language runs, through the binding. Format: tests/cases/README.md.

How many cases there are of each family is stated by the runners in C++; here every folder is run, and a
family without a runner fails.
"""

import json
from fractions import Fraction
from pathlib import Path

import accuracy_cases
import fault_cases
import field_cases
import power_cases
import proof_cases
import proof_cases
import quantity_cases
import pytest

import blondel

CASES = Path(__file__).resolve().parent.parent / "tests/cases"
FAMILIES = sorted(p for p in CASES.iterdir() if p.is_dir())
FOLDERS = [c for family in FAMILIES for c in sorted(family.iterdir()) if c.is_dir()]


def keys(data, required, optional=()):
    """An unknown key fails, and so does one that is missing."""
    assert isinstance(data, dict)
    assert set(required) <= data.keys() <= set(required) | set(optional)


def check_origin(case):
    keys(case["origin"], {"kind", "where"})
    assert case["origin"]["kind"] in ("standard", "published", "derivation", "hand")
    assert case["origin"]["where"]


def heading(finding):
    return (finding["code"], finding["severity"], finding["verdict"], tuple(finding["subjects"]))


def compare_fact(wanted, found):
    if isinstance(wanted, str):
        assert found.value == wanted
        return
    assert isinstance(found.value, float)
    if isinstance(wanted, dict):
        keys(wanted, {"value"}, {"unit", "within"})
        assert abs(found.value - wanted["value"]) <= wanted.get("within", 0)
        assert found.unit == wanted.get("unit", found.unit)
    else:
        assert found.value == wanted


def compare_findings(report, expect):
    rank = ["error", "warning", "note"]
    severities = [rank.index(f.severity) for f in report]
    assert severities == sorted(severities)
    assert len(report.identities()) == len(report)
    for f in report:
        for text in (f.title(), f.text(), f.action()):
            assert text and "{" not in text
    rest = [f for f in report if f.code != "not-checked"]
    for wanted in expect["findings"]:
        keys(wanted, {"code", "severity", "verdict", "subjects"}, {"discriminator", "pointer", "facts", "waiver"})
        match = next(
            (f for f in rest
             if heading(wanted) == (f.code, f.severity, f.verdict, tuple(f"{s.kind}:{s.id}" for s in f.subjects))
             and f.discriminator == wanted.get("discriminator", f.discriminator)),
            None)
        assert match is not None, f"missing: {wanted}, found {rest}"
        rest.remove(match)
        assert match.waiver == wanted.get("waiver", "")
        assert match.pointer == wanted.get("pointer", match.pointer)
        facts = {fact.name: fact for fact in match.facts}
        for name, value in wanted.get("facts", {}).items():
            compare_fact(value, facts[name])
    assert rest == [], "extra findings"
    if "not_checked" in expect:
        assert sorted(f.discriminator for f in report if f.code == "not-checked") == sorted(expect["not_checked"])
    coverage = {row["code"]: row for row in report.as_dict()["coverage"]}
    for code, counts in expect.get("coverage", {}).items():
        keys(counts, (), {"right", "wrong", "undecided", "not_checked"})
        assert {name: coverage[code][name] for name in counts} == counts


def run_check(folder, case):
    keys(case, {"job", "about", "origin", "expect"}, {"site", "policy", "valid", "known"})
    keys(case["expect"], {"findings"}, {"not_checked", "coverage"})
    check_origin(case)
    site = blondel.Site.from_file(folder / case.get("site", "site.json"))
    when = {name: blondel.instant(case[name]) for name in ("valid", "known") if name in case}
    policy = blondel.Policy("check")
    for key, value in case.get("policy", {}).items():
        policy[key] = value
    compare_findings(blondel.check(site.view(**when), policy), case["expect"])


def run_refuse(folder, case):
    assert {p.name for p in folder.iterdir()} == {"case.json", "site.json"}
    keys(case, {"job", "about", "errors"}, {"limits"})
    keys(case.get("limits", {}), (), {"max_depth", "max_bytes"})
    assert case["errors"]
    data = (folder / "site.json").read_bytes()
    for read in (blondel.Site.read, blondel.Draft.read):
        with pytest.raises(blondel.Error) as caught:
            read(data, **case.get("limits", {}))
        names = ("name", "pointer", "subject", "line", "column", "byte")
        found = [tuple(getattr(item, name) for name in names) for item in caught.value.items]
        wanted = []
        for item in case["errors"]:
            keys(item, {"status", "pointer", "subject", "line", "column", "byte"})
            wanted.append(tuple(item[name] for name in ("status", *names[1:])))
        assert found == wanted
        assert type(caught.value) is blondel.errors.by_status[caught.value.status]


def identities(report):
    return sorted(f.identity for f in report)


def run_live(folder, case):
    keys(case, {"job", "about", "origin", "expect"})
    check_origin(case)
    expect = case["expect"]
    keys(expect, {"channels", "points", "findings"})
    site = blondel.Site.from_file(folder / "site.json")
    live = blondel.live_check(site.view(), blondel.Readings.from_file(folder / "readings.csv"))
    assert {c.channel: {"proof": c.proof, "reads_as": c.reads_as} for c in live.channels} == expect["channels"]
    assert {p.point: p.proof for p in live.points} == expect["points"]
    assert identities(live.report) == sorted(expect["findings"])


def rows(named_tuples, wanted):
    names = list(wanted[0]) if wanted else []
    assert all(list(row) == names for row in wanted)
    return [{name: getattr(row, name) for name in names} for row in named_tuples]


def run_rollup(folder, case):
    keys(case, {"job", "about", "origin", "rule", "expect"})
    check_origin(case)
    expect, rule = case["expect"], case["rule"]
    keys(expect, {"quantum", "rows", "reconciliations", "findings"}, {"tenures"})
    keys(rule, {"duration_us", "wh_num", "wh_den", "stamp"})
    for row in expect["rows"]:
        keys(row, {"kind", "id", "net", "import_p", "export_p", "missing", "mixed"})
    for row in expect["reconciliations"]:
        keys(row, {"rollup", "main", "verdict", "main_net", "sum_net"})
    site = blondel.Site.from_file(folder / "site.json")
    intervals = blondel.Intervals.from_file(
        folder / "intervals.csv", duration=rule["duration_us"], stamp=rule["stamp"],
        wh_per_count=Fraction(rule["wh_num"], rule["wh_den"]))
    statement = blondel.rollup(site, intervals)
    assert str(statement.quantum) == expect["quantum"]
    assert len(statement) == len(expect["rows"])
    assert rows(statement, expect["rows"]) == expect["rows"]
    if "tenures" in expect:
        for tenure in expect["tenures"]:
            keys(tenure, {"point", "premises", "occupant", "net", "divided"})
        assert len(statement.tenures) == len(expect["tenures"])
        assert rows(statement.tenures, expect["tenures"]) == expect["tenures"]
    assert len(statement.reconciliations) == len(expect["reconciliations"])
    assert rows(statement.reconciliations, expect["reconciliations"]) == expect["reconciliations"]
    assert identities(statement.report) == sorted(expect["findings"])


def run_apportion(folder, case):
    keys(case, {"job", "about", "origin", "total", "weights", "expect"}, {"caps"})
    check_origin(case)
    keys(case["expect"], {"parts"})
    found = blondel.apportion(case["total"], start=0, end=1, caps=case.get("caps"),
                              weights={id: Fraction(w) for id, w in case["weights"].items()})
    assert {id: found.parts[id] for id in case["expect"]["parts"]} == case["expect"]["parts"]
    assert sum(found.parts.values()) == case["total"]


def run_demand(folder, case):
    keys(case, {"job", "about", "origin", "duration_us", "window_us", "step_us", "wh", "p", "q", "expect"})
    check_origin(case)
    expect = case["expect"]
    keys(expect, {"windows", "peak_watts", "peak_start_us"},
         {"watts", "total", "peak_voltamperes", "within", "load_factor_percent"})
    demand = blondel.Demand(case["p"], q=case["q"] or None, first=0, duration=case["duration_us"],
                            window=case["window_us"], step=case["step_us"], wh_per_count=Fraction(case["wh"]))
    assert len(demand) == expect["windows"]
    assert [w.watts for w in demand] == expect.get("watts", [w.watts for w in demand])
    peak = demand.peak()
    assert (peak.value, peak.start) == (expect["peak_watts"], expect["peak_start_us"])
    assert sum(w.p for w in demand) == expect.get("total", sum(w.p for w in demand))
    if "peak_voltamperes" in expect:
        assert abs(demand.peak("apparent").value - expect["peak_voltamperes"]) <= expect["within"]
    if "load_factor_percent" in expect:
        mean = sum(w.watts for w in demand) / len(demand)
        assert abs(100 * mean / peak.value - expect["load_factor_percent"]) <= 0.051


def run_plan(folder, case):
    keys(case, {"job", "about", "origin", "request", "expect"})
    check_origin(case)
    expect = case["expect"]
    keys(expect, {"found", "proven"}, {"added", "rows", "conflicts"})
    plan = blondel.plan(blondel.Site.from_file(folder / "site.json").view(), case["request"])
    assert (plan.found, plan.proven) == (expect["found"], expect["proven"])
    assert [[c.kind, c.subject] for c in plan.conflicts] == expect.get("conflicts", [])
    if plan.found:
        assert sum(d.added for d in plan.devices) == expect["added"]
        for circuit, is_ in expect["rows"].items():
            rows = [r for r in plan if r.circuit == circuit]
            assert [rows[0].device, [r.input for r in rows], [r.reference for r in rows], rows[0].ct_type] == is_


JOBS = {"check": run_check, "refuse": run_refuse, "live": run_live, "rollup": run_rollup,
        "apportion": run_apportion, "demand": run_demand,
        "form-evaluate": power_cases.run, "quantities": quantity_cases.run, "accuracy": accuracy_cases.run,
        "form-fault": fault_cases.run, "plan": run_plan, "proof": proof_cases.run,
        "expected": field_cases.run_expected, "phase_test": field_cases.run_phase_test, "trace": field_cases.run_trace}


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda f: f"{f.parent.name}/{f.name}")
def test_case(folder):
    case = json.loads((folder / "case.json").read_text(encoding="utf-8"))
    assert case.get("about") or case["title"]
    JOBS[case["job"]](folder, case)


def test_every_folder_was_found():
    assert {f.parent for f in CASES.rglob("case.json")} == set(FOLDERS)
    assert len(FOLDERS) >= 394
    assert {f.parent.name for f in FOLDERS} >= {"refuse", "rules", "power", "quantities", "live", "energy", "apportion", "demand",
                                               "accuracy", "expected", "phase_test", "trace", "proof"}
