"""python -m blondel audit"""

import subprocess
import sys

import pytest

import blondel
from blondel.__main__ import main


def test_right_site(root, capsys):
    assert main(["audit", str(root / "examples/one-panel/site.json")]) == 0
    out = capsys.readouterr().out
    assert out.startswith("Two shops: 0 findings")


def test_mistakes_are_told_panel_by_panel(root, capsys, mill_mistakes):
    assert main(["audit", str(root / "examples/harbour-mill/site-mistakes.json")]) == 1
    out = capsys.readouterr().out
    assert max(map(len, out.splitlines())) <= 100
    report = blondel.check(mill_mistakes.view())
    flat = " ".join(out.split())
    for finding in report:
        if finding.severity == "error":
            assert " ".join(finding.text().split()) in flat
    told = [line.split()[1].rstrip(",") for line in out.splitlines() if line.startswith("PANEL ")]
    order = list(mill_mistakes.view().panel)
    assert told == sorted(told, key=order.index)
    assert told
    assert "licensed practice" in flat


def test_readings(root, capsys):
    mill = root / "examples/harbour-mill"
    assert main(["audit", str(mill / "site.json"), "--readings", str(mill / "readings.csv")]) == 1
    assert "wired otherwise" in capsys.readouterr().out


def test_intervals(tmp_path, one_panel, root, capsys):
    rows = ["channel,start,net_p"]
    for i, channel in enumerate(one_panel.ids("channel")):
        rows += [f"{channel},2026-03-01T00:{m:02}:00Z,{100 * (i + 1)}" for m in (0, 15, 30, 45)]
    path = tmp_path / "intervals.csv"
    path.write_text("\n".join(rows) + "\n")
    site = str(root / "examples/one-panel/site.json")
    assert main(["audit", site, "--intervals", str(path), "--wh-per-count", "1/10"]) in (0, 1)
    out = capsys.readouterr().out
    assert "ENERGY" in out
    for point in one_panel.ids("point"):
        assert point in out
    with pytest.raises(SystemExit):
        main(["audit", site, "--intervals", str(path)])


def test_what_cannot_be_carried_out(root, tmp_path, capsys):
    assert main(["audit", str(tmp_path / "none.json")]) == 2
    cut = tmp_path / "cut.json"
    cut.write_text((root / "examples/one-panel/site.json").read_text()[:500])
    assert main(["audit", str(cut)]) == 2
    assert "line" in capsys.readouterr().err


def test_as_a_module(root):
    done = subprocess.run([sys.executable, "-m", "blondel", "--version"], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == f"blondel {blondel.__version__}"
