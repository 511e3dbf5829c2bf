"""Differences, canonical files and digests against general-purpose libraries."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import pytest

blondel = pytest.importorskip("blondel")
jsonpatch = pytest.importorskip("jsonpatch")

DEMO = Path(__file__).resolve().parent.parent / "examples/harbour-mill"


def test_another_implementation_of_rfc_6902_gets_the_same_record_from_a_difference() -> None:
    right = blondel.Site.from_file(DEMO / "site.json")
    wrong = blondel.Site.from_file(DEMO / "site-mistakes.json")
    patch = right.difference(wrong)
    assert patch
    patched = jsonpatch.apply_patch(json.loads(right.json()), patch)
    assert patched == json.loads(wrong.json())
    assert blondel.Site.read(json.dumps(patched)).digest() == wrong.digest()


def test_a_difference_of_another_implementation_is_a_patch_for_a_draft() -> None:
    right = blondel.Site.from_file(DEMO / "site.json")
    wrong = blondel.Site.from_file(DEMO / "site-mistakes.json")
    patch = jsonpatch.make_patch(json.loads(wrong.json()), json.loads(right.json())).to_string()
    draft = wrong.draft()
    draft.patch(patch)
    assert draft.freeze().digest() == right.digest()


def test_the_digest_is_sha_256_of_the_canonical_file() -> None:
    site = blondel.Site.from_file(DEMO / "site.json")
    canonical = site.json("canonical")
    assert hashlib.sha256(canonical.encode()).hexdigest() == site.digest()
    # Python sorts by code points, which is the same order as long as no key goes beyond U+D7FF.
    assert canonical == json.dumps(json.loads(canonical), sort_keys=True, separators=(",", ":"), ensure_ascii=False)
