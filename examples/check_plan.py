#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Runs the planning program on the renovation of the demo and checks what a technician relies on.

    check_plan.py PLAN
"""

import json
import pathlib
import re
import subprocess
import sys
import tempfile

SITE = pathlib.Path(__file__).resolve().parent / "harbour-mill"
problems = []


def expect(true, message):
    if not true:
        problems.append(message)


def run(code, program, *arguments):
    done = subprocess.run([program, *map(str, arguments)], capture_output=True, text=True, timeout=60)
    expect(done.returncode == code, f"{arguments}: ended with {done.returncode}, not {code}\n{done.stderr}")
    return done.stdout


def main(program):
    files = [SITE / "site.json", SITE / "renovation.json", SITE / "renovation-request.json"]
    text = run(0, program, *files)
    expect(max(map(len, text.splitlines())) <= 100, "a line is longer than 100 characters")
    expect("no fewer would do" in text, "the number of devices is not proven")
    expect("breaks 0 rules" in text, "the planned record breaks rules")
    placed = re.findall(r"connector (\d+) input +(\d+)  (R2-\d+) pole (\d) \(([ABC])\)", text)
    expect(len(placed) == 7, f"seven channels are planned, and {len(placed)} are told")
    expect(len({p[:2] for p in placed}) == 7, "an input is used twice")
    # The bus of R2 begins with B: an odd space and the even one beside it stand on the same phase.
    space = {"R2-12": 12, "R2-13": 13, "R2-14": 14, "R2-17": 17}
    for _, _, circuit, pole, conductor in placed:
        row = (space[circuit] + 2 * (int(pole) - 1) + 1) // 2
        expect(conductor == "BCA"[(row - 1) % 3], f"{circuit} pole {pole} is told to stand on {conductor}")
    expect("7 CT V60" in text, "the list of materials does not name seven CTs")
    expect("qualified" in text and "never" in text, "the sheet lacks its cautions")
    request = json.loads(files[2].read_text(encoding="utf-8"))
    request |= {"profiles": []}
    with tempfile.TemporaryDirectory() as work:
        tight = pathlib.Path(work) / "request.json"
        tight.write_text(json.dumps(request), encoding="utf-8")
        expect("Nothing fits" in run(1, program, files[0], files[1], tight), "nothing fits, and the program does not say so")
    run(2, program, files[0], files[1], SITE / "no-such-file.json")
    for problem in problems:
        print(problem, file=sys.stderr)
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]) if len(sys.argv) == 2 else __doc__.strip())
