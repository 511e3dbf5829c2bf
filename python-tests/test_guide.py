"""The examples of the guide run and print what it says."""

import doctest
import re

import pytest


@pytest.mark.parametrize(("name", "least"), [("python", 40), ("calendars", 20), ("apportionment", 7), ("references", 8), ("allocation", 12), ("install-sheet", 10),
                                             ("expected-readings", 7), ("phase-test", 6), ("tracing", 13), ("negative-watt", 15)])
def test_guide(root, monkeypatch, name, least):
    monkeypatch.chdir(root)
    path = root / f"docs/guides/{name}.md"
    # The fences would be taken for output.
    text = re.sub(r"^```.*$", "", path.read_text(encoding="utf-8"), flags=re.M)
    test = doctest.DocTestParser().get_doctest(text, {}, path.name, str(path), 0)
    assert len(test.examples) > least
    said = []
    runner = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE | doctest.IGNORE_EXCEPTION_DETAIL)
    runner.run(test, out=said.append)
    assert said == [], "".join(said)


@pytest.mark.parametrize(("name", "least"), [("uncertainty", 5), ("rules", 6), ("quantities", 12), ("form", 14), ("faults", 12)])
def test_theory(root, name, least):
    path = root / f"docs/theory/{name}.md"
    result = doctest.testfile(str(path), module_relative=False, optionflags=doctest.ELLIPSIS)
    assert result.attempted >= least and result.failed == 0
