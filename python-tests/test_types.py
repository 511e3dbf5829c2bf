"""Type stubs: current, and checked."""

import importlib.util
import subprocess
import sys
from pathlib import Path

import pytest

import blondel

USE = """
from fractions import Fraction
import blondel

site = blondel.Site.read("{}")
view = site.view()
amps: float | None = view.circuit["C"].breaker_amps
terms: dict[str, Fraction] | None = view.point["P"].elements
exact: bool = blondel.Form.of_point(view, "P").exact
titles: list[str] = [f.title() for f in blondel.check(view)]
"""


def test_stub_of_the_entities_is_current(root):
    spec = importlib.util.spec_from_file_location("stubs", root / "bindings/python/stubs.py")
    stubs = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(stubs)
    assert (root / "bindings/python/blondel/_view.pyi").read_text() == stubs.text()


def test_package_says_that_it_is_typed():
    assert (Path(blondel.__file__).parent / "py.typed").exists()


def mypy(*arguments, cwd):
    return subprocess.run([sys.executable, "-m", "mypy", "--no-error-summary", "--cache-dir", str(cwd / "cache"),
                           *arguments], capture_output=True, text=True, cwd=cwd)


def test_types_hold(tmp_path):
    pytest.importorskip("mypy")
    use = tmp_path / "use.py"
    use.write_text(USE)
    done = mypy("--strict", "--ignore-missing-imports", str(use), cwd=tmp_path)
    assert done.stdout == ""
    use.write_text(USE + 'wrong: str = view.circuit["C"].breaker_amps\nview.circuit["C"].colour\n')
    done = mypy("--strict", "--ignore-missing-imports", str(use), cwd=tmp_path)
    assert 'incompatible type' in done.stdout or "Incompatible types" in done.stdout
    assert '"colour"' in done.stdout
