"""The example in Python runs as a user would run it."""

import pathlib
import re
import subprocess
import sys

EXAMPLES = pathlib.Path(__file__).resolve().parents[1] / "examples"


def audit(*arguments):
    done = subprocess.run([sys.executable, EXAMPLES / "audit.py", *arguments], capture_output=True, text=True, timeout=120)
    return done.returncode, done.stdout, done.stderr


def test_audit_of_the_demo_site(tmp_path):
    subprocess.run([sys.executable, EXAMPLES / "make_demo.py", "intervals", tmp_path], check=True)
    site = EXAMPLES / "harbour-mill"
    code, out, err = audit(site / "site.json", "--readings", site / "readings.csv", "--intervals",
                           tmp_path / "intervals.csv")
    assert (code, err) == (1, "")
    assert "  wrong: bakery, flat-7" in out
    assert "kWh, divided by floor area" in out
    assert re.search(r"Highest demand of main-wye: [1-9][\d.]* kW at 2026-\d\d-\d\d \d\d:\d\d E[SD]T, ", out)
    code, out, err = audit(site / "site-mistakes.json")
    assert (code, err) == (1, "")
    assert "Channel counted more than once" in out


def test_a_clean_site_and_one_that_cannot_be_read(tmp_path):
    assert audit(EXAMPLES / "one-panel" / "site.json")[0] == 0
    cut = tmp_path / "cut.json"
    cut.write_text('{"blondel": "1", "services": {')
    code, out, err = audit(cut)
    assert code == 2 and err
