"""What all tests share: where things are, and the sites of the examples."""

from pathlib import Path

import pytest
from hypothesis import settings

import blondel

ROOT = Path(__file__).resolve().parent.parent

# The same examples on every run: a failure that cannot be repeated helps nobody.
settings.register_profile("repeatable", derandomize=True, deadline=None, max_examples=60)
settings.load_profile("repeatable")


@pytest.fixture(scope="session")
def root():
    return ROOT


@pytest.fixture(scope="session")
def one_panel_text(root):
    return (root / "examples/one-panel/site.json").read_text()


@pytest.fixture(scope="session")
def one_panel(one_panel_text):
    return blondel.Site.read(one_panel_text)


@pytest.fixture(scope="session")
def mill(root):
    return blondel.Site.from_file(root / "examples/harbour-mill/site.json")


@pytest.fixture(scope="session")
def mill_mistakes(root):
    return blondel.Site.from_file(root / "examples/harbour-mill/site-mistakes.json")
