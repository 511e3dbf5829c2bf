# SPDX-License-Identifier: Apache-2.0
"""Checking while editing, findings by identity, waivers, and limits of standards."""

import json

import blondel
import pytest

SITE = {
    "blondel": "1",
    "services": {"S": {"kind": "four_wire_wye", "volts_ln": 120, "volts_ll": 208}},
    "panels": {"P": {"service": "S", "spaces": 12}},
    "circuits": {"C": {"panel": "P", "spaces": [1], "breaker_amps": 60, "role": "premises"}},
    "ct_types": {"T": {"primary_amps": 60, "secondary": 5, "output": "amps", "accuracy_class": "0.5", "mark_faces": "source"}},
    "cts": {"X": {"type": "T", "passes": {"C": 1}, "mark_faces": "source"}},
    "devices": {"D": {"service": "S"}},
    "channels": {"K": {"device": "D", "input": 1, "cts": {"X": 1}, "reference": "A-N", "primary_amps": 60, "secondary": 5}},
    "premises": {"shop": {"occupancy": "tenant"}},
    "points": {"M": {"premises": "shop", "circuits": ["C"], "elements": {"K": 1}}},
}


def wrong(report):
    return sorted(f.identity for f in report if f.severity != "note")


def test_follows_edits():
    draft = blondel.Draft.read(json.dumps(SITE))
    recheck = blondel.Recheck(draft)
    assert wrong(recheck.report()) == []
    draft.set("circuit", "C", "breaker_amps", 80)
    changes = recheck.update()
    assert [f.identity for f in changes.appeared] == ["ct-smaller-than-breaker|circuit:C,ct:X|"]
    assert changes and recheck.reached < 12
    draft.set("circuit", "C", "breaker_amps", 90)
    changes = recheck.update()
    assert not len(changes.appeared) and not len(changes.gone)
    assert [f.fact("breaker") for f in changes.changed] == [90]
    draft.set("circuit", "C", "breaker_amps", 60)
    assert [f.code for f in recheck.update().gone] == ["ct-smaller-than-breaker"]
    assert not recheck.update()
    whole = blondel.check(draft.freeze().view())
    assert wrong(recheck.report()) == wrong(whole)
    assert recheck.report().as_dict()["coverage"] == whole.as_dict()["coverage"]


def test_waiver_is_visible():
    site = json.loads(json.dumps(SITE))
    site["circuits"]["C"]["breaker_amps"] = 80
    before = blondel.check(blondel.Site.read(json.dumps(site)).view())
    identity = wrong(before)[0]
    site["waivers"] = {"W": {"finding": identity, "reason": "load limited by contract", "by": "owner"}}
    after = blondel.check(blondel.Site.read(json.dumps(site)).view())
    waived = [f for f in after if f.waiver]
    assert [(f.identity, f.waiver, f.reason, f.severity) for f in waived] == [
        (identity, "W", "load limited by contract", "error")]
    changes = blondel.compare(before, after)
    assert [f.identity for f in changes.changed] == [identity]
    assert not len(changes.appeared) and not len(changes.gone)


def test_limits():
    all_of_them = blondel.limits()
    assert len({row.key for row in all_of_them}) == len(all_of_them) >= 60
    assert blondel.limit("2014-32-eu/B/Itr-Imax/+5..+30").high == 2
    assert not blondel.limit("2014-32-eu/B/Itr-Imax/+5..+30").from_memory
    assert blondel.limit("ansi-c84.1/208Y120/ll/A-service")[3:5] == (197, 218)
    with pytest.raises(blondel.errors.Error):
        blondel.limit("nothing")
    # 50 ft of 12 AWG and back, 75 degrees: 0.193 ohm by NEC table 8 (1.93 ohm/kft, uncoated copper).
    metres = 2 * 50 * 0.3048
    assert metres * blondel.copper_ohms_per_m(blondel.gauge_mm2("12"), 75) == pytest.approx(0.193, rel=0.15)
