"""Sites there and back, drafts, views, histories."""

import copy
import gc
import json
import pickle
from datetime import datetime, timedelta, timezone
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

import blondel
from blondel import Draft, Site, When

UTC = timezone.utc
MARCH = datetime(2026, 3, 1, tzinfo=UTC)
JUNE = datetime(2026, 6, 1, tzinfo=UTC)


def test_round_trip_of_the_examples(one_panel, mill, mill_mistakes):
    for site in (one_panel, mill, mill_mistakes):
        for style in ("readable", "canonical"):
            assert Site.read(site.json(style)) == site
            assert Site.read(site.json(style).encode()).digest() == site.digest()
        assert json.loads(site.json("readable")) == json.loads(site.json("canonical"))


def test_ids_kinds_find(one_panel):
    assert one_panel.kinds["circuit"] == len(one_panel.ids("circuit"))
    for i, id in enumerate(one_panel.ids("circuits")):
        assert one_panel.find("circuit", id) == i
    assert one_panel.find("circuit", "nothing") == -1


def test_view_reads_every_type():
    draft = Draft()
    draft.set("site", "", "name", "Mill")
    draft.add("circuit", "C", name="Lights", spaces=[1, 3], breaker_amps=20, neutral=True, role="common")
    draft.add("ct_type", "T", primary_amps=100, secondary=5)
    draft.add("ct", "K", type="T", passes={"C:1": 2})
    draft.add("channel", "D-1", cts={"K": -1}, multiplier=Fraction(1, 2))
    draft.add("point", "P", circuits=["C"], elements={"D-1": Fraction(2, 3)})
    draft.add("evidence", "E", at=MARCH, value=2.5)
    view = draft.freeze().view()
    assert view.record.name == "Mill"
    c = view.circuit["C"]
    assert (c.name, c.spaces, c.breaker_amps, c.neutral, c.role) == ("Lights", (1, 3), 20.0, True, "common")
    assert c.load is None
    assert view.ct_type["T"].primary_amps == 100
    assert view.ct["K"].type == "T"
    assert view.ct["K"].passes == {"C:1": Fraction(2)}
    assert view.channel["D-1"].cts == {"K": Fraction(-1)}
    assert view.channel["D-1"].multiplier == Fraction(1, 2)
    assert view.point["P"].circuits == ("C",)
    assert view.point["P"].elements == {"D-1": Fraction(2, 3)}
    assert view.evidence["E"].at == MARCH
    assert view.evidence["E"].value == 2.5
    assert c.as_dict() == {"name": "Lights", "spaces": (1, 3), "breaker_amps": 20.0, "neutral": True, "role": "common"}
    assert json.loads(c.json("spaces")) == [1, 3]
    assert c.json("load") is None


def test_view_is_a_mapping(one_panel):
    view = one_panel.view()
    assert list(view.circuit) == list(one_panel.ids("circuit"))
    assert "P-1" in view["circuits"]
    assert "nothing" not in view.circuit
    with pytest.raises(KeyError):
        view.circuit["nothing"]
    with pytest.raises(AttributeError):
        _ = view.transformer
    with pytest.raises(blondel.UnknownNameError):
        view["transformers"]
    with pytest.raises(AttributeError):
        view.circuit["P-1"].breaker_amps = 3
    assert view.circuit["P-1"] == one_panel.view().circuit["P-1"]
    assert view.circuit["P-1"] != view.circuit["P-2"]
    assert {"circuit", "channel"} <= set(dir(view))


def test_attributes_carry_the_words_of_the_table(one_panel):
    circuit = type(one_panel.view().circuit["P-1"])
    assert "overcurrent" in circuit.breaker_amps.__doc__
    assert "in A" in circuit.breaker_amps.__doc__
    for kind in blondel.kinds():
        assert blondel.fields(kind)


def test_dated_facts():
    draft = Draft().add("circuit", "C")
    draft.set("circuit", "C", "breaker_amps", 20.0)
    draft.set("circuit", "C", "breaker_amps", 30.0, when=When(from_=JUNE, recorded_at=JUNE, reason="exchanged"))
    site = draft.freeze()
    assert site.view(MARCH).circuit["C"].breaker_amps == 20.0
    assert site.view(JUNE).circuit["C"].breaker_amps == 30.0
    assert site.view(JUNE, known=MARCH).circuit["C"].breaker_amps == 20.0
    assert site.view().circuit["C"].breaker_amps == 30.0
    first, second = site.history("circuit", "C", "breaker_amps")
    assert (first.value, first.from_, first.reason) == (20, None, "")
    assert (second.value, second.from_, second.to, second.recorded_at, second.reason) == (
        30, JUNE, None, JUNE, "exchanged")
    assert Site.read(site.json()) == site
    draft.clear("circuit", "C", "breaker_amps")
    assert draft.freeze().view().circuit["C"].breaker_amps is None
    assert draft.freeze().history("circuit", "C", "breaker_amps") == ()


def test_other_time_zones_are_the_same_instant():
    draft = Draft().add("circuit", "C")
    east = JUNE.astimezone(timezone(timedelta(hours=9)))
    draft.set("circuit", "C", "breaker_amps", 30.0, when=When(from_=east))
    site = draft.freeze()
    assert site.history("circuit", "C", "breaker_amps")[0].from_ == JUNE
    with pytest.raises(blondel.Error):
        draft.set("circuit", "C", "breaker_amps", 30.0, when=When(from_=datetime(2026, 1, 1)))


def test_ext_is_kept():
    draft = Draft().add("circuit", "C").ext("circuit", "C", {"ours": [1, {"a": None}]})
    draft.ext("site", "", {"sheet": "E-101"})
    data = json.loads(draft.freeze().json())
    assert data["circuits"]["C"]["ext"] == {"ours": [1, {"a": None}]}
    assert data["ext"] == {"sheet": "E-101"}
    draft.ext("circuit", "C", None)
    assert "ext" not in json.loads(draft.freeze().json())["circuits"]["C"]


def test_difference_is_a_patch(one_panel, mill, mill_mistakes):
    for before, after in ((mill, mill_mistakes), (mill_mistakes, mill), (one_panel, mill)):
        patch = before.difference(after)
        assert patch
        assert before.draft().patch(patch).freeze() == after
    assert mill.difference(mill) == []


def test_patch_as_text_and_list(one_panel):
    patch = [
        {"op": "test", "path": "/circuits/P-1/breaker_amps", "value": 60},
        {"op": "replace", "path": "/circuits/P-1/breaker_amps", "value": 40},
    ]
    one = one_panel.draft().patch(patch).freeze()
    assert one == one_panel.draft().patch(json.dumps(patch)).freeze() == one_panel.draft().patch(
        json.dumps(patch).encode()).freeze()
    assert one.view().circuit["P-1"].breaker_amps == 40
    assert one_panel.view().circuit["P-1"].breaker_amps == 60


def test_draft_of_a_site_leaves_the_site_alone(one_panel):
    digest = one_panel.digest()
    draft = one_panel.draft().remove("circuit", "P-1")
    assert "P-1" not in draft.freeze().ids("circuit")
    assert one_panel.digest() == digest
    assert Draft.read(one_panel.json()).freeze() == one_panel


def test_save_and_from_file(tmp_path, one_panel):
    path = tmp_path / "site.json"
    one_panel.save(path)
    assert Site.from_file(path) == one_panel
    assert [p.name for p in tmp_path.iterdir()] == ["site.json"]


def test_pickle_copy_hash(one_panel):
    copied = pickle.loads(pickle.dumps(one_panel))
    assert copied == one_panel
    assert hash(copied) == hash(one_panel)
    assert copy.deepcopy(one_panel) == one_panel
    assert one_panel != "site"


def test_what_was_made_keeps_alive_what_it_was_made_from():
    draft = Draft().add("circuit", "C", name="Lights")
    entity = draft.freeze().view().circuit["C"]
    del draft
    gc.collect()
    assert entity.name == "Lights"
    collection = Site.read('{"blondel":"1","circuits":{"A":{"name":"a"},"B":{}}}').view().circuit
    gc.collect()
    assert [e.name for e in collection.values()] == ["a", None]
    report = blondel.check(Site.read('{"blondel":"1","circuits":{"A":{"panel":"none"}}}').view())
    findings = list(report)
    del report
    gc.collect()
    assert all(f.text() for f in findings)


def test_schema_is_the_one_of_the_documentation(root):
    assert blondel.schema() == json.loads((root / "docs/schema/site.schema.json").read_text())


# ---- drafts of any content read back as they were

ids = st.text("ABCDEFabcdef0123456789._-", min_size=1, max_size=12)
texts = st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\0"), max_size=20)
ratios = st.fractions(min_value=-100, max_value=100, max_denominator=1000).filter(lambda f: f != 0)


def value_of(row):
    low, high = row.range or (-1e15, 1e15)
    if row.type in ("text",):
        return texts
    if row.type == "ref":
        return ids
    if row.type == "choice":
        return st.sampled_from([word for word, _ in row.choices])
    if row.type == "boolean":
        return st.booleans()
    if row.type == "integer":
        return st.integers(int(low), int(high))
    if row.type == "real":
        return st.floats(low, high, allow_nan=False, allow_infinity=False)
    if row.type == "rational":
        return ratios
    if row.type == "instant":
        return st.integers(-(10**15), 10**16).map(blondel.to_datetime)
    if row.type == "integers":
        return st.lists(st.integers(int(low), int(high)), max_size=4).map(tuple)
    if row.type == "texts":
        return st.lists(texts, max_size=4).map(tuple)
    if row.type == "refs":
        return st.lists(ids, max_size=4, unique=True).map(tuple)
    if row.type == "terms":
        return st.dictionaries(ids, ratios, max_size=4)
    if row.type == "passes":
        return st.dictionaries(ids, st.integers(-100, 100).filter(bool).map(Fraction), max_size=4)
    raise AssertionError(row.type)


@st.composite
def entity_fields(draw):
    kind = draw(st.sampled_from([k for k in blondel.kinds() if k != "site"]))
    rows = blondel.fields(kind)
    chosen = draw(st.lists(st.sampled_from(sorted(rows)), unique=True, max_size=6))
    return kind, draw(ids), {name: draw(value_of(rows[name])) for name in chosen}


def apply(draft, kind, id, values):
    """Sets what the field's grammar takes; gives back what was taken."""
    taken = {}
    for name, value in values.items():
        try:
            draft.set(kind, id, name, value)
        except blondel.FieldValueError:
            continue  # texts and passes with a grammar of their own: refused, and nothing changed
        taken[name] = value
    return taken


@given(st.lists(entity_fields(), max_size=5, unique_by=lambda e: (e[0], e[1])))
def test_what_is_set_is_read_back(entities):
    draft = Draft()
    expected = {}
    for kind, id, values in entities:
        draft.add(kind, id)
        expected[kind, id] = apply(draft, kind, id, values)
    site = draft.freeze()
    again = Site.read(site.json())
    assert again == site
    assert again.digest() == Site.read(site.json("canonical")).digest() == site.digest()
    view = again.view()
    for (kind, id), values in expected.items():
        assert view[kind][id].as_dict() == values


@given(st.lists(entity_fields(), max_size=4, unique_by=lambda e: (e[0], e[1])),
       st.lists(entity_fields(), max_size=4, unique_by=lambda e: (e[0], e[1])))
def test_difference_of_any_two_sites(one, other):
    sites = []
    for entities in (one, other):
        draft = Draft()
        for kind, id, values in entities:
            draft.add(kind, id)
            apply(draft, kind, id, values)
        sites.append(draft.freeze())
    before, after = sites
    assert before.draft().patch(before.difference(after)).freeze() == after


@given(st.text(max_size=200))
def test_any_text_reads_or_raises_our_error(text):
    try:
        Site.read(text)
    except blondel.Error as e:
        assert e.status in blondel.errors.by_status


@given(st.binary(max_size=200))
def test_any_bytes_read_or_raise_our_error(data):
    try:
        Site.read(b'{"blondel":"1",' + data)
    except blondel.Error as e:
        assert e.status in blondel.errors.by_status
