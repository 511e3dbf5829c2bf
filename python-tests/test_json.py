"""The canonical form and patches of any JSON text."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

import blondel

scalars = st.none() | st.booleans() | st.integers(-(2**53), 2**53) | st.text(st.characters(exclude_categories=("Cs",)), max_size=8)
trees = st.recursive(scalars, lambda t: st.lists(t, max_size=4) | st.dictionaries(
    st.text("abcdefg", max_size=4), t, max_size=4), max_leaves=12)


@given(trees)
def test_canonical_keeps_the_content(tree):
    # RFC 8785 writes ASCII keys in the order of code points, without spaces.
    expected = json.dumps(tree, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    text = json.dumps(tree, indent=3)
    if "\\u0000" in text:
        with pytest.raises(blondel.EncodingError):
            blondel.json_canonical(text)
        return
    assert json.loads(blondel.json_canonical(text)) == tree
    # DEL and the like are written raw by both; only the escapes of control characters could differ in case.
    assert blondel.json_canonical(text) == expected


def test_patch_of_any_document():
    document = '{"b":1.50,"a":[1,2]}'
    patch = '[{"op":"add","path":"/a/-","value":3}]'
    assert blondel.json_patch(document, patch) == '{"b":1.50,"a":[1,2,3]}'
    with pytest.raises(blondel.PatchTestError):
        blondel.json_patch(document, '[{"op":"test","path":"/b","value":2}]')
    with pytest.raises(blondel.PatchError) as caught:
        blondel.json_patch(document, '[{"op":"remove","path":"/c"}]')
    assert caught.value.pointer == "/0/path"
    with pytest.raises(blondel.GrammarError) as caught:
        blondel.json_patch(document, "[")
    assert caught.value.subject == "patch"


def test_a_patch_may_not_grow_the_document_beyond_the_limit():
    doubling = json.dumps([{"op": "copy", "from": "/a", "path": f"/a/{i}"} for i in range(30)])
    with pytest.raises(blondel.SizeError):
        blondel.json_patch('{"a":{}}', doubling, max_bytes=100000)
