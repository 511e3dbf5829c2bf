#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Runs the audit programs on the demo site and compares what they say with what the generator knows.

    check_audit.py AUDIT AUDIT_CPP
"""

import csv
import pathlib
import re
import subprocess
import sys
import tempfile

HERE = pathlib.Path(__file__).resolve().parent
SITE = HERE / "harbour-mill"
problems = []


def expect(true, message):
    if not true:
        problems.append(message)


audit_cpp = sys.argv[2] if len(sys.argv) == 3 else None  # a short example: it does not fold its lines


def run(code, *arguments):
    done = subprocess.run([str(a) for a in arguments], capture_output=True, text=True, timeout=120)
    expect(done.returncode == code, f"{arguments}: ended with {done.returncode}, not {code}\n{done.stderr}")
    expect(done.returncode == 2 or not done.stderr, f"{arguments}: wrote to standard error: {done.stderr}")
    long = [line for line in done.stdout.splitlines() if len(line) > 100 and arguments[0] != audit_cpp]
    expect(not long, f"{arguments}: lines of more than 100 columns: {long[:2]}")
    return done.stdout if code != 2 else done.stderr


def bills(text):
    """point -> (billed, should be, estimated) of the table of those who are mis-billed."""
    rows = re.findall(r"^  ([\w.-]+) +.* +(-?[\d.]+) ([ ~]) *(-?[\d.]+) +[+-][\d.]+ +", text, re.M)
    return {point: (float(billed), float(should), mark == "~") for point, billed, mark, should in rows}


def near(value, truth, percent):
    return abs(value - truth) <= abs(truth) * percent / 100


def check_numbers(mistakes, faults):
    """Bounds, corrections, loads and uncertainties, against what follows from the record by hand."""
    mistakes, faults = (" ".join(text.split()) for text in (mistakes, faults))
    # Chandlery: V_B I_B* counts twice, 60 A at up to 105 % of 120 V. Kiln: reversed, twice 240 V.
    for kva in (60 * 126, 2 * 60 * 252):
        line = f"never more than {kva / 1000:.2f} kVA; the worst case that a search finds is {kva / 1000:.2f} kVA"
        expect(line in mistakes, f"the audit does not say: {line}")
    # What hangs otherwise is named first, every healthy loaded point is right, and what has no load is not proven.
    expect("bakery WRONG" in faults and "100.0 % element 2 on C; element 3 on B" in faults, "the bakery is not proven wrong")
    expect(re.search(r"flat-7 (OPEN|WRONG) .*? 9\d\.\d % element 1 reversed", faults), "flat 7 is not named")
    expect("no load meter-supply, corridor, kiln, charging, yard-lights" in faults, "a point without load is judged")
    # Exchanged between B and C: S_B from S_C by V_B / V_C and the reverse.
    expect("S = S1 − (0.5+j0.866)·S2 − (0.5−j0.866)·S3, at nominal voltages" in faults, "no correction for the bakery")
    expect("S = −S1 + S2, exact for every load" in faults, "no correction for flat 7")
    with open(SITE / "readings.csv", encoding="utf-8") as file:
        rows = {row["channel"]: row for row in csv.DictReader(file)}
    watts = sum(float(rows[f"W1-0{k}"]["watts"]) for k in (1, 2, 3))
    expect(f"main-wye {watts / 1000:.1f} kW" in faults, "the load of the main is not the sum of its phases")
    sums = re.findall(r"(high-leg|yard) main\S+ [\d.]+ [\d.]+ ([+-][\d.]+)% ([\d.]+)%", faults)
    expect(len(sums) == 2, "no uncertainty beside the sums")
    expect(all(abs(float(off)) < float(u) < 3 for _, off, u in sums), f"what agrees stays within U: {sums}")


def main(audit):
    with open(SITE / "truth.csv", encoding="utf-8") as file:
        truth = {row["circuit"]: int(row["watt_hours"]) / 1000 for row in csv.DictReader(file)}
    with tempfile.TemporaryDirectory() as work:
        subprocess.run([sys.executable, HERE / "make_demo.py", "intervals", work], check=True)
        mistakes = run(1, audit, SITE / "site-mistakes.json", "--intervals", f"{work}/intervals-mistakes.csv")
        faults = run(1, audit, SITE / "site.json", "--readings", SITE / "readings.csv", "--intervals",
                     f"{work}/intervals.csv")
        cut = pathlib.Path(work) / "cut.json"
        cut.write_text((SITE / "site.json").read_text(encoding="utf-8")[:3000], encoding="utf-8")
        expect("line" in run(2, audit, cut), "a site file that is cut off is not refused with its place")
    run(2, audit, SITE / "no-such-file.json")
    run(2, audit)

    # Six mistakes. The one of studio 4 breaks two rules: its channel counts twice, and the studio's own pole
    # is left without metering.
    expect("7 errors in the record" in mistakes, "the audit does not find the six mistakes by seven rules")
    for title in ("Channel counted more than once", "Ratio differs from the CT", "Channel counts backward",
                  "Too few elements for the load", "Supply of the metering is billed to premises",
                  "Billing point missing from a sum"):
        expect(f"WRONG: {title}" in mistakes, f"the audit does not say: {title}")
    wrong = bills(mistakes)
    for point, circuit in (("chandlery", "MSB-7"), ("kiln", "WS-11"), ("studio-4", "R2-10"), ("charging", "YD-2")):
        expect(point in wrong, f"{point} is mis-billed, and the audit does not say so")
        if point in wrong:
            # The second-floor meter was silent for ten of 672 intervals.
            expect(near(wrong[point][1], truth[circuit], 5), f"{point} should be {truth[circuit]}: {wrong[point]}")
    expect(wrong.get("meter-supply", (0, 1))[1] == 0, "the supply of the meters is billed")
    expect("flat-2" in mistakes, "flat 2 is not named")

    # Two wiring faults, found in readings and in energy, and nobody else is accused.
    found = bills(faults)
    expect("0 errors in the record" in faults, "the audit finds mistakes in the correct record")
    expect(set(found) == {"bakery", "flat-7"}, f"mis-billed are bakery and flat-7, not {sorted(found)}")
    for point, circuit in (("bakery", "MSB-1"), ("flat-7", "R2-5")):
        if point in found:
            expect(near(found[point][1], truth[circuit], 3), f"{point} used {truth[circuit]}: {found[point]}")
    expect(re.search(r"otherwise than the record says: bakery, flat-7\.", faults), "the readings accuse others")

    check_numbers(mistakes, faults)
    plain = run(0, audit, HERE / "one-panel/site.json")
    expect("0 errors" in plain, "the one-panel site is not clean")
    expect("Channel counted more than once" in run(1, audit_cpp, SITE / "site-mistakes.json"), "audit_cpp is blind")
    run(0, audit_cpp, HERE / "one-panel/site.json")
    for problem in problems:
        print(problem, file=sys.stderr)
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]) if audit_cpp else __doc__.strip())
