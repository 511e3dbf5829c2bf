#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Runs the month program on the demo site and compares what it says with what the generator knows.

    check_month.py MONTH
"""

import pathlib
import re
import subprocess
import sys
import tempfile
import zoneinfo

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))
from demo import november, record  # noqa: E402

problems = []


def expect(true, message):
    if not true:
        problems.append(message)


def near(value, truth, percent):
    return abs(value - truth) <= abs(truth) * percent / 100


def section(text, title):
    found = re.search(rf"^{re.escape(title)}.*?(?=^[A-Z]{{3}}|\Z)", text, re.M | re.S)
    return found.group(0) if found else ""


def zone_file():
    for folder in zoneinfo.TZPATH:
        if (path := pathlib.Path(folder) / "America/New_York").is_file():
            return path
    return None


def main(month):
    zone = zone_file()
    if zone is None:
        print("skipped: this system has no zone database")
        return 0
    site = november.record(record.build())
    truth = {circuit: [wh / 1000 for wh in parts] for circuit, parts in november.truth(site).items()}
    with tempfile.TemporaryDirectory() as work:
        subprocess.run([sys.executable, HERE / "make_demo.py", "november", work], check=True)
        mill = HERE / "harbour-mill"
        done = subprocess.run([month, mill / "site-november.json", f"{work}/registers-november.csv",
                               f"{work}/map-november.json", zone, "of the system", mill / "tariff-november.json",
                               "2026-11"], capture_output=True, text=True, timeout=300)
    text = done.stdout
    expect(done.returncode == 0 and not done.stderr, f"ended with {done.returncode}\n{done.stderr}")
    expect(not [line for line in text.splitlines() if len(line) > 100], "lines of more than 100 columns")

    expect("721 hours, 2884 quarters of an hour" in text, "the month has not its 721 hours")
    expect("2026-11-01 had 25.0 hours" in text, "the end of daylight saving is not told")

    held = [float(x) for x in re.findall(r"^  .{10} \d.* to .* (-?\d+\.\d)(?:  1/4 h divided)?$",
                                         section(text, "WHO HELD WHAT"), re.M)]
    whole = re.search(r"as the point's row says +(-?[\d.]+)", text)
    expect(len(held) == 3 and whole, f"studio 2 has three holders, not {held}")
    if len(held) == 3 and whole:
        expect(round(sum(held), 1) == float(whole.group(1)), "the parts of studio 2 are not the whole")
        one, two, three, four = truth["R1-12"]
        for kwh, true in zip(held, (one, two + three, four)):
            expect(near(kwh, true, 3), f"studio 2: {kwh} kWh, and it was {true:.1f}")

    bills = re.findall(r"^  (?!together)(.{18})  (.{16})  .{6}  .{6} +(-?[\d.]+) +(-?[\d.]+) +(-?[\d.]+)$",
                       section(text, "WHO PAYS"), re.M)
    together = re.search(r"^  together +(-?[\d.]+) +(-?[\d.]+) +(-?[\d.]+)$", text, re.M)
    expect(len(bills) == 25 and together, f"{len(bills)} bills, not 25")
    if together:
        for k in range(3):
            total = round(sum(float(bill[2 + k]) for bill in bills), 1)
            expect(total == float(together.group(1 + k)), f"column {k} of the bills adds up to {total}")
    own = {(bill[0].strip(), bill[1].strip()): float(bill[2]) for bill in bills}
    # The CT of the charging post was exchanged: the coefficient of its channel changed within a quarter of an hour.
    expect(near(own.get(("Charging post", "account 1042"), 0), sum(truth["YD-2"]), 1.5), "the charging post is wrong")
    expect(near(own.get(("Joinery", "account 1031"), 0), sum(truth["WS-1"]), 1.5),
           "the register that passed its last count is wrong")
    expect(near(own.get(("Studio 1", "account 1021"), 0), sum(truth["R1-10"]), 1.5),
           "the register that was cleared is wrong")

    flat = re.sub(r"\s+", " ", text)
    for words in (r"channel H1-04 passed its last count at 2026-11-09T15:00:00Z", r"channel W2-11 was exchanged or reset at 2026-11-23T14:52:00Z",
                  r"channel W1-07 fell back by next to nothing at 2026-11-14T08:15:00Z", r"channel W1-15 went backwards between 2026-11-25T11:15:00Z",
                  r"channel W3-01 are missing between 2026-11-06T18:00:00Z", r"the record of point charging changed",
                  r"Point studio-2 was held by studio-2 \(account 1022\) until 2026-11-12T05:00:00Z"):
        expect(re.search(words, flat), f"it does not say: {words}")
    expect(text.count("agrees") >= 3 and "does not agree" not in text, "the mains do not agree with the sums")
    expect(re.search(r"main-wye +on-peak +\d+ h +[\d.]+ kWh +[\d.]+ kW at", text), "no demand on-peak of the main")
    for problem in problems:
        print(problem, file=sys.stderr)
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]) if len(sys.argv) == 2 else __doc__.strip())
