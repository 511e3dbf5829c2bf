"""Findings with their texts, policies, catalogues."""

import json

import pytest

import blondel

SPOILT = [
    # The heater's one CT reads against neutral, so half its energy depends on the other leg.
    {"op": "replace", "path": "/channels/M-7/cts", "value": {"P-6.C": 1}},
]


@pytest.fixture(scope="module")
def report(one_panel):
    return blondel.check(one_panel.draft().patch(SPOILT).freeze().view())


def test_correct_site_has_no_errors(one_panel, mill):
    for site in (one_panel, mill):
        assert [f for f in blondel.check(site.view()) if f.severity == "error"] == []


def test_findings_are_typed(report):
    assert len(report) > 0
    for f in report:
        assert f.severity in ("error", "warning", "note")
        assert f.verdict in ("wrong", "undecided", "not_checked", "right")
        assert f.code and f.code == f.code.lower()
        assert f.subjects and all(s.kind in blondel.kinds() for s in f.subjects)
        assert f.identity.startswith(f.code + "|")
        assert f.title() and f.text() and f.action()
        assert "{" not in f.text() + f.title() + f.action()
    errors = [f for f in report if f.severity == "error"]
    assert errors and list(report)[: len(errors)] == errors


def test_report_as_json(report):
    data = report.as_dict()
    assert data == json.loads(report.json())
    assert len(data["findings"]) == len(report)


def test_same_record_same_identities(one_panel, report):
    again = blondel.check(one_panel.draft().patch(SPOILT).freeze().view())
    assert again.identities() == report.identities()
    assert list(again) == list(report)
    assert report.identities() != blondel.check(one_panel.view()).identities()


def test_translated_catalogue(report):
    english = blondel.Catalogue.english()
    text = json.dumps(english)
    assert report[0].code in text

    def shout(node):
        if isinstance(node, dict):
            return {k: v if k == "code" else shout(v) for k, v in node.items()}
        if isinstance(node, list):
            return [shout(v) for v in node]
        return "Achtung: " + node if isinstance(node, str) else node

    translated = {k: v if isinstance(v, str) else shout(v) for k, v in english.items()}
    german = blondel.Catalogue(translated)
    assert report[0].title(german).startswith("Achtung: ")
    assert report[0].title() == report[0].title(german).removeprefix("Achtung: ")


def test_catalogue_refuses_nonsense():
    for text in ("", "[]", '{"a":'):
        with pytest.raises(blondel.Error):
            blondel.Catalogue(text)


def test_policy_keys_and_values():
    for domain in ("check", "live", "energy"):
        policy = blondel.Policy(domain)
        assert policy.keys
        for key in policy.keys:
            assert policy[key.key] == key.initial
            assert key.low <= key.initial <= key.high
            assert key.doc and key.source
            policy[key.key] = key.high
            assert policy[key.key] == key.high
            with pytest.raises(blondel.Error):
                policy[key.key] = float("nan")
            if key.high < 1e300:
                with pytest.raises(blondel.FieldValueError):
                    policy[key.key] = key.high * 2 + 1
            assert policy[key.key] == key.high


def test_policy_is_read_whole_or_not_at_all():
    policy = blondel.Policy("check")
    key = policy.keys[0]
    with pytest.raises(blondel.Error):
        policy.read({key.key: key.high, "no_such_key": 1})
    assert policy[key.key] == key.initial
    policy.read({key.key: key.high})
    assert policy[key.key] == key.high
    assert blondel.Policy("check", **{key.key: key.high})[key.key] == key.high


def test_policy_of_another_domain_is_refused(one_panel):
    with pytest.raises(blondel.ArgumentError):
        blondel.check(one_panel.view(), blondel.Policy("energy"))
