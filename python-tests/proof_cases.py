"""Runs one folder of tests/cases/proof; tests/cases/README.md describes the form."""

import blondel

POINT = ("verdict", "first", "also", "record_first", "set_at_most", "listed", "mentions")


def only(data, required, optional=()):
    assert isinstance(data, dict)
    assert set(required) <= data.keys() <= set(required) | set(optional)


def run(folder, case):
    only(case, {"job", "about", "origin", "expect"}, {"tests", "policy"})
    only(case["origin"], {"kind", "where"})
    assert case["origin"]["kind"] in ("standard", "published", "derivation", "hand") and case["origin"]["where"]
    only(case["expect"], {"points"})
    policy = blondel.Policy("proof")
    for key, value in case.get("policy", {}).items():
        policy[key] = value
    site = blondel.Site.from_file(folder / "site.json")
    readings = blondel.Readings.from_file(folder / "readings.csv")
    tests = [blondel.Test(**t) for t in case["tests"]] if "tests" in case else None
    proof = blondel.prove(site, readings, tests, policy=policy)
    assert {p.point for p in proof.points} == set(case["expect"]["points"])
    for id, wanted in case["expect"]["points"].items():
        compare(proof[id], wanted)


def compare(point, wanted):
    only(wanted, {"verdict"}, POINT)
    said = [[m.words for m in c.members] for c in point.classes]
    story = f"{point.point}: {point.verdict} {point.probability:.4g} {said[:3]} {point.not_excluded[:4]} {point.evidence}"
    assert point.verdict in wanted["verdict"], story
    first = said[0] if said else []
    if "first" in wanted:
        assert wanted["first"] in first, story
    for words in wanted.get("also", ()):
        assert words in first, story
    if "record_first" in wanted:
        assert (bool(point.classes) and point.classes[0].is_record) == wanted["record_first"], story
    if "set_at_most" in wanted:
        assert len(said) <= wanted["set_at_most"], story
    for words in wanted.get("listed", ()):
        assert any(words in c for c in said), story
    for words in wanted.get("mentions", ()):
        assert any(words in m for c in said for m in c) or any(words in t for t in point.not_excluded), story
    if point.verdict == "proven":
        assert said and point.classes[0].is_record, story
