"""Every status that bad input can reach, as its own class with its place."""

import pickle
from datetime import datetime, timezone

import pytest

import blondel

S = '{"blondel":"1",%s}'


def fresh():
    return blondel.Draft().add("circuit", "C1", breaker_amps=20.0)


CASES = [
    # class, call
    (blondel.RangeError, lambda: fresh().freeze().json("pretty")),
    (blondel.RangeError, lambda: blondel.Policy("weather")),
    (blondel.UnknownNameError, lambda: fresh().add("transformer", "T1")),
    (blondel.UnknownNameError, lambda: blondel.Policy("check")["no_such_key"]),
    (blondel.GrammarError, lambda: blondel.Site.read('{"blondel":"1"')),
    (blondel.EncodingError, lambda: blondel.Site.read(b'{"blondel":"1","name":"\xff"}')),
    (blondel.EncodingError, lambda: blondel.Site.read('{"blondel":"1","name":"\ud800"}')),
    (blondel.EncodingError, lambda: fresh().set("circuit", "C1", "name", "a\0b")),
    (blondel.DepthError, lambda: blondel.Site.read(S % ('"ext":{"a":' + "[" * 200 + "]" * 200 + "}"))),
    (blondel.DepthError, lambda: blondel.Site.read(S % '"ext":{"a":[[[]]]}', max_depth=3)),
    (blondel.SizeError, lambda: blondel.Site.read(S % '"name":"a long name"', max_bytes=10)),
    (blondel.DuplicateError, lambda: blondel.Site.read(S % '"circuits":{"C1":{},"C1":{}}')),
    (blondel.FormatError, lambda: blondel.Site.read('{"blondel":"99"}')),
    (blondel.FieldTypeError, lambda: blondel.Site.read(S % '"circuits":{"C1":{"breaker_amps":true}}')),
    (blondel.FieldTypeError, lambda: fresh().set("circuit", "C1", "breaker_amps", "many")),
    (blondel.FieldTypeError, lambda: fresh().set("circuit", "C1", "breaker_amps", True)),
    (blondel.FieldTypeError, lambda: fresh().set("circuit", "C1", "neutral", 1)),
    (blondel.FieldTypeError, lambda: fresh().set("circuit", "C1", "spaces", 3)),
    (blondel.FieldTypeError, lambda: fresh().set("circuit", "C1", "spaces", [1.0])),
    (blondel.FieldTypeError, lambda: fresh().set("circuit", "C1", "name", 3)),
    (blondel.FieldTypeError, lambda: fresh().set("circuit", "C1", "name", None)),
    (blondel.UnitError, lambda: blondel.Site.read(S % '"circuits":{"C1":{"breaker_milliamps":20000}}')),
    (blondel.UnitError, lambda: blondel.Site.read(S % '"circuits":{"C1":{"breaker_amps":"20 A"}}')),
    (blondel.UnknownFieldError, lambda: blondel.Site.read(S % '"circuits":{"C1":{"colour":"red"}}')),
    (blondel.UnknownFieldError, lambda: fresh().set("circuit", "C1", "colour", "red")),
    (blondel.UnknownFieldError, lambda: fresh().freeze().view().get("circuit", "C1", "colour")),
    (blondel.FieldValueError, lambda: fresh().set("circuit", "C1", "role", "king")),
    (blondel.FieldValueError, lambda: fresh().set("circuit", "C1", "breaker_amps", 1e9)),
    (blondel.FieldValueError, lambda: fresh().add("circuit", "no spaces in ids")),
    (blondel.FieldValueError, lambda: blondel.instant("yesterday")),
    (blondel.FieldValueError, lambda: blondel.instant(datetime(2026, 3, 1))),
    (blondel.FieldValueError, lambda: fresh().freeze().view(datetime(2026, 3, 1))),
    (blondel.ExistsError, lambda: fresh().add("circuit", "C1")),
    (blondel.NoEntityError, lambda: fresh().remove("circuit", "C2")),
    (blondel.NoEntityError, lambda: fresh().set("circuit", "C2", "name", "x")),
    (blondel.PatchError, lambda: fresh().patch([{"op": "remove", "path": "/circuits/C9"}])),
    (
        blondel.PatchTestError,
        lambda: fresh().patch([{"op": "test", "path": "/circuits/C1/breaker_amps", "value": 30}]),
    ),
    (blondel.ExactOverflowError, lambda: fresh().set("circuit", "C1", "spaces", [2**64])),
    (blondel.NotFiniteError, lambda: fresh().set("circuit", "C1", "breaker_amps", float("nan"))),
    (blondel.NotFiniteError, lambda: fresh().set("circuit", "C1", "breaker_amps", float("inf"))),
]


@pytest.mark.parametrize("number", range(len(CASES)))
def test_class_of_the_status(number):
    kind, call = CASES[number]
    with pytest.raises(blondel.Error) as caught:
        call()
    assert type(caught.value) is kind, repr(caught.value)
    assert caught.value.status == kind.code
    assert caught.value.message


def test_place_in_the_text():
    text = '{\n  "blondel": "1",\n  "circuits": {\n    "C1": {"colour": "red"}\n  }\n}'
    with pytest.raises(blondel.UnknownFieldError) as caught:
        blondel.Site.read(text)
    e = caught.value
    assert (e.name, e.subject, e.pointer, e.line) == ("field", "C1", "/circuits/C1/colour", 4)
    assert text.encode()[e.byte :].startswith((b'"colour"', b'"red"'))
    assert e.column == e.byte - text.encode().rindex(b"\n", 0, e.byte)
    assert "C1" in str(e) or "colour" in str(e)


def test_all_field_errors_of_a_text_are_listed():
    with pytest.raises(blondel.Error) as caught:
        blondel.Site.read(S % '"circuits":{"C1":{"colour":"red"},"C2":{"breaker_amps":true},"C3":{"role":"king"}}')
    assert [(i.status, i.subject) for i in caught.value.items] == [(308, "C1"), (300, "C2"), (312, "C3")]
    assert "2 more" in str(caught.value)


def test_a_failed_call_changes_nothing():
    draft = fresh()
    before = draft.freeze()
    for call in (
        lambda: draft.set("circuit", "C1", "breaker_amps", -5.0),
        lambda: draft.add("circuit", "C9", name="ok", role="king"),
        lambda: draft.patch([{"op": "remove", "path": "/circuits/C1"}, {"op": "remove", "path": "/circuits/C9"}]),
        lambda: draft.ext("circuit", "C1", "[not an object]"),
    ):
        with pytest.raises(blondel.Error):
            call()
        assert draft.freeze() == before


def test_errors_survive_pickling():
    with pytest.raises(blondel.Error) as caught:
        blondel.Site.read(S % '"circuits":{"C1":{"colour":"red"}}')
    copy = pickle.loads(pickle.dumps(caught.value))
    assert type(copy) is type(caught.value)
    assert (copy.pointer, copy.line, copy.message) == (
        caught.value.pointer, caught.value.line, caught.value.message)


def test_an_unknown_status_is_the_base_class():
    e = blondel.errors.from_items([(399, "from the future", "", "", 0, 0, 0)])
    assert type(e) is blondel.Error
    assert e.status == 399


def test_not_text_at_all():
    for source in (None, 3, ["{}"]):
        with pytest.raises(blondel.FieldTypeError):
            blondel.Site.read(source)


def test_aware_datetimes_are_instants():
    at = datetime(2026, 3, 1, tzinfo=timezone.utc)
    assert blondel.instant(at) == blondel.instant("2026-03-01T00:00:00Z") == 1772323200000000
    assert blondel.to_datetime(1772323200000000) == at
    assert blondel.instant_text(at) == "2026-03-01T00:00:00Z"
