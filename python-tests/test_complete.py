"""Nothing of the C interface is out of Python's reach, unless it says why."""

import re

# name: reason
EXCEPTIONS = {
    "bln_site_keep": "Python's own reference count shares a site",
}


def functions(root):
    header = (root / "include/blondel/blondel.h").read_text()
    header = re.sub(r"/\*.*?\*/", "", header, flags=re.S)
    return set(re.findall(r"\b(bln_\w+)\s*\(", header)) - {"bln_progress"}


def sources(root):
    text = "".join(p.read_text() for p in sorted((root / "bindings/python/src").glob("*.[ch]pp")))
    return set(re.findall(r"\bbln_\w+\b", re.sub(r"//.*", "", text)))


def test_every_function_is_used_or_excepted(root):
    missing = functions(root) - sources(root) - EXCEPTIONS.keys()
    assert sorted(missing) == []


def test_exceptions_are_functions_and_are_not_used(root):
    assert EXCEPTIONS.keys() <= functions(root)
    assert sorted(EXCEPTIONS.keys() & sources(root)) == []


def test_binding_never_includes_the_core(root):
    for path in (root / "bindings/python/src").glob("*.[ch]pp"):
        for name in re.findall(r'#include "([^"]+)"', path.read_text()):
            assert name == "blondel/blondel.h" or "/" not in name, f"{path.name} includes {name}"


def test_statuses_of_the_header_have_one_class_each(root):
    import blondel
    from blondel import _blondel

    header = (root / "include/blondel/blondel.h").read_text()
    stated = {int(n): name for name, n in re.findall(r"\bBLN_E_(\w+)\s*=\s*(\d+)", header)}
    assert len(stated) > 20
    assert stated.keys() == blondel.errors.by_status.keys()
    assert len(set(blondel.errors.by_status.values())) == len(stated)
    for number, name in stated.items():
        kind = blondel.errors.by_status[number]
        assert issubclass(kind, blondel.Error)
        assert kind.code == number
        assert issubclass(kind, (ValueError, LookupError, RuntimeError, MemoryError, OverflowError))
        assert _blondel.status_name(number) == name.lower()
        assert getattr(blondel, kind.__name__) is kind
