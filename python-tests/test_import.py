"""What an import costs, and what it brings along."""

import subprocess
import sys


def run(code):
    return subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True).stdout.strip()


def test_import_leaves_numpy_and_pandas_alone():
    out = run("import sys, blondel; print([m for m in ('numpy', 'pandas', 'pyarrow') if m in sys.modules])")
    assert out == "[]"


def test_reading_and_checking_needs_no_numpy(root):
    code = (
        "import sys; sys.modules['numpy'] = None; sys.modules['pandas'] = None\n"
        "import blondel\n"
        f"site = blondel.Site.from_file({str(root / 'examples/one-panel/site.json')!r})\n"
        "print(len(site.view().circuit), len(blondel.check(site.view())) >= 0)"
    )
    assert run(code).endswith("True")


def test_import_is_quick():
    """The aim is 50 ms; the bound here is loose, for a machine that is busy with other things."""
    code = "import time; t = time.perf_counter(); import blondel; print(time.perf_counter() - t)"
    assert min(float(run(code)) for _ in range(5)) < 0.5


def test_version_of_header_and_library_agree():
    import blondel
    from blondel import _blondel

    assert _blondel.version_number() == _blondel.header_version_number
    assert _blondel.abi_number() == _blondel.header_abi_number
    assert blondel.__version__ == _blondel.header_version_text


def test_extension_exports_nothing_but_its_init():
    """A second copy of the library in the same process must never meet this one."""
    import ctypes
    import re
    from pathlib import Path

    import blondel._blondel as extension

    library = ctypes.CDLL(extension.__file__)
    header = Path(__file__).resolve().parent.parent / "include/blondel/blondel.h"
    names = set(re.findall(r"\b(bln_\w+)\(", header.read_text()))
    assert len(names) > 50
    assert [name for name in sorted(names) if hasattr(library, name)] == []
    assert hasattr(library, "PyInit__blondel")
